"""Plain values to frozen nouns: types, bounds and missing keys, every problem of a document at once."""

from __future__ import annotations

import math
import re
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from functools import cache, partial
from typing import Any, NamedTuple, TypeVar

from blendlab.codec.noun import UNFIT, YEARS, Noun, at, check
from blendlab.errors import BadDocument, Problem

T = TypeVar("T", bound="Noun")
Reader = Callable[[Any, str, list[Problem]], Any]
"""Reads a plain value that stands at a path; what is wrong with it is added to the problems."""


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
    return re.sub("(?<!^)(?=[A-Z])", " ", cls.__name__).lower()


class _Known(NamedTuple):
    """A field of a noun: how to read it, its bounds, whether it must be there."""

    read: Reader
    bounds: Mapping[str, Any]
    wanted: bool


@cache
def _fields(cls: type) -> dict[str, _Known]:
    hints = typing.get_type_hints(cls)
    return {
        declared.name: _Known(
            _reader(hints[declared.name]),
            declared.metadata,
            declared.default is MISSING and declared.default_factory is MISSING,
        )
        for declared in fields(cls)
        if declared.name != "extra"
    }


def _noun(cls: type, data: Any, path: str, problems: list[Problem]) -> Any:
    """A noun, or a plain dataclass such as a Finding, which keeps no unknown keys."""
    if not isinstance(data, Mapping):
        problems.append(Problem(path, f"is {_show(data)}; a {_word(cls)} with its keys is wanted"))
        return None
    known, before = _fields(cls), len(problems)
    values: dict[str, Any] = {}
    if issubclass(cls, Noun):
        values["extra"] = {key: kept for key, kept in data.items() if key not in known}
    for name, declared in known.items():
        if name in data:
            values[name] = _field(declared, name, data[name], path, problems)
        elif declared.wanted:
            problems.append(Problem(at(path, name), "is missing"))
    if len(problems) > before:
        return None
    try:
        return cls(**values)
    except UNFIT as problem:
        problems.append(Problem(path, str(problem)))
    return None


def _field(declared: _Known, name: str, data: Any, path: str, problems: list[Problem]) -> Any:
    before, where = len(problems), at(path, name)
    value = declared.read(data, where, problems)
    if declared.bounds and len(problems) == before:
        try:
            check(name, value, declared.bounds)
        except UNFIT as problem:
            problems.append(Problem(where, str(problem)))
    return value


@cache
def _reader(hint: Any) -> Reader:
    """What reads a value of that type; worked out once, for the same few types are read all day."""
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        inner = _reader(next(arg for arg in args if arg is not type(None)))
        return partial(_optional, inner) if type(None) in args else inner
    if origin is typing.Literal:
        return partial(_word_of, args)
    if origin is tuple:
        return partial(_tuple, args)
    if origin in (Mapping, dict):
        return partial(_mapping, args[1])
    if is_dataclass(hint):
        return partial(_noun, typing.cast("type", hint))
    if hint is date:
        return _date
    return _as_it_is if hint is Any else partial(_plain, hint)


def _optional(inner: Reader, data: Any, path: str, problems: list[Problem]) -> Any:
    return None if data is None else inner(data, path, problems)


def _word_of(args: tuple[Any, ...], data: Any, path: str, problems: list[Problem]) -> Any:
    if data not in args:
        problems.append(Problem(path, f"is {_show(data)}; one of {', '.join(map(str, args))}"))
    return data


def _as_it_is(data: Any, path: str, problems: list[Problem]) -> Any:
    return data


def _tuple(args: tuple[Any, ...], data: Any, path: str, problems: list[Problem]) -> Any:
    if not isinstance(data, list | tuple):
        problems.append(Problem(path, f"is {_show(data)}; a list is wanted"))
        return ()
    if args[-1] is not Ellipsis and len(data) != len(args):
        problems.append(Problem(path, f"has {len(data)} entries; {len(args)} are wanted"))
        return ()
    hints = [args[0]] * len(data) if args[-1] is Ellipsis else args
    return tuple(
        _reader(hint)(inner, f"{path}[{position}]", problems)
        for position, (hint, inner) in enumerate(zip(hints, data, strict=True))
    )


def _mapping(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    if not isinstance(data, Mapping):
        problems.append(Problem(path, f"is {_show(data)}; names with values are wanted"))
        return {}
    read = _reader(hint)
    return {str(key): read(inner, at(path, str(key)), problems) for key, inner in data.items()}


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
    wanted = (int, float) if hint is float else hint
    fits = isinstance(data, wanted) and (hint is bool or not isinstance(data, bool))
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
