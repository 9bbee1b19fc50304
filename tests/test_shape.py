"""The shape of the house: no circles, short files, short functions."""

from __future__ import annotations

import ast
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from statistics import median

import pytest

ROOT = Path(__file__).parents[1]
MODULES = sorted((ROOT / "blendlab").rglob("*.py"))
LONGEST_FILE, USUAL_FILE, LONGEST_FUNCTION = 350, 140, 40


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


KNOWN = {name_of(path): path for path in MODULES}


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(statements: list[ast.stmt]) -> set[str]:
    """Modules of the package that are imported when a module is, not inside its functions."""
    found = set()
    for node in statements:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= (inner & set(KNOWN)) or {node.module}
    return found & set(KNOWN)


def circle(graph: dict[str, set[str]]) -> list[str]:
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as found:
        return list(found.args[1])
    return []


def test_no_module_imports_itself_by_a_detour():
    """A package's own front door imports its modules; they do not count it as theirs."""
    graph = {
        name: {other for other in imported(tree(path).body) if not name.startswith(f"{other}.")}
        for name, path in KNOWN.items()
    }
    assert circle(graph) == []


def test_a_circle_would_be_seen():
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"a"}})
    assert imported(ast.parse("from blendlab.tint import prediction\nimport os").body) == {
        "blendlab.tint.prediction"
    }


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_files_and_functions_are_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE
    long = []
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            lines = body[-1].end_lineno - body[0].lineno + 1 if body else 0
            long += [f"{node.name}: {lines} lines"] if lines > LONGEST_FUNCTION else []
    assert long == []


def test_things_are_named():
    """`one` says nothing of what it is."""
    nameless = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in [*MODULES, *sorted((ROOT / "tests").rglob("*.py"))]
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Name) and node.id == "one"
    ]
    assert nameless == []


def test_the_usual_file_is_read_at_a_glance():
    lengths = [len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES]
    assert median(lengths) <= USUAL_FILE
