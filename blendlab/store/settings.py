"""Her settings: one document of plain texts beside the shelf."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from blendlab.codec import Noun, choice, decode, object_in, text
from blendlab.errors import BadDocument
from blendlab.store import atomic_write, documents
from blendlab.store.folder import Folder

NAME = "settings.json"
WHAT = "settings file"
CURRENCY = "EUR"
"""What a folder reckons in until another is chosen."""


@dataclass(frozen=True, kw_only=True)
class _Settings(Noun):
    """What is known of them; money is kept as text. "" = not set."""

    currency: str = text(20, default="")
    weigh_in: str = choice(("", "g", "oz"), default="")
    heat_in: str = choice(("", "C", "F"), default="")
    rates: Mapping[str, str] = field(default_factory=dict)
    maker: Mapping[str, str] = field(default_factory=dict)
    fixed_per_year: str = text(40, default="")
    order_days: Mapping[str, str] = field(default_factory=dict)
    closed: Mapping[str, str] = field(default_factory=dict)
    opened: Mapping[str, str] = field(default_factory=dict)


def read_settings(folder: Folder) -> dict[str, Any]:
    """The settings of a folder; empty where there are none yet.

    Raises BadDocument for a file that cannot be read; it is set aside, so that new ones can be written.
    """
    path = folder.root / NAME
    if not path.is_file():
        return {}
    try:
        return settings_in(documents.read(WHAT, path))
    except BadDocument as problem:
        documents.set_aside_damaged(folder, path, problem)
        raise


def settings_in(data: bytes) -> dict[str, Any]:
    """The settings in the bytes of a file. Raises BadDocument."""
    plain = object_in(WHAT, data)
    decode(_Settings, plain)
    return plain


def currency_in(data: bytes) -> str:
    """The currency that the settings in the bytes of a file reckon in. Raises BadDocument."""
    return settings_in(data).get("currency") or CURRENCY


def save_settings(folder: Folder, plain: dict[str, Any]) -> None:
    """Write the settings. Raises NotSaved, BadDocument for what could not be read again."""
    decode(_Settings, plain)
    path = folder.root / NAME
    with atomic_write.locked(folder.root):
        atomic_write.put(path, documents.to_bytes(WHAT, plain))
