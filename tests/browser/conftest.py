"""A real Chromium on the real app.

A walk that changes anything has a server and a folder of its own (`visit`); those that only look share
one of each (`look`).
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from blendlab import store
from blendlab.show import first_visit
from tests.browser.walk import Walk

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
    installed = (path for name in NAMES if (path := shutil.which(name)))
    found = os.environ.get("BLENDLAB_BROWSER") or next(installed, None)
    if found is None:
        if os.environ.get("BLENDLAB_REQUIRE_BROWSER") == "1":
            pytest.fail("a browser is required here and none was found")
        pytest.skip("no Chromium on this machine; the browser walks need one")
    return found


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return door.getsockname()[1]


class App:
    """The app in a process of its own, on a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = store.Folder.at(folder)
        self.address = ""
        self.process: subprocess.Popen | None = None

    def start(self) -> None:
        """Start the command and wait until it says where the app is."""
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "blendlab.cli", "--no-browser"),
                *("--folder", str(self.folder.root), "--port", str(free_port())),
            ],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        for line in self.process.stdout:
            if said := re.search(r"blendlab is at (\S+)", line):
                self.address = said[1]
                return
        pytest.fail(f"the app ended before it answered, with code {self.process.wait()}")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.communicate()
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
def laid_out(tmp_path_factory):
    """A folder as the first start leaves it."""
    place = tmp_path_factory.mktemp("first")
    first_visit.first_start(store.Folder.at(place))
    return place


@pytest.fixture
def app(laid_out, tmp_path, browser):
    running = App(shutil.copytree(laid_out, tmp_path / "folder"))
    running.start()
    yield running
    running.stop()


@pytest.fixture(scope="session")
def looked_at(laid_out, tmp_path_factory, browser):
    """An app for walks that change nothing, with one browser profile for all of them."""
    running = App(shutil.copytree(laid_out, tmp_path_factory.mktemp("looked-at") / "folder"))
    running.start()
    context = browser.new_context()
    yield running, context
    context.close()
    running.stop()


class Visits:
    """New pages of a size in one browser profile, not opened yet."""

    def __init__(self, app: App, context) -> None:
        self.app, self.context = app, context
        self.pages: list = []

    def __call__(
        self, width: int = 1440, height: int = 900, kind: type[Walk] = Walk, scheme: str = "light"
    ) -> Walk:
        walk = kind(self.app, self.context)
        self.pages.append(walk.page)
        walk.page.set_viewport_size({"width": width, "height": height})
        walk.page.emulate_media(color_scheme=scheme)
        return walk


@pytest.fixture
def visit(app, browser):
    """Pages of an app of this walk's own."""
    context = browser.new_context()
    yield Visits(app, context)
    context.close()


@pytest.fixture
def look(looked_at):
    """Pages of the app that is only looked at."""
    visits = Visits(*looked_at)
    yield visits
    for page in visits.pages:
        page.close()
