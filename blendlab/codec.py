"""Dict in, dict out for frozen nouns: fields that say their bounds, every problem at once.

A noun is a frozen dataclass below `Noun`. Its fields are declared with `number`, `text`, `choice`
or plainly by type; `decode` builds it from plain dicts (JSON), `encode` turns it back. Keys that
this version does not know stay in `extra` and are written again, and `unknown_keys` names them.
"""

from __future__ import annotations

import hashlib
import json
import math
import types
import typing
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from datetime import date
from functools import cache
from typing import Any, TypeVar

from blendlab.errors import BadDocument, OutOfRange, Problem, UnknownName, WrongKind

T = TypeVar("T", bound="Noun")


def number(low: float, high: float, unit: str, default: Any = MISSING) -> Any:
    """Field for a number between `low` and `high`, both allowed, in `unit`."""
    return field(default=default, metadata={"low": low, "high": high, "unit": unit})


def text(longest: int, default: Any = MISSING) -> Any:
    """Field for a text of at most `longest` characters."""
    return field(default=default, metadata={"longest": longest})


def choice(options: Sequence[str], default: Any = MISSING) -> Any:
    """Field for one word out of `options`."""
    return field(default=default, metadata={"options": tuple(options)})


def reference(*kinds: str, default: Any = MISSING) -> Any:
    """Field for a reference, or several, to things of these kinds."""
    return field(default=default, metadata={"kinds": kinds})


def band(count: int, default: Any = MISSING) -> Any:
    """Field for `count` numbers of 0 or more (a spectrum)."""
    return field(default=default, metadata={"count": count, "low": 0.0, "high": math.inf, "unit": ""})


@dataclass(frozen=True, kw_only=True)
class Noun:
    """Base of every noun: checks its own fields when made, keeps unknown keys in `extra`."""

    extra: Mapping[str, Any] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        for each in fields(self):
            _check(each.name, getattr(self, each.name), each.metadata)


def _check(name: str, value: Any, bounds: Mapping[str, Any]) -> None:
    if value is None or not bounds:
        return
    if "options" in bounds and value not in bounds["options"]:
        raise UnknownName(name, str(value), bounds["options"])
    if "longest" in bounds and len(value) > bounds["longest"]:
        raise OutOfRange(f"length of {name}", len(value), 0, bounds["longest"], "characters")
    if "count" in bounds and len(value) != bounds["count"]:
        raise OutOfRange(f"length of {name}", len(value), bounds["count"], bounds["count"], "numbers")
    for ref in _each(value) if "kinds" in bounds else ():
        if ref.kind not in bounds["kinds"]:
            raise WrongKind(ref.kind, ref.id, bounds["kinds"])
    if "low" in bounds:
        for figure in _each(value):
            if not bounds["low"] <= figure <= bounds["high"]:
                raise OutOfRange(name, figure, bounds["low"], bounds["high"], bounds["unit"])


