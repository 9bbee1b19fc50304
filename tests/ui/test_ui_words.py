"""English stands in `ui/words`, one module a page: no other module of the pages holds a sentence."""

from __future__ import annotations

import ast
import re
import string
from functools import cache
from pathlib import Path

import pytest

UI = Path(__file__).parents[2] / "blendlab" / "ui"
WORDS = sorted((UI / "words").glob("*.py"))
MODULES = sorted(UI.glob("*.py"))
ALLOWED = {
    ("echoes", "Drawn"): "the label of a field that is never shown",
    ("parts", "%.{}f {}"): "the format of a slider",
}
"""(module, text) -> why that text is no English of a page."""

READ_ALOUD = re.compile(r"""\b(?:aria-label|title|alt|placeholder)=["']([^"'>]*)""")
TAG = re.compile(r"<[^>]*>")
WORD = r"(?<![\w{#.-])[A-Za-z]{2,}(?![\w}-])"
ENGLISH = re.compile(
    rf"{WORD}[,;:]? {WORD}|(?<![\w{{#.-])[A-Z][A-Za-z]+(?![\w}}-])|}} [A-Za-z]|[A-Za-z][,;:]? {{"
)
SHOWN = {"html", "markdown", "caption", "button", "text_input", "selectbox", "checkbox", "expander"}
SHOWN |= {"popover", "small", "alert", "parts.heading", "tell", "number_field", "pick", "slide"}
"""What puts its first argument on the screen."""


def reads_as_english(text: str) -> bool:
    """Whether two words, a capitalised one or one beside a field are left of a text without its tags."""
    spoken = " | ".join(READ_ALOUD.findall(text))
    return bool(ENGLISH.search(TAG.sub(" ", text)) or ENGLISH.search(spoken))


def docstrings(tree: ast.AST) -> set[ast.AST]:
    """Docstrings, and texts that stand below a constant to describe it."""
    return {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def type_names(tree: ast.AST) -> set[ast.AST]:
    """The names by which types are known to their checker."""
    return {
        part
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("TypeVar", "ParamSpec", "cast")
        for part in node.args
    }


def formats(tree: ast.AST) -> set[ast.AST]:
    """Formats of picture files by name."""
    return {
        node.value for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg == "output_format"
    }


def shown(tree: ast.AST) -> set[ast.AST]:
    """Literals that a page shows as they stand, be it a single word."""
    return {
        node.args[0]
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and node.args
        and SHOWN & {name := ast.unparse(node.func), name.rpartition(".")[2]}
    }


def text_of(node: ast.expr) -> str | None:
    """Text of a literal; what is filled in stands as a brace."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        return "".join(text_of(part) or "{}" for part in node.values)
    return None


def english(tree: ast.AST) -> list[tuple[int, str]]:
    """Line and text of every literal of a module that reads as English; docstrings are left out."""
    skipped = docstrings(tree) | type_names(tree) | formats(tree)
    on_screen = shown(tree)
    skipped |= {part for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    found = [
        (node.lineno, text)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant | ast.JoinedStr) and node not in skipped
        if (text := text_of(node))
        and (reads_as_english(text) or (node in on_screen and re.search(r"[A-Za-z]", TAG.sub("", text))))
    ]
    return sorted(found)


@cache
def read(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_no_english_stands_among_the_code(path):
    found = [(line, text) for line, text in english(read(path)) if (path.stem, text) not in ALLOWED]
    assert not found, "\n".join(f"{path.name}:{line}: {text!r}" for line, text in found)


@pytest.mark.parametrize("path", WORDS, ids=lambda path: path.stem)
def test_fields_of_a_sentence_have_names(path):
    """A translator may turn their order round."""
    texts = [text for node in ast.walk(read(path)) if (text := text_of(node)) and "{" in text]
    for text in texts:
        for _, field, _, _ in string.Formatter().parse(text):
            assert field is None or field.isidentifier(), (text, field)


def test_what_is_allowed_is_still_there():
    stand = {(path.stem, text) for path in MODULES for _, text in english(read(path))}
    assert set(ALLOWED) <= stand


@pytest.mark.parametrize(
    ("text", "reads"),
    [
        ("st.button('Save card')", True),
        ("st.button('Undo')", True),
        ("st.button('take')", True),
        ("st.columns('take')", False),
        ("rows = [('USP', figure)]", True),
        ("rows = [(say.LASTS, f'{grams:g} g')]", True),
        ("rows = [(say.LASTS, f'Stock: {days}')]", True),
        ("st.image(drawn, output_format='PNG')", False),
        ("f'<p class=\"bl-small\">{name} is here</p>'", True),
        ("f'<p aria-label=\"not here\">{name}</p>'", True),
        ("f'<p class=\"bl-small bl-wide\"><b>{name}</b> {figure} %</p>'", False),
        ("f'text-align:left;white-space:normal;flex:{width}'", False),
        ("' bl-over bl-none'", False),
        ("st.columns(2, vertical_alignment='bottom')", False),
        ("def act():\n    '''Says no more.'''\n    return 'tones.0'", False),
    ],
)
def test_the_walk_tells_english_from_code(text, reads):
    assert bool(english(ast.parse(text))) is reads


@cache
def used_words(tree: ast.Module) -> set[tuple[str, str]]:
    """(module of words, constant) of all that a module uses; "__init__" is what several pages share."""
    names, found = {}, set()
    for node in (node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)):
        for alias in node.names:
            if node.module == "blendlab.ui.words" and not alias.name.isupper():
                names[alias.asname or alias.name] = alias.name
            elif node.module == "blendlab.ui.words":
                found.add(("__init__", alias.name))
            elif (node.module, alias.name) == ("blendlab.ui", "words"):
                names[alias.asname or alias.name] = "__init__"
    for node in (node for node in ast.walk(tree) if isinstance(node, ast.Attribute)):
        if isinstance(node.value, ast.Name) and node.value.id in names:
            found.add((names[node.value.id], node.attr))
    return found


@pytest.mark.parametrize("path", WORDS, ids=lambda path: path.stem)
def test_no_words_are_kept_that_nobody_says(path):
    tree = read(path)
    targets = [
        target
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign)
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
    ]
    kept = {name.id for target in targets for name in ast.walk(target) if isinstance(name, ast.Name)}
    said = {
        name for module in [*MODULES, *WORDS] for stem, name in used_words(read(module)) if stem == path.stem
    }
    inside = {
        node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load)
    }
    assert kept - said - inside == set()
