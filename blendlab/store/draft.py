"""The one draft: written at every edit, offered again after a reload or a restart."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blendlab.codec import object_in, to_json
from blendlab.errors import BadDocument, Problem
from blendlab.store import atomic_write, documents
from blendlab.store.folder import Folder

WHAT = "draft"


def save_draft(folder: Folder, draft: Mapping[str, Any]) -> None:
    """Keep the draft: plain values, among them `design`.

    The last window to write wins, and the disk is not waited for: this runs at every edit.
    Raises NotSaved when the disk refuses, BadDocument for a value that JSON does not have.
    """
    atomic_write.put(folder.draft, to_json(WHAT, draft).encode(), durable=False)


def load_draft(folder: Folder) -> tuple[dict[str, Any] | None, str]:
    """The draft, or None; and a sentence when it could not be read and was set aside.

    Never raises: a broken draft must not keep the program from starting. Whether its design is one is
    for `recipe.from_dict` to say.
    """
    if not folder.draft.is_file():
        return None, ""
    try:
        draft = object_in(WHAT, documents.read(WHAT, folder.draft))
        if not isinstance(draft.get("design"), dict):
            raise BadDocument(WHAT, [Problem("design", "is missing")])
    except BadDocument as problem:
        return None, documents.set_aside_damaged(folder, folder.draft, problem).message
    return draft, ""


def forget_draft(folder: Folder) -> None:
    """Leave the draft: it moves to the bin."""
    if folder.draft.is_file():
        atomic_write.set_aside(folder.draft, folder.bin)
