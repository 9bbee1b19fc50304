"""The doors between the rooms: who may import whom, who may draw, who may write."""

import ast
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "blendlab"
STEPS = (
    "errors", "units", "codec", "tables", "recipe", "shelf", "facts", "tint fragrance", "photo jar", "batch",
    "renew", "assess", "store printing", "forms", "show", "production", "ui cli",
)  # fmt: skip
RANK = {room: rank for rank, step in enumerate(STEPS) for room in step.split()}
MAY = {
    "streamlit": {"ui", "cli"},
    "PIL": {"photo", "jar", "printing"},
    "reportlab": {"printing"},
    "sqlite3": {"store"},
    "pandas": {"tables"},
}
WRITING = {
    "write_text", "write_bytes", "unlink", "mkdir", "rmdir", "rmtree", "rename", "replace", "remove",
    "makedirs",
    "touch", "symlink_to", "mkstemp", "NamedTemporaryFile", "executescript",
}  # fmt: skip
ON_FILES = {"os", "shutil", "tempfile", "Path", "path"}
MODULES = sorted(ROOT.rglob("*.py"))


def room_of(path):
    inner = path.relative_to(ROOT).parts
    return inner[0].removesuffix(".py")


def imports(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports name their room in full"
            yield node.module
            if node.module == "blendlab":
                yield from (f"blendlab.{alias.name}" for alias in node.names)


def writes(tree):
    """Calls that put something on the disk."""
    for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
        name = getattr(call.func, "attr", getattr(call.func, "id", ""))
        owner = ast.unparse(call.func.value) if isinstance(call.func, ast.Attribute) else ""
        if name in ("open", "fdopen") and any(set("wax+") & set(mode) for mode in modes(call)):
            yield f"{name} to write, line {call.lineno}"
        elif name in WRITING and (
            owner.split(".")[0] in ON_FILES or name not in ("replace", "rename", "remove")
        ):
            yield f"{owner}.{name}, line {call.lineno}"


def modes(call):
    at = call.args[1:2] if isinstance(call.func, ast.Name) else call.args[:1]
    given = [*at, *(key.value for key in call.keywords if key.arg == "mode")]
    texts = [
        argument.value
        for argument in given
        if isinstance(argument, ast.Constant) and isinstance(argument.value, str)
    ]
    return [text for text in texts if set(text) <= set("rwxabt+")]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_doors(path):
    room, tree = room_of(path), ast.parse(path.read_text(encoding="utf-8"))
    for name in imports(tree):
        top, _, rest = name.partition(".")
        assert room in MAY.get(top, {room}), f"{room} may not import {top}"
        if top == "blendlab" and rest and room != "__init__":
            other = rest.split(".")[0]
            assert other == room or RANK[other] < RANK[room], f"{room} may not import {other}"
    if room != "store":
        assert list(writes(tree)) == [], f"{room} may not write files"


def test_the_doors_would_be_seen_open():
    """The checks above find what they look for."""
    harm = (
        'from pathlib import Path\nPath("a").write_text("b")\n'
        'open("a", "w")\nPath("a").open("ab")\nos.replace(a, b)\n'
    )
    assert len(list(writes(ast.parse(harm)))) == 4
    assert (
        list(writes(ast.parse('open("a")\nPath("a").open("rb")\n"a".replace("b", "c")\nImage.open(b)'))) == []
    )
    assert list(imports(ast.parse("from blendlab import store\nimport PIL.Image"))) == [
        "blendlab", "blendlab.store", "PIL.Image",
    ]  # fmt: skip


def test_every_room_has_its_step():
    assert {room_of(path) for path in MODULES} - {"__init__"} <= set(RANK)


def test_no_package_is_called_colour():
    assert not [path for path in ROOT.rglob("*") if path.stem == "colour" and path.suffix in ("", ".py")]


FRESH = """
import sys
import importlib
importlib.import_module(sys.argv[1])
print(*sorted({name.partition(".")[0] for name in sys.modules}))
"""


def fresh(module):
    done = subprocess.run(
        [sys.executable, "-c", FRESH, module], cwd=ROOT.parent, capture_output=True, text=True, check=True
    )
    return set(done.stdout.split())


@pytest.mark.parametrize("room", ["", ".units", ".recipe", ".shelf", ".facts", ".tint", ".fragrance"])
def test_an_import_is_light(room):
    names = fresh(f"blendlab{room}")
    assert names & {"colour", "scipy", "pandas", "streamlit", "matplotlib", "PIL", "reportlab"} == set()


@pytest.mark.parametrize("room", ["jar", "batch", "store", "printing"])
def test_the_later_rooms_stay_free_of_the_heavy_ones(room):
    names = fresh(f"blendlab.{room}")
    assert names & {"colour", "scipy", "pandas", "streamlit", "matplotlib"} == set()


def parts_imported(path, names):
    """Modules of the package that a module imports when it is loaded."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in names)
        elif isinstance(node, ast.ImportFrom):
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            yield from inner & names
            if inner - names and node.module in names:
                yield node.module


def test_no_module_imports_itself_by_a_way_round():
    named = {
        ".".join(path.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(".__init__"): path
        for path in MODULES
    }
    uses = {name: set(parts_imported(path, set(named))) - {name} for name, path in named.items()}
    assert "blendlab.ui.parts" in uses["blendlab.ui.page_look"]
    assert len(list(TopologicalSorter(uses).static_order())) == len(named)
