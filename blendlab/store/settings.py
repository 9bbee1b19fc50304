"""Her settings: one document of plain texts beside the shelf."""

from __future__ import annotations

from typing import Any

from blendlab.store import atomic_write, documents
from blendlab.store.folder import Folder

NAME = "settings.json"


def read_settings(folder: Folder) -> dict[str, Any]:
    """The settings of a folder; empty where there are none yet.

    Raises BadDocument for a file that cannot be read.
    """
    path = folder.root / NAME
    return (
        documents.from_bytes("settings file", documents.read("settings file", path)) if path.exists() else {}
    )


def save_settings(folder: Folder, plain: dict[str, Any]) -> None:
    """Write the settings. Raises NotSaved."""
    path = folder.root / NAME
    with atomic_write.locked(folder.root):
        atomic_write.put(path, documents.to_bytes("settings file", plain))
