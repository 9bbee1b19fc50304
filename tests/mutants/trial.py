"""A copy of the project in which faults are tried one by one; the project itself is never changed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from tests.mutants import touched
from tests.mutants.changes import Change

ROOT = Path(__file__).parents[2]
PYTEST = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "tests.mutants.touched"]
SLOWER, AT_LEAST = 20, 60
"""Tests that take so many times as long as they did, and so many seconds, have noticed the fault."""


@dataclass(frozen=True)
class Room:
    """A room, the tests that fail there without any fault, and what each of the others calls."""

    name: str
    failed: tuple[str, ...]
    touched: dict[str, dict]

    def callers(self, change: Change) -> tuple[list[str], list[str]]:
        """Tests that call the function of a change, quickest first; then the others that call its module."""
        file = change.path.relative_to("blendlab").as_posix()
        first, rest = [], []
        for test, seen in sorted(self.touched.items(), key=lambda item: item[1]["seconds"]):
            if change.function and f"{file}:{change.function}" in seen["functions"]:
                first.append(test)
            elif any(name.startswith(f"{file}:") for name in seen["functions"]):
                rest.append(test)
        return first, rest

    def seconds(self, tests: list[str]) -> float:
        return sum(self.touched[test]["seconds"] for test in tests)


class Copy:
    """One copy of package and tests."""

    def __init__(self, place: Path) -> None:
        self.place = place
        ignored = shutil.ignore_patterns("__pycache__", ".*_cache", ".hypothesis", "*.egg-info")
        for part in ("blendlab", "tests", "swatches"):
            shutil.copytree(ROOT / part, place / part, ignore=ignored)
        for part in ("pyproject.toml", "README.md", "DEVELOPERS.md", "app.py"):
            shutil.copy(ROOT / part, place / part)

    def room(self, name: str) -> Room:
        """Run the tests of a room once, unchanged, and note what they call."""
        named = (f"tests/{name}", f"tests/test_{name}.py", f"blendlab/{name}", f"blendlab/{name}.py")
        tests = tuple(path for path in (*named, "tests/test_rows.py") if (self.place / path).exists())
        noted = self.place / f"touched-{name}.json"
        self._pytest(["--maxfail=0", *tests], {touched.WHERE: str(noted)}, None)
        seen = json.loads(noted.read_text(encoding="utf-8"))
        failed = tuple(seen["failed"])
        return Room(
            name, failed, {test: calls for test, calls in seen["tests"].items() if test not in failed}
        )

    def noticed(self, change: Change, room: Room) -> str:
        """ "killed", "killed, too slow", "survived" or "survived, no test comes near"."""
        path = self.place / change.path
        text = path.read_text(encoding="utf-8")
        path.write_text(change.apply(text), encoding="utf-8")
        self._forget_compiled(path)
        try:
            first, rest = room.callers(change)
            for tests in filter(None, (first, rest)):
                if said := self._tried(room, tests):
                    return said
            return "survived" if first or rest else "survived, no test comes near"
        finally:
            path.write_text(text, encoding="utf-8")
            self._forget_compiled(path)

    def _tried(self, room: Room, tests: list[str]) -> str:
        only = self.place / "only.json"
        only.write_text(json.dumps(tests), encoding="utf-8")
        files = sorted({test.partition("::")[0] for test in tests})
        most = max(AT_LEAST, SLOWER * room.seconds(tests))
        try:
            code = self._pytest(files, {touched.ONLY: str(only)}, most)
        except subprocess.TimeoutExpired:
            return "killed, too slow"
        return "killed" if code else ""

    def _pytest(self, tests, settings: dict[str, str], seconds: float | None) -> int:
        done = subprocess.run(
            [*PYTEST, "--hypothesis-seed=0", "-m", "not slow and not browser", *tests],
            cwd=self.place,
            env={**os.environ, **settings, "PYTHONPATH": str(self.place), "PYTHONHASHSEED": "0"},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=seconds,
            check=False,
        )
        return done.returncode

    def _forget_compiled(self, path: Path) -> None:
        for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
            compiled.unlink()
