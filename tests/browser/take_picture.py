"""Take the picture of the app that the README shows: `python -m tests.browser.take_picture`."""

from __future__ import annotations

import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import FLAGS, ROOT, App, chromium

PICTURE = ROOT / "swatches" / "app.png"
SIZE = {"width": 1360, "height": 860}


def take(to: Path) -> None:
    """Look on the demo design, as a first visit shows it, drawn to the end."""
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        app = App(Path(place))
        app.start()
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        page = browser.new_page(viewport=SIZE, color_scheme="light")
        page.goto(app.address)
        page.wait_for_function("document.querySelector('.st-key-front img')?.naturalWidth > 0")
        page.wait_for_selector(".st-key-viewbar input")
        page.wait_for_function(
            "!document.querySelector('[data-testid=stSkeleton], [data-testid=stStatusWidget]')"
        )
        page.screenshot(path=to)
        browser.close()
        app.stop()


if __name__ == "__main__":
    take(PICTURE)
