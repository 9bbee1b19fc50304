"""The recipe of DEVELOPERS.md, "How to add an arrangement", done in a temporary copy of the project."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FOLLOWED = "tests/ui/arrangement_followed.py"


@pytest.fixture
def copy(tmp_path):
    """The package, its door and its tests, elsewhere."""
    place = tmp_path / "copy"
    for part in ("blendlab", "tests", ".streamlit"):
        shutil.copytree(ROOT / part, place / part, ignore=shutil.ignore_patterns("__pycache__"))
    for part in ("app.py", "pyproject.toml"):
        shutil.copy(ROOT / part, place / part)
    return place


def test_one_file_and_one_word_are_followed_everywhere(copy):
    recipe = re.search(
        r"^- \*\*an arrangement\*\*.*$", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M
    )
    assert "`recipe.ARRANGEMENTS`" in recipe[0]
    assert "`jar/arrangements/`" in recipe[0]
    shutil.copy(Path(__file__).with_name("petals.py"), copy / "blendlab/jar/arrangements/petals.py")
    look = copy / "blendlab/recipe/look.py"
    before = look.read_text(encoding="utf-8")
    after = re.sub(r"^(ARRANGEMENTS = \(.*)\)$", r'\1, "petals")', before, flags=re.M)
    assert len(after) == len(before) + len(', "petals"')
    look.write_text(after, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-o", "addopts=", FOLLOWED]
    done = subprocess.run(command, cwd=copy, capture_output=True, text=True, timeout=500)
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]
    assert re.search(r"^\d+ passed", done.stdout, re.M), done.stdout
