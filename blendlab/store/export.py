"""Bytes to a file that she named herself."""

from __future__ import annotations

from pathlib import Path

from blendlab.errors import NotSaved
from blendlab.store import atomic_write


def export(path: Path, data: bytes) -> None:
    """Write a print or a picture where she asked for it, whole or not at all.

    Raises NotSaved with the reason when the folder is missing or refuses.
    """
    if not path.parent.is_dir():
        raise NotSaved(str(path), "there is no such folder")
    atomic_write.put(path, data)
