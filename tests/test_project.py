"""The project as a whole: README, layout, configuration, words on screens."""

from __future__ import annotations

import ast
import io
import re
import tomllib
from contextlib import redirect_stdout
from pathlib import Path

import pytest
from PIL import Image

from blendlab import cli, store
from blendlab.store import error_log, settings
from blendlab.ui.safekeeping import MOST_MEGABYTES

ROOT = Path(__file__).parents[1]
VISIBLE = {"README.md", "DEVELOPERS.md", "pyproject.toml", "blendlab", "app.py", "tests", "swatches"}
LEFT_BY_TOOLS = {"blendlab.egg-info", "build", "dist"}
FORBIDDEN = re.compile(
    r"\b(safe|compliant|approved|certified for|allergen-free|hypoallergenic|non-toxic|guaranteed|"
    r"dermatologically|all good|0 problems|oops)\b|exact colour",
    re.IGNORECASE,
)
"""Words a screen, a sheet or a label must not promise with."""


def test_the_lines_of_python_in_the_readme_print_a_hex_colour_and_a_ceiling():
    code = re.search(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.S)[1]
    assert len([line for line in code.splitlines() if line.strip()]) == 6
    heard = io.StringIO()
    with redirect_stdout(heard):
        exec(compile(code, "README.md", "exec"), {})
    assert re.fullmatch(r"#[0-9a-f]{6} \d+(\.\d+)?", heard.getvalue().strip()), heard.getvalue()


def test_the_readme_names_every_option_and_every_file_of_the_folder():
    said = (ROOT / "README.md").read_text(encoding="utf-8")
    options = {word for act in cli._parser()._actions for word in act.option_strings if len(word) > 2}
    folder = store.Folder(Path("hers"))
    places = (folder.cards, folder.lines, folder.shelf, folder.book, folder.drafts, folder.bin)
    names = {place.name for place in places} | {error_log.NAME, settings.NAME}
    missing = [word for word in (*(options - {"--help"}), *names) if word not in said]
    assert missing == []


def test_the_readme_shows_the_app_in_a_picture_that_is_there():
    said = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"!\[[^]]+\]\(([^)]+)\)", said)
    assert "swatches/app.png" in shown
    for picture in shown:
        with Image.open(ROOT / picture) as opened:
            assert opened.format == "PNG"
            assert opened.width > 1000
        assert (ROOT / picture).stat().st_size < 400_000


def test_the_readme_ends_with_this_version_and_what_changed():
    said = (ROOT / "README.md").read_text(encoding="utf-8")
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    last = said.rpartition("\n## ")[2]
    assert last.startswith(f"Version {version}\n")
    assert f"- {version}: " in last


def test_the_top_level_is_the_agreed_one():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - LEFT_BY_TOOLS - {"__pycache__"} == VISIBLE


def test_an_installed_copy_starts_with_the_same_settings():
    ours = (ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    packaged = (ROOT / "blendlab" / "ui" / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    assert ours == packaged
    settings = tomllib.loads(ours)
    assert settings["server"]["address"] == "localhost"
    assert settings["browser"]["gatherUsageStats"] is False


def test_every_upload_has_a_limit_of_its_own():
    """The limit of the server is that of a backup; a photo or a table has no use for it."""
    for path in (ROOT / "blendlab" / "ui").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "st.file_uploader":
                assert "max_upload_size" in {named.arg for named in node.keywords}, (path.name, node.lineno)
    config = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    assert config["server"]["maxUploadSize"] == MOST_MEGABYTES


def test_every_neutral_of_the_theme_is_neutral():
    theme = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))["theme"]
    for mode in ("light", "dark"):
        for name, colour in theme[mode].items():
            if name.startswith("red"):
                continue
            red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
            assert red == green == blue, (mode, name, colour)


def _texts(path: Path):
    """String constants of a module that are not docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    docs |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.lineno, node.value


@pytest.mark.parametrize(
    "room", ["ui", "printing", "forms", "show", "production", "tint", "fragrance", "jar", "batch", "store"]
)
def test_no_screen_promises_what_it_must_not(room):
    found = [
        f"{path.name}:{line}: {text}"
        for path in sorted((ROOT / "blendlab" / room).rglob("*.py"))
        for line, text in _texts(path)
        if FORBIDDEN.search(text) and " " in text
    ]
    assert not found


def test_nothing_asks_for_another_host():
    for path in sorted((ROOT / "blendlab").rglob("*.py")):
        for _, text in _texts(path):
            assert not re.search(r"https?://(?!127\.0\.0\.1|localhost)", text), (path, text)
