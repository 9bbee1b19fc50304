"""The one JSON reader and writer: what a page could trip over later is refused at the door."""

from __future__ import annotations

import json
from typing import Any

from blendlab.errors import BadDocument, Problem

MOST_DIGITS = 16
"""Digits of the longest whole number that is read; a double keeps no more."""
DEEPEST = 40
"""Levels of lists and keys inside each other; the documents of this program need fewer than 12."""


def from_json(what: str, data: bytes | str) -> Any:
    """The plain values in a JSON text.

    what  the kind of document, for the sentence

    Raises BadDocument for text that is no JSON, and for values that JSON allows and nothing here can
    hold: endless numbers, half characters, a depth that no document has.

    >>> from_json("card", '{"jars": 24}')
    {'jars': 24}
    >>> from_json("card", "[NaN]")
    Traceback (most recent call last):
    ...
    blendlab.errors.BadDocument: This card cannot be read: the text cannot be read: NaN is not a number
    """
    try:
        text = data.decode("utf-8") if isinstance(data, bytes) else data
        plain = json.loads(text, parse_int=_integer, parse_float=_float, parse_constant=_constant)
        _refuse_depth(plain)
        if "\\u" in text:
            _refuse_half_characters(plain)
    except (ValueError, RecursionError) as problem:
        raise BadDocument(what, [Problem("", _reason(data, problem))]) from problem
    return plain


def object_in(what: str, data: bytes | str) -> dict[str, Any]:
    """The dict in a JSON text. Raises BadDocument for anything else than one JSON object."""
    plain = from_json(what, data)
    if not isinstance(plain, dict):
        raise BadDocument(what, [Problem("", "holds no keys with values")])
    return plain


def to_json(what: str, plain: Any, indent: int | None = None) -> str:
    """Plain values as JSON with sorted keys.

    indent  1 = one value a line, as files are written; None = as short as it can be

    Raises BadDocument for a value that JSON does not have.

    >>> to_json("line", {"name": "Spring", "cards": ["lagoon"]})
    '{"cards":["lagoon"],"name":"Spring"}'
    """
    separators = (",", ":") if indent is None else None
    try:
        text = json.dumps(
            plain, indent=indent, sort_keys=True, separators=separators, ensure_ascii=False, allow_nan=False
        )
        text.encode()
    except (TypeError, ValueError, RecursionError) as problem:
        raise BadDocument(what, [Problem("", f"holds what cannot be written: {problem}")]) from problem
    return text


def _integer(digits: str) -> int:
    if len(digits.lstrip("-")) > MOST_DIGITS:
        raise ValueError(f"a whole number of {len(digits)} digits; at most {MOST_DIGITS} are read")
    return int(digits)


def _float(digits: str) -> float:
    value = float(digits)
    if value - value != 0:
        raise ValueError(f"{digits[:20]} is too large a number")
    return value


def _constant(name: str) -> float:
    raise ValueError(f"{name} is not a number")


def _inside(plain: Any) -> Any:
    return plain.values() if isinstance(plain, dict) else plain if isinstance(plain, list) else ()


def _refuse_depth(plain: Any) -> None:
    level = [plain]
    for _ in range(DEEPEST):
        level = [inner for value in level for inner in _inside(value) if isinstance(inner, dict | list)]
        if not level:
            return
    raise ValueError(f"lists and keys inside each other, more than {DEEPEST} deep")


def _refuse_half_characters(plain: Any) -> None:
    """A pair of escapes makes one character; half of it alone can be neither shown nor written."""
    try:
        json.dumps(plain, ensure_ascii=False).encode()
    except UnicodeEncodeError as problem:
        raise ValueError("half a character") from problem


def _reason(data: bytes | str, problem: Exception) -> str:
    if not data.strip():
        return "the file is empty"
    if isinstance(problem, UnicodeDecodeError):
        return "the file is not text"
    if isinstance(problem, json.JSONDecodeError):
        return f"the text breaks off or goes wrong in line {problem.lineno}"
    if isinstance(problem, RecursionError):
        return f"the text cannot be read: lists and keys inside each other, more than {DEEPEST} deep"
    return f"the text cannot be read: {problem}"
