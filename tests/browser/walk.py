"""A page in Chromium and what is under way between it and the server.

A walk waits for a state, never for a time.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar
from urllib.parse import parse_qs, urlsplit

import pytest
from PIL import Image
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from blendlab import store
from blendlab.ui.kitchen_steps import DOUBLE_TAP

T = TypeVar("T")
PATIENCE = 120_000
"""Milliseconds after which a state that does not come is a failure; no walk gets quicker or slower by it."""
LOOK_AGAIN = 25
DRAWN = """before => document.querySelector('[data-testid=stApp]')?.dataset.testScriptState === 'notRunning'
  && ![before, '', undefined].includes(document.querySelector('.st-key-echo input')?.value)
  && !document.querySelector('[data-stale=true]')
  && document.fonts.status === 'loaded'
  && [...document.images].every(image => image.complete)"""
NUMBER_OF_RUN = "document.querySelector('.st-key-echo input')?.value"


class Walk:
    """One page; counts the runs it asked of the server and knows whether the last one is answered."""

    def __init__(self, app, context) -> None:
        self.app = app
        self.page = context.new_page()
        self.page.set_default_timeout(PATIENCE)
        self.page.route_web_socket(lambda url: True, self._connect)
        self.asked = 0
        self._state = "asked"
        self._held: list[Callable[[], None]] | None = None

    def _connect(self, browser) -> None:
        server = browser.connect_to_server()
        browser.on_message(lambda message: self._sent(message, server))
        server.on_message(lambda message: self._received(message, browser))

    def _sent(self, message: bytes | str, server) -> None:
        if isinstance(message, bytes) and BackMsg.FromString(message).WhichOneof("type") == "rerun_script":
            self.asked += 1
            self._state = "asked"
        server.send(message)

    def _received(self, message: bytes | str, browser) -> None:
        if self._held is not None:
            self._held.append(lambda: self._received(message, browser))
            return
        if isinstance(message, bytes):
            self._heard(ForwardMsg.FromString(message))
        browser.send(message)

    def _heard(self, message: ForwardMsg) -> None:
        kind = message.WhichOneof("type")
        if kind == "new_session" and self._state == "asked":
            self._state = "running"
        early = message.script_finished == ForwardMsg.FINISHED_EARLY_FOR_RERUN
        if kind == "script_finished" and self._state == "running" and not early:
            self._state = "answered"

    @contextmanager
    def answers_held(self) -> Iterator[None]:
        """Nothing that the server says reaches the browser until the end of this block."""
        self._held = []
        yield
        waiting, self._held = self._held, None
        for tell in waiting:
            tell()
        self.settled()

    def open(self, path: str = "", shows: str = ".st-key-front img") -> Walk:
        """Go to a page of the app and wait until it is drawn to the end and shows something."""
        return self._loaded(lambda: self.page.goto(f"{self.app.address}/{path}"), shows)

    def reload(self, shows: str) -> Walk:
        return self._loaded(self.page.reload, shows)

    def _loaded(self, go: Callable[[], object], shows: str) -> Walk:
        before = self.asked
        go()
        self.until(lambda: self.asked > before)
        self.settled()
        self.page.wait_for_selector(shows)
        return self

    @contextmanager
    def run(self) -> Iterator[None]:
        """An act that makes the server run; leaves when its answer is drawn."""
        before, asked = self.page.evaluate(NUMBER_OF_RUN), self.asked
        yield
        self.until(lambda: self.asked > asked)
        self.settled(before)

    def settled(self, before: str | None = None) -> Walk:
        """Wait until nothing is asked, nothing is old and every picture is there."""
        self.until(lambda: self._state == "answered")
        self.page.wait_for_function(DRAWN, arg=before)
        return self

    def until(self, holds: Callable[[], T], what: str = "") -> T:
        """Look again and again until `holds` gives something true, and give that."""
        for _ in range(PATIENCE // LOOK_AGAIN):
            if found := holds():
                return found
            self.page.wait_for_timeout(LOOK_AGAIN)
        pytest.fail(f"this did not come: {what or holds}")

    def field(self, key: str):
        return self.page.locator(f".st-key-{key} input").first

    def type(self, key: str, text: str) -> None:
        """Type into the field of a key and press Enter."""
        self.fill(self.field(key), text, "Enter")

    def fill(self, field, text: str, leave: str = "Tab") -> None:
        with self.run():
            field.fill(text)
            field.press(leave)

    def choose(self, key: str, words: str) -> None:
        """Choose an option of the select box of a key."""
        self.page.locator(f".st-key-{key} [data-baseweb=select], .st-key-{key} input").first.click()
        with self.run():
            self.page.get_by_role("option", name=words, exact=True).click()

    def button(self, name: str):
        return self.page.get_by_role("button", name=name, exact=True)

    def press(self, name: str) -> None:
        """Press the button of that name."""
        with self.run():
            self.button(name).click()

    def text(self, selector: str) -> str:
        return self.page.locator(selector).first.inner_text()

    def shot(self, selector: str) -> Image.Image:
        return Image.open(io.BytesIO(self.page.locator(selector).first.screenshot())).convert("RGB")


class Kitchen(Walk):
    """The kitchen view, worked by a hand that never taps twice within a double tap."""

    def press(self, name: str) -> None:
        super().press(name)
        self.page.wait_for_timeout(1000 * DOUBLE_TAP)

    @property
    def line(self) -> str:
        return self.text(".bl-kname")

    @property
    def kept(self) -> store.BatchPage:
        (code,) = parse_qs(urlsplit(self.page.url).query)["batch"]
        return store.batch(store.open_book(self.app.folder), code)
