"""Pages under AppTest: the whole app on a folder of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit import config
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest

from blendlab import store
from blendlab.show import first_visit
from blendlab.ui import hosts, kitchen_steps, memo

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory):
    """A folder as the first start leaves it."""
    place = tmp_path_factory.mktemp("first")
    first_visit.first_start(store.Folder.at(place))
    return place


@pytest.fixture(scope="session", autouse=True)
def scanned_once():
    """AppTest would read the metadata of every installed package again for each app (0.15 s)."""
    found = manifest_scanner.scan_component_manifests()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(manifest_scanner, "scan_component_manifests", lambda: found)
        yield


@pytest.fixture
def folder(laid_out, tmp_path, monkeypatch):
    import shutil

    place = tmp_path / "folder"
    shutil.copytree(laid_out, place)
    monkeypatch.setenv(memo.FOLDER, str(place))
    return store.Folder.at(place)


@pytest.fixture(autouse=True)
def unhurried(monkeypatch):
    """AppTest taps faster than any hand."""
    monkeypatch.setattr(kitchen_steps, "DOUBLE_TAP", 0.0)


class Pages:
    """The app, with a way to a page and to a widget."""

    def __init__(self) -> None:
        # AppTest keeps the widgets' own functions in session state, which this option would refuse.
        config.set_option("runner.enforceSerializableSessionState", False)
        self.at = AppTest.from_file(str(hosts.DOOR), default_timeout=300)
        self.run()

    def run(self):
        self.at.run()
        self.well()
        return self

    def well(self):
        assert not self.at.exception, self.at.exception
        assert not self.broken, self.broken

    def go(self, path: str):
        self.at.session_state["goto"] = path
        return self.run()

    @property
    def design(self) -> dict:
        return self.at.session_state["doc"]["design"]

    @property
    def said(self) -> str:
        """Everything the page says in its own html."""
        return " ".join(str(html.value) for html in self.at.get("html"))

    @property
    def broken(self) -> list[str]:
        """What is said of a page that could not be drawn."""
        return [text for html in self.at.get("html") if "bl-broken" in (text := str(html.value))]

    @property
    def buttons(self) -> list[str]:
        """The labels of all buttons, in their order."""
        return [button.label for button in self.at.button]

    def type(self, key: str, text: str):
        self.at.text_input(key=key).set_value(text)
        return self.run()

    def press(self, label: str):
        found = [button for button in self.at.button if button.label == label]
        assert found, f"no button {label!r}; there are {self.buttons}"
        found[0].click()
        return self.run()


@pytest.fixture
def pages(folder):
    return Pages()
