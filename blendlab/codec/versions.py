"""Format numbers: what a later version of the program wrote is looked at, never written over."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blendlab.errors import NewerFormat


def format_of(plain: Any) -> int:
    """The format number that a document says it has; 1 where it says none.

    >>> format_of({"format": 3}), format_of({})
    (3, 1)
    """
    said = plain.get("format") if isinstance(plain, Mapping) else None
    return said if isinstance(said, int) and not isinstance(said, bool) else 1


def refuse_newer(what: str, plain: Any, known: int) -> None:
    """Raise NewerFormat for a document of a later format than `known`.

    >>> refuse_newer("line", {"format": 1}, 1)
    """
    if format_of(plain) > known:
        raise NewerFormat(what, format_of(plain), known)
