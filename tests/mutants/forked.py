"""Trials without starting Python anew: a process that has read package and tests is split for each fault.

The child puts the faulty function in the place of the sound one, runs the tests and ends. What cannot be
put in place (a constant of a module, a default, a decorator) or was called while package and tests were
read, so that its answer may be kept somewhere, is tried in a new process by `trial`.
"""

from __future__ import annotations

import gc
import inspect
import json
import os
import signal
import sys
import time
from pathlib import Path
from types import CodeType, FunctionType

ANSWER = "said: "
READY, KILLED, LIVED, SLOW, ELSEWHERE = "ready", "killed", "lived", "slow", "elsewhere"
_called: set[CodeType] = set()


def listen() -> None:
    """Note what is called while package and tests are read."""
    sys.setprofile(lambda frame, event, _: _called.add(frame.f_code) if event == "call" else None)


def serve(items: list, failed: set[str]) -> None:
    """Answer each line of stdin: path, sound and faulty text, tests, seconds."""
    sys.setprofile(None)
    by_id = {item.nodeid: item for item in items}
    _say(READY)
    for line in sys.stdin:
        wish = json.loads(line)
        _say(_tried(wish, [by_id[name] for name in wish["tests"]], failed))


def _say(word: str) -> None:
    sys.stdout.write(f"\n{ANSWER}{word}\n")
    sys.stdout.flush()


def _tried(wish: dict, items: list, failed: set[str]) -> str:
    child = os.fork()
    if not child:
        try:
            _run(wish, items, failed)
        finally:
            os._exit(3)
    return _ended(child, wish["seconds"])


def _ended(child: int, seconds: float) -> str:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return {0: LIVED, 3: ELSEWHERE}.get(os.waitstatus_to_exitcode(status), KILLED)
        time.sleep(0.005)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return SLOW


def _run(wish: dict, items: list, failed: set[str]) -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    path = str(Path.cwd() / wish["path"])
    if not put_in_place(path, wish["sound"], wish["faulty"]):
        os._exit(3)
    for item, after in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        if failed:
            os._exit(1)
    os._exit(0)


def put_in_place(path: str, sound: str, faulty: str) -> bool:
    """Whether the fault lies in functions alone, which now have it."""
    old, new = (list(_inside(compile(text, path, "exec"))) for text in (sound, faulty))
    if [_name(code) for code in old] != [_name(code) for code in new]:
        return False
    pairs = list(zip(old, new, strict=True))
    if any(_own(before) != _own(after) for before, after in pairs if not _is_function(before)):
        return False
    changed = {(_name(before), before.co_firstlineno): after for before, after in pairs if before != after}
    found = [
        thing
        for thing in gc.get_objects()
        if isinstance(thing, FunctionType)
        and thing.__code__.co_filename == path
        and (_name(thing.__code__), thing.__code__.co_firstlineno) in changed
    ]
    if not found or any(function.__code__ in _called for function in found):
        return False
    for function in found:
        function.__code__ = changed[_name(function.__code__), function.__code__.co_firstlineno]
    return True


def _inside(code: CodeType):
    """A code and all codes in it, in their order."""
    yield code
    for part in code.co_consts:
        if isinstance(part, CodeType):
            yield from _inside(part)


def _name(code: CodeType) -> str:
    return code.co_qualname


def _is_function(code: CodeType) -> bool:
    return bool(code.co_flags & inspect.CO_NEWLOCALS and code.co_flags & inspect.CO_OPTIMIZED)


def _own(code: CodeType) -> tuple:
    """What a module or a class works out itself."""
    plain = tuple((type(part), part) for part in code.co_consts if not isinstance(part, CodeType))
    return code.co_code, code.co_names, repr(plain)
