"""What went wrong without being foreseen, for whoever mends it: one text file in the maker's folder."""

from __future__ import annotations

import platform
import traceback
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from blendlab.errors import NotSaved
from blendlab.store import atomic_write, documents
from blendlab.store.folder import Folder

NAME = "errors.log"
LONGEST = 200_000
"""Bytes of the file; the oldest entries make room."""
LONGEST_ENTRY = 20_000
"""Characters of one traceback; its middle makes room."""
_RULE = "=" * 79 + "\n"


def record(folder: Folder, place: str, design: str, problem: BaseException) -> Path:
    """Add an entry to the log of the folder; returns where it lies.

    place   page or act in which it happened; design  digest of the design at work, "" for none

    Raises NotSaved when the disk refuses.
    """
    trace = "".join(traceback.format_exception(problem))
    if len(trace) > LONGEST_ENTRY:
        trace = f"{trace[:4000]}\n[...]\n{trace[4000 - LONGEST_ENTRY :]}"
    head = f"{documents.now()} | blendlab {_version()} | Python {platform.python_version()} | {place}"
    entry = f"{_RULE}{head} | design {design or 'none'}\n{trace}"
    path = folder.root / NAME
    with atomic_write.locked(folder.root):
        log = _before(path) + entry.encode(errors="backslashreplace")
        atomic_write.put(path, _last(log), durable=False)
    return path


def _before(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return b""
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem


def _last(data: bytes) -> bytes:
    """Whole entries from the end of a log, as many as may stay; the newest is always among them."""
    if len(data) <= LONGEST:
        return data
    return data[data.find(_RULE.encode(), len(data) - LONGEST) :]


def _version() -> str:
    try:
        return version("blendlab")
    except PackageNotFoundError:  # a copy that runs without having been installed
        return "of unknown version"
