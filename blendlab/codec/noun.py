"""Frozen nouns: fields that say their bounds, plain values, one text and one digest for equal nouns."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from blendlab.codec.json_text import to_json
from blendlab.errors import OutOfRange, UnknownName, WrongKind

YEARS = (1000, 8999)
"""Years that a date may lie in: months can be added and taken away without leaving the calendar."""
UNFIT = (OutOfRange, UnknownName, WrongKind)
"""What a field that is not as it must be raises."""


def number(low: float, high: float, unit: str, default: Any = MISSING) -> Any:
    """Field for a number between `low` and `high`, both allowed, in `unit`."""
    return field(default=default, metadata={"low": low, "high": high, "unit": unit})


def text(longest: int, default: Any = MISSING, pattern: str = "") -> Any:
    """Field for a text of at most `longest` characters, that fits `pattern` if there is one."""
    return field(default=default, metadata={"longest": longest, "pattern": pattern})


def choice(options: Sequence[Any], default: Any = MISSING) -> Any:
    """Field for one word, or one whole number, out of `options`."""
    return field(default=default, metadata={"options": tuple(options)})


def reference(*kinds: str, default: Any = MISSING) -> Any:
    """Field for a reference, or several, to things of these kinds."""
    return field(default=default, metadata={"kinds": kinds})


def moment(default: Any = MISSING) -> Any:
    """Field for a moment as ISO text with its offset, or "" for none."""
    return field(default=default, metadata={"longest": 40, "moment": True})


def local_time(moment: str) -> str:
    """A stored moment as she reads it: day, hour and minute by the clock of this machine; no moment as it is.

    >>> local_time("last week")
    'last week'
    """
    try:
        return f"{datetime.fromisoformat(moment).astimezone():%Y-%m-%d %H:%M}"
    except (ValueError, OverflowError):
        return moment


def band(count: int, default: Any = MISSING) -> Any:
    """Field for `count` numbers of 0 or more (a spectrum)."""
    return field(default=default, metadata={"count": count, "low": 0.0, "high": math.inf, "unit": ""})


@dataclass(frozen=True, kw_only=True)
class Noun:
    """Base of every noun: checks its own fields when made, keeps unknown keys in `extra`."""

    extra: Mapping[str, Any] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        for name, bounds in _bounded(self.__class__):  # type: ignore[arg-type]
            check(name, getattr(self, name), bounds)


@cache
def _bounded(cls: type) -> tuple[tuple[str, Mapping[str, Any]], ...]:
    """Fields that have something to be checked: bounds, or a date."""
    return tuple(
        (declared.name, declared.metadata)
        for declared in fields(cls)
        if declared.metadata or "date" in str(declared.type)
    )


def check(name: str, value: Any, bounds: Mapping[str, Any]) -> None:
    """Hold a value of the right type to the bounds of its field. Raises one of `UNFIT`."""
    if isinstance(value, date):
        _check_year(name, value)
    if value is None or not bounds:
        return
    if "options" in bounds and value not in bounds["options"]:
        raise UnknownName(name, str(value), map(str, bounds["options"]))
    if "longest" in bounds:
        _check_text(name, value, bounds)
    if "count" in bounds and len(value) != bounds["count"]:
        raise OutOfRange(f"length of {name}", len(value), bounds["count"], bounds["count"], "numbers")
    for ref in _each(value) if "kinds" in bounds else ():
        if ref.kind not in bounds["kinds"]:
            raise WrongKind(ref.kind, ref.id, bounds["kinds"])
    for figure in _each(value) if "low" in bounds else ():
        if not bounds["low"] <= figure <= bounds["high"]:
            raise OutOfRange(name, figure, bounds["low"], bounds["high"], bounds["unit"])


def _each(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else (value,)


def _check_year(name: str, value: date) -> None:
    if not YEARS[0] <= value.year <= YEARS[1]:
        raise OutOfRange(f"year of {name}", value.year, *YEARS, "")


def _check_text(name: str, value: str, bounds: Mapping[str, Any]) -> None:
    if len(value) > bounds["longest"]:
        raise OutOfRange(f"length of {name}", len(value), 0, bounds["longest"], "characters")
    if bounds.get("pattern") and not re.fullmatch(bounds["pattern"], value):
        raise UnknownName(name, value, [bounds["pattern"]])
    if bounds.get("moment") and value:
        try:
            when = datetime.fromisoformat(value)
        except ValueError:
            raise UnknownName(name, value, ["a moment like 2026-11-25T10:30:00+00:00"]) from None
        _check_year(name, when)


def encode(value: Any) -> Any:
    """A noun, or anything made of nouns, as plain dicts, lists, texts and numbers."""
    if isinstance(value, Noun):
        return {**_encoded_fields(value), **encode(value.extra)}
    if isinstance(value, Mapping):
        return {key: encode(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [encode(inner) for inner in value]
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return _encoded_fields(value)
    return value


def _encoded_fields(value: Any) -> dict[str, Any]:
    return {
        declared.name: encode(getattr(value, declared.name))
        for declared in fields(value)
        if declared.name != "extra"
    }


def unknown_keys(noun: Any, path: str = "") -> Iterator[str]:
    """Paths of the keys that were kept without being understood."""
    if isinstance(noun, Noun):
        yield from (at(path, key) for key in noun.extra)
        for declared in fields(noun):
            if declared.name != "extra":
                yield from unknown_keys(getattr(noun, declared.name), at(path, declared.name))
    elif isinstance(noun, tuple):
        for position, inner in enumerate(noun):
            yield from unknown_keys(inner, f"{path}[{position}]")
    elif isinstance(noun, Mapping):
        for key, inner in noun.items():
            yield from unknown_keys(inner, at(path, key))


def at(path: str, key: str) -> str:
    """The path of a key below another path.

    >>> at("", "jar"), at("scent", "oils")
    ('jar', 'scent.oils')
    """
    return f"{path}.{key}" if path else str(key)


def canonical(value: Any) -> str:
    """JSON text that is equal for equal nouns: sorted keys, no spaces, 1.0 written as 1."""
    return to_json("value", _plain_numbers(encode(value)))


def _plain_numbers(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain_numbers(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain_numbers(inner) for inner in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def digest(value: Any) -> str:
    """First ten hexadecimal digits of the SHA-256 of what a noun says.

    Fields that hold their default are left out, so that a field added later changes no digest.
    """
    return hashlib.sha256(canonical(_said(value)).encode()).hexdigest()[:10]


def _said(value: Any) -> Any:
    if isinstance(value, Noun):
        said = {
            declared.name: getattr(value, declared.name)
            for declared in fields(value)
            if declared.name != "extra"
        }
        defaults = {declared.name: _default(declared) for declared in fields(value)}
        kept = {name: _said(inner) for name, inner in said.items() if inner != defaults[name]}
        return {**kept, **value.extra}
    if isinstance(value, Mapping):
        return {key: _said(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_said(inner) for inner in value]
    return value


def _default(declared: Field[Any]) -> Any:
    return declared.default_factory() if declared.default_factory is not MISSING else declared.default
