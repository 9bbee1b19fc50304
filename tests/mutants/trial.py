"""A copy of the project in which faults are tried one by one; the project itself is never changed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.mutants import forked, touched
from tests.mutants.changes import Change

ROOT = Path(__file__).parents[2]
PYTEST = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "tests.mutants.touched"]
PYTEST += ["--hypothesis-seed=0", "-m", "not slow and not browser"]
SLOWER, AT_LEAST = 20, 60
"""Tests that take so many times as long as they did, and so many seconds, have noticed the fault."""


@dataclass(frozen=True)
class Room:
    """A room, the tests that fail there without any fault, and what each of the others calls."""

    name: str
    failed: tuple[str, ...]
    touched: dict[str, dict]

    def callers(self, change: Change) -> list[list[str]]:
        """Tests that call the function of a change, quickest first; then the others that call its module.

        What a module works out while it is read may be noticed anywhere in the room: then all the others.
        """
        file = change.path.relative_to("blendlab").as_posix()
        first, rest, others = [], [], []
        for test, seen in sorted(self.touched.items(), key=lambda item: item[1]["seconds"]):
            if change.function and f"{file}:{change.function}" in seen["functions"]:
                first.append(test)
            elif any(name.startswith(f"{file}:") for name in seen["functions"]):
                rest.append(test)
            elif not change.function:
                others.append(test)
        return [tests for tests in (first, rest, others) if tests]

    def seconds(self, tests: list[str]) -> float:
        return sum(self.touched[test]["seconds"] for test in tests)


class Copy:
    """One copy of package and tests."""

    def __init__(self, place: Path, rooms: list[str]) -> None:
        self.place = place
        self.rooms = rooms
        self.split: subprocess.Popen | None = None
        ignored = shutil.ignore_patterns("__pycache__", ".*_cache", ".hypothesis", "*.egg-info")
        for part in ("blendlab", "tests", "swatches"):
            shutil.copytree(ROOT / part, place / part, ignore=ignored)
        for part in ("pyproject.toml", "README.md", "DEVELOPERS.md", "app.py"):
            shutil.copy(ROOT / part, place / part)

    def tests(self, room: str) -> list[str]:
        """Where the tests of a room stand."""
        named = (f"tests/{room}", f"tests/test_{room}.py", f"blendlab/{room}", f"blendlab/{room}.py")
        return [path for path in (*named, "tests/test_rows.py") if (self.place / path).exists()]

    def room(self, name: str) -> Room:
        """Run the tests of a room once, unchanged, and note what they call."""
        noted = self.place / f"touched-{name}.json"
        code = self._pytest(["--maxfail=0", *self.tests(name)], {touched.WHERE: str(noted)}, None)
        if code not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
            raise RuntimeError(f"the tests of {name} cannot be read: run them with pytest first")
        seen = json.loads(noted.read_text(encoding="utf-8"))
        failed = tuple(seen["failed"])
        return Room(
            name, failed, {test: calls for test, calls in seen["tests"].items() if test not in failed}
        )

    def noticed(self, change: Change, room: Room) -> str:
        """ "killed", "killed, too slow", "survived" or "survived, no test comes near"."""
        self._ready()
        path = self.place / change.path
        sound = path.read_text(encoding="utf-8")
        faulty = change.apply(sound)
        groups = room.callers(change)
        path.write_text(faulty, encoding="utf-8")
        self._forget_compiled(path)
        try:
            wish = {"path": change.path.as_posix(), "sound": sound, "faulty": faulty}
            said = self._split_off(wish, room, groups) if groups else "survived, no test comes near"
            return said or self._anew(room, [test for tests in groups for test in tests])
        finally:
            path.write_text(sound, encoding="utf-8")
            self._forget_compiled(path)

    def close(self) -> None:
        if self.split:
            self.split.stdin.close()
            self.split.wait()

    def _split_off(self, wish: dict, room: Room, groups: list[list[str]]) -> str:
        """In a child of the process that has read everything already; empty if it cannot be tried there.

        Nothing was called there before, so that only tests which call the function can notice the fault.
        """
        answer = self._asked({**wish, "tests": groups[0], "seconds": most_seconds(room, groups[0])})
        said = {forked.ELSEWHERE: "", forked.LIVED: "survived", forked.SLOW: "killed, too slow"}
        return said.get(answer, "killed")

    def _ready(self) -> None:
        """The process that is split reads the sound package, before a fault is written."""
        if self.split:
            return
        tests = sorted({path for room in self.rooms for path in self.tests(room)})
        self.split = subprocess.Popen(
            [*PYTEST, "-s", *tests], **self._around({touched.SERVE: "1"}),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        self._answer()

    def _asked(self, wish: dict) -> str:
        self.split.stdin.write(json.dumps(wish) + "\n")
        self.split.stdin.flush()
        return self._answer()

    def _answer(self) -> str:
        for line in self.split.stdout:
            if line.startswith(forked.ANSWER):
                return line.removeprefix(forked.ANSWER).strip()
        raise RuntimeError("the process that is split for each fault has ended")

    def _anew(self, room: Room, tests: list[str]) -> str:
        """In a process that reads the faulty module from the disk."""
        only = self.place / "only.json"
        only.write_text(json.dumps(tests), encoding="utf-8")
        files = sorted({test.partition("::")[0] for test in tests})
        try:
            code = self._pytest(files, {touched.ONLY: str(only)}, most_seconds(room, tests))
        except subprocess.TimeoutExpired:
            return "killed, too slow"
        return "killed" if code else "survived"

    def _pytest(self, tests, settings: dict[str, str], seconds: float | None) -> int:
        done = subprocess.run(
            [*PYTEST, *tests], **self._around(settings),
            stdout=subprocess.DEVNULL, timeout=seconds, check=False,
        )  # fmt: skip
        return done.returncode

    def _around(self, settings: dict[str, str]) -> dict:
        paths = {"PYTHONPATH": str(self.place), "PYTHONHASHSEED": "0"}
        return {"cwd": self.place, "env": {**os.environ, **settings, **paths}, "stderr": subprocess.DEVNULL}

    def _forget_compiled(self, path: Path) -> None:
        for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
            compiled.unlink()


def most_seconds(room: Room, tests: list[str]) -> float:
    return max(AT_LEAST, SLOWER * room.seconds(tests))
