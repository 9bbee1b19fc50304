"""Plain values to frozen nouns: types, bounds and missing keys, every problem of a document at once."""

from __future__ import annotations

import math
import re
import types
import typing
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from functools import cache
from typing import Any, TypeVar

from blendlab.codec.noun import UNFIT, YEARS, Noun, at, check
from blendlab.errors import BadDocument, Problem

T = TypeVar("T", bound="Noun")


def decode(cls: type[T], data: Any) -> T:
    """The noun of class `cls` in a plain dict.

    Raises BadDocument that lists every problem of the document, each with where it stands,
    what was got and what is allowed.
    """
    problems: list[Problem] = []
    made = _noun(cls, data, "", problems)
    if problems:
        raise BadDocument(_word(cls), problems)
    return typing.cast("T", made)


def _word(cls: type) -> str:
    return cls.__name__.lower()


@cache
def _hints(cls: type) -> dict[str, Any]:
    return typing.get_type_hints(cls)


def _noun(cls: type, data: Any, path: str, problems: list[Problem]) -> Any:
    """A noun, or a plain dataclass such as a Finding, which keeps no unknown keys."""
    if not isinstance(data, Mapping):
        problems.append(Problem(path, f"is {_show(data)}; a {_word(cls)} with its keys is wanted"))
        return None
    known = {declared.name: declared for declared in fields(cls) if declared.name != "extra"}
    before = len(problems)
    values: dict[str, Any] = {}
    if issubclass(cls, Noun):
        values["extra"] = {key: kept for key, kept in data.items() if key not in known}
    for name, declared in known.items():
        if name in data:
            hint, where = _hints(cls)[name], at(path, name)
            values[name] = _field(hint, declared.metadata, data[name], where, problems)
        elif declared.default is MISSING and declared.default_factory is MISSING:
            problems.append(Problem(at(path, name), "is missing"))
    if len(problems) > before:
        return None
    try:
        return cls(**values)
    except UNFIT as problem:
        problems.append(Problem(path, str(problem)))
    return None


def _field(hint: Any, bounds: Mapping[str, Any], data: Any, path: str, problems: list[Problem]) -> Any:
    before = len(problems)
    value = _value(hint, data, path, problems)
    if len(problems) == before:
        try:
            check(path.rsplit(".", 1)[-1], value, bounds)
        except UNFIT as problem:
            problems.append(Problem(path, str(problem)))
    return value


def _value(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        if data is None and type(None) in args:
            return None
        return _value(next(arg for arg in args if arg is not type(None)), data, path, problems)
    if origin is typing.Literal:
        if data not in args:
            problems.append(Problem(path, f"is {_show(data)}; one of {', '.join(map(str, args))}"))
        return data
    if origin is tuple:
        return _tuple(args, data, path, problems)
    if origin in (Mapping, dict):
        return _mapping(args[1], data, path, problems)
    if is_dataclass(hint):
        return _noun(typing.cast("type", hint), data, path, problems)
    if hint is date:
        return _date(data, path, problems)
    return data if hint is Any else _plain(hint, data, path, problems)


def _tuple(args: tuple[Any, ...], data: Any, path: str, problems: list[Problem]) -> Any:
    if not isinstance(data, list | tuple):
        problems.append(Problem(path, f"is {_show(data)}; a list is wanted"))
        return ()
    if args[-1] is not Ellipsis and len(data) != len(args):
        problems.append(Problem(path, f"has {len(data)} entries; {len(args)} are wanted"))
        return ()
    hints = [args[0]] * len(data) if args[-1] is Ellipsis else args
    return tuple(
        _value(hint, inner, f"{path}[{position}]", problems)
        for position, (hint, inner) in enumerate(zip(hints, data, strict=True))
    )


def _mapping(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    if not isinstance(data, Mapping):
        problems.append(Problem(path, f"is {_show(data)}; names with values are wanted"))
        return {}
    return {str(key): _value(hint, inner, at(path, str(key)), problems) for key, inner in data.items()}


def _date(data: Any, path: str, problems: list[Problem]) -> Any:
    if isinstance(data, date):
        return data
    try:
        found = date.fromisoformat(data)
    except (TypeError, ValueError):
        problems.append(Problem(path, f"is {_show(data)}; a date like 2026-11-25 is wanted"))
        return None
    if not YEARS[0] <= found.year <= YEARS[1]:
        problems.append(Problem(path, f"is {_show(data)}; a year from {YEARS[0]} to {YEARS[1]} is wanted"))
        return None
    return found


_NAMES = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}
_MOST = 10**16
_HALF = re.compile("[\ud800-\udfff]")
"""Half a character: it can be neither shown nor written."""


def _plain(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    wanted: Iterable[type] = (int, float) if hint is float else (hint,)
    fits = isinstance(data, tuple(wanted)) and (hint is bool or not isinstance(data, bool))
    if fits and isinstance(data, int):
        fits = abs(data) <= _MOST
    if fits and isinstance(data, str):
        fits = _HALF.search(data) is None
    if not fits or (isinstance(data, float) and not math.isfinite(data)):
        problems.append(Problem(path, f"is {_show(data)}; {_NAMES[hint]} is wanted"))
        return data
    return float(data) if hint is float else data


def _show(data: Any) -> str:
    """A value in a sentence: short, and without characters that cannot be written."""
    if isinstance(data, int) and abs(data) > _MOST:
        return "a whole number without end"
    shown = repr(data).encode("utf-8", "backslashreplace").decode()
    return shown if len(shown) <= 40 else shown[:37] + "..."