def _each(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else (value,)


def encode(value: Any) -> Any:
    """A noun, or anything made of nouns, as plain dicts, lists, texts and numbers."""
    if isinstance(value, Noun):
        plain = {
            each.name: encode(getattr(value, each.name)) for each in fields(value) if each.name != "extra"
        }
        return {**plain, **encode(value.extra)}
    if isinstance(value, Mapping):
        return {key: encode(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [encode(one) for one in value]
    if isinstance(value, date):
        return value.isoformat()
    return value


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


def unknown_keys(noun: Any, path: str = "") -> Iterator[str]:
    """Paths of the keys that were kept without being understood."""
    if isinstance(noun, Noun):
        yield from (_at(path, key) for key in noun.extra)
        for each in fields(noun):
            if each.name != "extra":
                yield from unknown_keys(getattr(noun, each.name), _at(path, each.name))
    elif isinstance(noun, tuple):
        for position, one in enumerate(noun):
            yield from unknown_keys(one, f"{path}[{position}]")
    elif isinstance(noun, Mapping):
        for key, one in noun.items():
            yield from unknown_keys(one, _at(path, key))


def canonical(value: Any) -> str:
    """JSON text that is equal for equal nouns: sorted keys, no spaces, 1.0 written as 1."""
    plain = _plain_numbers(encode(value))
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _plain_numbers(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain_numbers(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain_numbers(one) for one in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def digest(value: Any) -> str:
    """First ten hexadecimal digits of the SHA-256 of what a noun says.

    Fields that hold their default are left out, so that a field added later changes no digest.
    """
    return hashlib.sha256(canonical(_said(value)).encode()).hexdigest()[:10]


def _said(value: Any) -> Any:
    if isinstance(value, Noun):
        said = {each.name: getattr(value, each.name) for each in fields(value) if each.name != "extra"}
        defaults = {each.name: _default(each) for each in fields(value)}
        kept = {name: _said(one) for name, one in said.items() if one != defaults[name]}
        return {**kept, **value.extra}
    if isinstance(value, Mapping):
        return {key: _said(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_said(one) for one in value]
    return value


def _default(each: Field[Any]) -> Any:
    return each.default_factory() if each.default_factory is not MISSING else each.default


def _word(cls: type) -> str:
    return cls.__name__.lower()


def _at(path: str, key: str) -> str:
    return f"{path}.{key}" if path else str(key)


@cache
def _hints(cls: type) -> dict[str, Any]:
    return typing.get_type_hints(cls)


def _noun(cls: type, data: Any, path: str, problems: list[Problem]) -> Any:
    if not isinstance(data, Mapping):
        problems.append(Problem(path, f"is {_show(data)}; a {_word(cls)} with its keys is wanted"))
        return None
    known = {each.name: each for each in fields(cls) if each.name != "extra"}
    before = len(problems)
    values: dict[str, Any] = {"extra": {key: one for key, one in data.items() if key not in known}}
    for name, each in known.items():
        if name in data:
            values[name] = _field(_hints(cls)[name], each.metadata, data[name], _at(path, name), problems)
        elif each.default is MISSING and each.default_factory is MISSING:
            problems.append(Problem(_at(path, name), "is missing"))
    if len(problems) > before:
        return None
    try:
        return cls(**values)
    except (OutOfRange, UnknownName, WrongKind) as problem:
        problems.append(Problem(path, str(problem)))
    return None


def _field(hint: Any, bounds: Mapping[str, Any], data: Any, path: str, problems: list[Problem]) -> Any:
    before = len(problems)
    value = _value(hint, data, path, problems)
    if len(problems) == before:
        try:
            _check(path.rsplit(".", 1)[-1], value, bounds)
        except (OutOfRange, UnknownName, WrongKind) as problem:
            problems.append(Problem(path, str(problem)))
    return value


def _value(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        if data is None and type(None) in args:
            return None
        return _value(next(one for one in args if one is not type(None)), data, path, problems)
    if origin is typing.Literal:
        return _plain(str, data, path, problems)
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
        _value(hint, one, f"{path}[{position}]", problems)
        for position, (hint, one) in enumerate(zip(hints, data, strict=True))
    )


def _mapping(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    if not isinstance(data, Mapping):
        problems.append(Problem(path, f"is {_show(data)}; names with values are wanted"))
        return {}
    return {str(key): _value(hint, one, _at(path, str(key)), problems) for key, one in data.items()}


def _date(data: Any, path: str, problems: list[Problem]) -> Any:
    if isinstance(data, date):
        return data
    try:
        return date.fromisoformat(data)
    except (TypeError, ValueError):
        problems.append(Problem(path, f"is {_show(data)}; a date like 2026-11-25 is wanted"))
    return None


_NAMES = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}


def _plain(hint: Any, data: Any, path: str, problems: list[Problem]) -> Any:
    wanted: Iterable[type] = (int, float) if hint is float else (hint,)
    fits = isinstance(data, tuple(wanted)) and (hint is bool or not isinstance(data, bool))
    if not fits or (hint is float and not math.isfinite(data)):
        problems.append(Problem(path, f"is {_show(data)}; {_NAMES[hint]} is wanted"))
        return data
    return float(data) if hint is float else data


def _show(data: Any) -> str:
    shown = repr(data)
    return shown if len(shown) <= 40 else shown[:37] + "..."
