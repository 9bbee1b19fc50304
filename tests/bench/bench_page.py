"""The page as she meets it: start to the first jar, a dose moved to the new picture."""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from tests.bench.line import Line
from tests.browser.conftest import FLAGS, App, chromium

MOVES = 30
_WATCH = """() => new Promise((done, failed) => {
  setTimeout(() => failed(new Error('no new picture within 5 s')), 5000);
  const image = document.querySelector('.st-key-front img');
  const before = image.src;
  const start = performance.now();
  const look = () => {
    const now = document.querySelector('.st-key-front img');
    if (now && now.src !== before && now.complete && now.naturalWidth) {
      now.decode().then(() => requestAnimationFrame(() => done(performance.now() - start)));
    } else { requestAnimationFrame(look); }
  };
  look();
})"""


def lines() -> list[Line]:
    """Start to first jar and 30 moves of a dose, in a folder that was laid out before."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        app = App(Path(place))
        app.start()
        app.stop()
        _first(app, browser)
        started = _first(app, browser)
        moved = _moves(app, browser)
        app.stop()
        browser.close()
    ordered = sorted(moved)
    return [
        Line("start command to the first jar", started, "s", most=3.0),
        Line("a dose moved to the new picture, median of 30", statistics.median(moved), "ms", most=180.0),
        Line("a dose moved to the new picture, p95", ordered[int(0.95 * len(ordered))], "ms", most=300.0),
    ]


def _first(app: App, browser) -> float:
    app.stop()
    start = time.perf_counter()
    app.start()
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(app.address)
    page.wait_for_function("document.querySelector('.st-key-front img')?.naturalWidth > 0")
    taken = time.perf_counter() - start
    page.close()
    return taken


def _moves(app: App, browser) -> list[float]:
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    page.wait_for_timeout(1500)
    dose = page.locator(".st-key-n-tones-0-doses-0-pct input").first
    taken = []
    for move in range(MOVES):
        dose.fill(f"{0.1 + 0.01 * (move * 7 % 30):.2f}")
        page.evaluate(f"() => {{ window.__moved = ({_WATCH})(); window.__moved.catch(() => 0); }}")
        dose.press("Enter")
        taken.append(page.evaluate("() => window.__moved"))
        page.wait_for_timeout(250)
    page.close()
    return taken
