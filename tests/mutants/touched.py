"""pytest plugin: which functions of the package each test calls, how long it takes; trials on demand."""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path

import pytest

from tests.mutants import forked

WHERE, ONLY, SERVE = "MUTANTS_TOUCHED", "MUTANTS_ONLY", "MUTANTS_SERVE"
"""File to write what was touched to; file that names the tests to run; wait for trials."""
PACKAGE = str(Path.cwd() / "blendlab") + os.sep
_touched: dict[str, dict] = {}
_failed: set[str] = set()

if SERVE in os.environ:
    forked.listen()


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests():
    """A failing example is enough: none is made small, none is kept for the next fault."""
    from hypothesis import Phase, settings

    settings.register_profile("faults", database=None, phases=(Phase.explicit, Phase.generate))
    settings.load_profile("faults")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item, nextitem):
    if WHERE not in os.environ:
        return (yield)
    codes = set()
    start = time.perf_counter()
    sys.setprofile(lambda frame, event, _: codes.add(frame.f_code) if event == "call" else None)
    try:
        return (yield)
    finally:
        sys.setprofile(None)
        inside = {code for code in codes if code.co_filename.startswith(PACKAGE)}
        functions = {f"{code.co_filename[len(PACKAGE) :]}:{code.co_firstlineno}" for code in inside}
        _touched[item.nodeid] = {"seconds": time.perf_counter() - start, "functions": sorted(functions)}


def pytest_runtest_logreport(report):
    if report.failed:
        _failed.add(report.nodeid)


def pytest_collection_modifyitems(items):
    if ONLY in os.environ:
        wanted = json.loads(Path(os.environ[ONLY]).read_text(encoding="utf-8"))
        by_id = {item.nodeid: item for item in items}
        items[:] = [by_id[name] for name in wanted if name in by_id]


def pytest_runtestloop(session):
    if SERVE not in os.environ:
        return None
    forked.serve(session.items, _failed)
    return True


def pytest_sessionfinish():
    if WHERE in os.environ:
        Path(os.environ[WHERE]).write_text(
            json.dumps({"tests": _touched, "failed": sorted(_failed)}), encoding="utf-8"
        )
