"""Every act of a widget answers when it fails: an error of a callback never takes the page down."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

UI = Path(__file__).parents[2] / "blendlab" / "ui"
MODULES = sorted(UI.glob("*.py"))
ACTS = {"on_click", "on_change", "on_select", "on_submit"}


def read(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def answers(node: ast.expr) -> bool:
    return ast.unparse(node) in ("mishap.answered", "answered", "echoes.edited")


def answering(tree: ast.AST) -> set[str]:
    """Functions of a module, inner ones included, that answer."""
    return {
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and any(map(answers, node.decorator_list))
    }


def unanswered(tree: ast.AST, others: dict[str, set[str]]) -> list[tuple[int, str]]:
    """Line and text of every act that does not answer; `others`: module -> its functions that do."""
    own, found = answering(tree), []
    for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
        for act in (key.value for key in call.keywords if key.arg in ACTS):
            said = ast.unparse(act)
            module, _, name = said.rpartition(".")
            plain = isinstance(act, ast.Constant)  # a word for the framework itself: "rerun", "ignore"
            wrapped = isinstance(act, ast.Call) and answers(act.func)
            if not (plain or wrapped or said in own or name in others.get(module, ())):
                found.append((act.lineno, said))
    return found


OTHERS = {path.stem: answering(read(path)) for path in MODULES}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_every_act_answers(path):
    found = unanswered(read(path), OTHERS)
    assert not found, "\n".join(f"{path.name}:{line}: {text}" for line, text in found)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("st.button('x', on_click=act)\ndef act(): pass", 1),
        ("st.button('x', on_click=act)\n@mishap.answered\ndef act(): pass", 0),
        ("st.button('x', on_click=lambda: act())", 1),
        ("st.button('x', on_click=mishap.answered(act))", 0),
        ("st.text_input('x', on_change=echoes.edited(key, act))", 0),
        ("st.button('x', on_click=state.undo)", 0),
        ("st.button('x', on_click=state.other)", 1),
        ("st.expander('x', on_change='rerun')", 0),
    ],
)
def test_the_walk_sees_an_act_that_does_not_answer(text, count):
    assert len(unanswered(ast.parse(text), {"state": {"undo"}})) == count
