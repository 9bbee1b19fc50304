"""What is handed on: wheel and sdist carry the licence, the pages and every table."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MIT = (ROOT / "blendlab" / "LICENSE").read_text(encoding="utf-8")
BUILD = "from setuptools import build_meta as b; b.build_wheel({0!r}); b.build_sdist({0!r})"


def test_the_licence_is_the_mit_text():
    assert MIT.startswith(
        "MIT License\n\nCopyright (c) 2026 blendlab founders\n\nPermission is hereby granted"
    )
    assert 'THE SOFTWARE IS PROVIDED "AS IS"' in MIT


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A wheel and an sdist of a copy of the sources, made without network: file name -> bytes of each."""
    copy, out = tmp_path_factory.mktemp("sources"), tmp_path_factory.mktemp("built")
    shutil.copytree(ROOT / "blendlab", copy / "blendlab", ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, copy)
    done = subprocess.run(
        [sys.executable, "-c", BUILD.format(str(out))], cwd=copy, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    with zipfile.ZipFile(next(out.glob("*.whl"))) as wheel:
        in_wheel = {name: wheel.read(name) for name in wheel.namelist()}
    with tarfile.open(next(out.glob("*.tar.gz"))) as sdist:
        files = [member for member in sdist.getmembers() if member.isfile()]
        in_sdist = {member.name.partition("/")[2]: sdist.extractfile(member).read() for member in files}
    return in_wheel, in_sdist


@pytest.mark.slow
def test_the_licence_travels_in_wheel_and_sdist(built):
    in_wheel, in_sdist = built
    (info,) = {name.partition("/")[0] for name in in_wheel if ".dist-info/" in name}
    for found in (
        in_wheel["blendlab/LICENSE"],
        in_wheel[f"{info}/licenses/blendlab/LICENSE"],
        in_sdist["blendlab/LICENSE"],
    ):
        assert found.decode() == MIT
    assert b"License-Expression: MIT" in in_wheel[f"{info}/METADATA"]


@pytest.mark.slow
def test_every_file_of_the_package_travels_in_wheel_and_sdist(built):
    ours = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "blendlab").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    for travelled in built:
        assert ours - travelled.keys() == set()
