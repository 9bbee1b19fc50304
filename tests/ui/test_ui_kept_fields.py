"""Every field of a page is kept while it is not drawn: found in the source, so that none is forgotten."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from blendlab import ui

FIELDS = {
    "text_input", "text_area", "number_input", "date_input", "selectbox", "multiselect", "checkbox", "toggle",
    "radio", "pills", "segmented_control", "one_of",
}  # fmt: skip
KEYS = {"key", "_key"}
"""What the functions are called that give the key of a field that is kept."""
NOT_KEPT = {
    "parts.pick": "a choice of the design is kept by the design",
    "parts.one_of": "it is given the key of a form",
    "oil_table.unit": "it is given the key of a form",
    "echoes.finish": "nothing is typed into it",
    "safekeeping._offer": "her word that a book takes the place of hers is asked for each time",
    "kitchen_line.weigh": "what goes into a batch is written down before its line is left",
    "kitchen_line._too_little_answer": "what goes into a batch is written down before its line is left",
    "kitchen_steps.field": "what goes into a batch is written down before its step is left",
    "kitchen_steps._water_lot": "what goes into a batch is written down before its step is left",
    "kitchen_steps.really": "what goes into a batch is written down before its step is left",
    "jars.contact": "a picture is not kept, and what is marked is on it",
    "book_label.block": "what is looked at",
    "compare.choose": "what is looked at",
    "export._switch": "what is looked at",
    "export.ends": "what is looked at",
    "page_cards._paged": "what is looked at",
    "reach.panel": "one of what is within reach now",
    "scent_blend._which": "one of what was found now",
    "scent_load.load": "the unit of a figure of the design",
}
"""Functions whose fields begin anew, and why."""


def fields(path: Path) -> list[tuple[ast.FunctionDef, ast.Call]]:
    """Every field that a module draws, with the function around it."""
    found = []
    for around in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(around, ast.FunctionDef):
            for call in ast.walk(around):
                if isinstance(call, ast.Call) and getattr(call.func, "attr", "") in FIELDS:
                    found.append((around, call))
    return found


def key_of(call: ast.Call) -> ast.expr | None:
    named = {word.arg: word.value for word in call.keywords}
    positional = call.args[2] if getattr(call.func, "attr", "") == "one_of" else None
    return named.get("key", positional)


def is_kept(around: ast.FunctionDef, call: ast.Call) -> bool:
    """Written down at once, remembered by streamlit, or held as a part of a form."""
    given_words = {word.arg: word.value for word in call.keywords}
    if "persist_state" in given_words or name_of(given_words.get("on_change", ast.Name("anew"))) != "anew":
        return True  # what only takes back what was said of a figure keeps nothing of it
    key = key_of(call)
    if isinstance(key, ast.Name):
        given = [
            node.value
            for node in ast.walk(around)
            if isinstance(node, ast.Assign)
            and isinstance(node.targets[0], ast.Name)
            and node.targets[0].id == key.id
        ]
        return any(isinstance(value, ast.Call) and name_of(value.func) in KEYS for value in given)
    return isinstance(key, ast.Call) and name_of(key.func) in KEYS


def name_of(function: ast.expr) -> str:
    return getattr(function, "attr", getattr(function, "id", ""))


MODULES = sorted(Path(ui.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("path", [path for path in MODULES if fields(path)], ids=lambda path: path.stem)
def test_every_field_is_kept_while_it_is_not_drawn(path):
    lost = {}
    for around, call in fields(path):
        if not is_kept(around, call):
            lost[f"{path.stem}.{around.name}"] = ast.unparse(call)
    asked = {place for place in NOT_KEPT if place.startswith(f"{path.stem}.")}
    assert not {place: call for place, call in lost.items() if place not in asked}
    assert asked <= set(lost), "a reason that nothing needs any more"
