"""A real Chromium on the real app: one server for the session, one page for each test."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NAMES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str:
    """Path of a Chromium, or skip; where CI says that a browser is required, fail."""
    installed = (path for one in NAMES if (path := shutil.which(one)))
    found = os.environ.get("BLENDLAB_BROWSER") or next(installed, None)
    if found is None:
        if os.environ.get("BLENDLAB_REQUIRE_BROWSER") == "1":
            pytest.fail("a browser is required here and none was found")
        pytest.skip("no Chromium on this machine; the browser walks need one")
    return found


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


class App:
    """The app in a process of its own, on a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen | None = None

    def start(self) -> None:
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "blendlab.cli", "--no-browser"),
                *("--folder", str(self.folder), "--port", str(self.port)),
            ],
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            try:
                with urllib.request.urlopen(f"{self.address}/_stcore/health", timeout=1):
                    return
            except OSError:
                time.sleep(0.1)
        pytest.fail("the app did not start within a minute")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(20)
            self.process = None


@pytest.fixture(scope="session")
def browser():
    from playwright.sync_api import sync_playwright

    path = chromium()
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield launched
        launched.close()


@pytest.fixture(scope="session")
def app(tmp_path_factory, browser):
    running = App(tmp_path_factory.mktemp("folder"))
    running.start()
    yield running
    running.stop()


@pytest.fixture
def look(app, browser):
    """The Look page at 1440 x 900, drawn to the end."""
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    yield page
    page.close()
