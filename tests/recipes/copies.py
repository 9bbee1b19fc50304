"""A temporary copy of the project to follow a recipe in, and what is run in it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def copy_project(place: Path) -> Path:
    """The package, its door and its tests, elsewhere."""
    for part in ("blendlab", "tests", "swatches", ".streamlit"):
        shutil.copytree(ROOT / part, place / part, ignore=shutil.ignore_patterns("__pycache__"))
    for part in ("app.py", "pyproject.toml", "DEVELOPERS.md", "README.md"):
        shutil.copy(ROOT / part, place / part)
    return place


def recipe(name: str) -> str:
    """The line of DEVELOPERS.md, "How to add", that begins with this name."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (line,) = re.findall(rf"^- \*\*{re.escape(name)}\*\*.*$", text, re.M)
    return str(line)


def add_row(copy: Path, table: str, **cells: str) -> None:
    """One more row of a csv table below the package; columns that are not given stay empty."""
    path = copy / table
    text = path.read_text(encoding="utf-8")
    columns = [column.removesuffix("*") for column in text.splitlines()[0].split(",")]
    unknown = set(cells) - set(columns)
    assert not unknown, f"{table} has no column {unknown}"
    quoted = ('"' + cells.get(column, "").replace('"', '""') + '"' for column in columns)
    path.write_text(text.rstrip("\n") + "\n" + ",".join(quoted) + "\n", encoding="utf-8")


def edit(copy: Path, file: str, pattern: str, replacement: str) -> None:
    """One change of a file, by a pattern that is found once."""
    path = copy / file
    text, count = re.subn(pattern, replacement, path.read_text(encoding="utf-8"), flags=re.M)
    assert count == 1, f"{pattern} stands {count} times in {file}"
    path.write_text(text, encoding="utf-8")


def run(copy: Path, *arguments: str) -> str:
    """The output of one python command in the copy; an error fails the test with what was printed."""
    clean = {key: value for key, value in os.environ.items() if not key.startswith(("PYTEST", "BLENDLAB"))}
    done = subprocess.run(
        [sys.executable, *arguments], cwd=copy, capture_output=True, text=True, timeout=560, env=clean
    )
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-3000:]
    return done.stdout


def passes(copy: Path, *tests: str) -> None:
    """Some tests of the copy pass there, and there are some."""
    options = ("-q", "-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib")
    said = run(copy, "-m", "pytest", *options, *tests)
    assert re.search(r"^\d+ passed", said, re.M), said
