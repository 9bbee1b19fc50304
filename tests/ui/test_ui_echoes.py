"""An old value that comes back with the next act is no edit; it is one when the new value was seen."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from blendlab.ui import echoes

DOSE, SLIDER, SHARE = "n.tones.0.doses.0.pct", "s.tones.0.doses.0.pct", "n.tones.0.share_pct"


def dose(pages) -> float:
    return pages.design["tones"][0]["doses"][0]["pct"]


@pytest.fixture
def typed(pages):
    """The pages after a dose was typed, with what the browser showed before: slider and number of the run."""
    pages.go("look")
    before = pages.at.slider(key=SLIDER).value
    drawn = pages.at.text_input(key=echoes.DRAWN).value
    pages.type(DOSE, "0,31")
    assert dose(pages) == 0.31
    return pages, before, drawn


def test_an_old_slider_that_comes_with_another_field_sets_nothing_back(typed):
    pages, before, drawn = typed
    pages.at.text_input(key=echoes.DRAWN).set_value(drawn)
    pages.at.slider(key=SLIDER).set_value(before)
    pages.type(SHARE, "52")
    assert dose(pages) == 0.31
    assert pages.design["tones"][0]["share_pct"] == 52
    assert pages.at.slider(key=SLIDER).value == 0.31


def test_an_echo_of_two_runs_ago_is_known_too(typed):
    pages, before, drawn = typed
    for share in ("52", "53"):
        pages.at.text_input(key=echoes.DRAWN).set_value(drawn)
        pages.at.slider(key=SLIDER).set_value(before)
        pages.type(SHARE, share)
        assert dose(pages) == 0.31


def test_a_slider_moved_back_after_the_page_was_drawn_is_an_edit(typed):
    pages, before, _ = typed
    pages.at.slider(key=SLIDER).set_value(before)
    pages.run()
    assert dose(pages) == before


def test_another_value_is_an_edit_whatever_was_drawn(typed):
    pages, before, drawn = typed
    pages.at.text_input(key=echoes.DRAWN).set_value(drawn)
    pages.at.slider(key=SLIDER).set_value(before - 0.1)
    pages.run()
    assert dose(pages) == pytest.approx(before - 0.1)


def test_what_is_drawn_is_forgotten(typed):
    pages, _, _ = typed
    assert SLIDER in pages.at.session_state[echoes.PUT]
    pages.run()
    pages.run()
    assert SLIDER not in pages.at.session_state[echoes.PUT]


def filled_and_heard(tree: ast.AST) -> list[int]:
    """Lines of widgets that the page fills itself and whose callback takes any value for an edit."""
    found = []
    for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
        own = [node for node in ast.walk(function) if isinstance(node, ast.Assign | ast.Call)]
        filled = {
            ast.unparse(target.slice)
            for node in own
            if isinstance(node, ast.Assign)
            for target in node.targets
            if isinstance(target, ast.Subscript) and ast.unparse(target.value) in ("ss", "st.session_state")
        }
        for call in (node for node in own if isinstance(node, ast.Call)):
            said = {keyword.arg: ast.unparse(keyword.value) for keyword in call.keywords}
            heard = said.get("on_change", "").partition("(")[0]
            if said.get("key") in filled and heard not in ("", "echoes.edited", "'rerun'", "'ignore'"):
                found.append(call.lineno)
    return found


@pytest.mark.parametrize(
    "path", sorted(Path(echoes.__file__).parent.glob("*.py")), ids=lambda path: path.name
)
def test_every_field_that_the_page_fills_knows_its_echoes(path):
    assert filled_and_heard(ast.parse(path.read_text(encoding="utf-8"))) == []


def test_a_field_that_does_not_would_be_found():
    harm = "def field(key):\n    st.session_state[key] = 1\n    st.text_input('', key=key, on_change=act)\n"
    assert filled_and_heard(ast.parse(harm)) == [3]
