"""Texts that the book takes: what cannot be shown, printed or typed again is refused where it is written."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from typing import Any

from blendlab.store.book_errors import Refused

LINE_ENDS = "\n\r\t"
"""Controls that a note of several lines holds."""
LONGEST_CODE = 60


def refuse_code(of: str, code: str) -> None:
    """Raise Refused for a code that is empty, too long for a label, or holds what nothing shows.

    of  what it is the code of, in words

    >>> refuse_code("lot", "L-17")
    """
    if not code.strip():
        raise Refused(f"The {of} needs a code: write what stands on its pack, or one of your own.")
    if len(code) > LONGEST_CODE:
        raise Refused(
            f"The code of this {of} has {len(code)} characters; at most {LONGEST_CODE} fit a label."
        )
    if not code.isprintable():
        raise Refused(f"The code of this {of} holds a character that cannot be seen. Type it again by hand.")


def refuse_controls(*values: Any) -> None:
    """Raise Refused for a text, however deep inside, with a control character or half a character."""
    for value in values:
        if isinstance(value, str):
            _refuse(value)
        elif isinstance(value, Mapping):
            refuse_controls(*value, *value.values())
        elif isinstance(value, list | tuple | set | frozenset):
            refuse_controls(*value)


def _refuse(text: str) -> None:
    hidden = {unicodedata.category(letter) for letter in text if letter not in LINE_ENDS}
    if hidden & {"Cc", "Cs"}:
        shown = text.encode("ascii", "backslashreplace").decode()[:60]
        raise Refused(f'"{shown}" holds a character that cannot be shown. Type it again by hand.')
