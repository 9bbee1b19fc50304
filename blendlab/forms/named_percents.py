"""Lines of a name and a percent -> items of her shelf with their percent."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from blendlab.forms.form import Form
from blendlab.shelf import Item

REST = "rest"
Named = TypeVar("Named", bound=Item)


def named_percents(
    form: Form, text: str, items: Iterable[Named], kind: str, unit: str = "%"
) -> list[tuple[Named, float]]:
    """Items with their percent, one a line: "Glycerin 10"; what could not be read is answered.

    kind  word for an item in an answer; unit  of another figure than a percent, 0 to 100 too
    """
    lines = _lines(form, text, items, kind, unit)
    return [(item, _figure(form, line, typed, unit)) for item, typed, line in lines]


def percents_with_rest(form: Form, text: str, items: Iterable[Named], kind: str) -> list[tuple[Named, float]]:
    """Items with their percent; one line may say "rest" and fills up to 100 %."""
    found = _lines(form, text, items, kind, "%")
    if sum(typed == REST for _, typed, _ in found) > 1:
        form.answers.append("Only one line can be the rest.")
    given = [0.0 if typed == REST else _figure(form, line, typed, "%") for _, typed, line in found]
    rest = max(0.0, round(100 - sum(given), 6))
    return [
        (item, rest if typed == REST else pct) for (item, typed, _), pct in zip(found, given, strict=True)
    ]


def _lines(
    form: Form, text: str, items: Iterable[Named], kind: str, unit: str
) -> list[tuple[Named, str, str]]:
    """Item, what stands behind its name, and the whole line."""
    known = {item.name.casefold(): item for item in items}
    found = []
    for line in (line.strip() for line in text.splitlines() if line.strip()):
        name, _, typed = line.removesuffix(unit).rstrip().rpartition(" ")
        item = known.get(name.strip().casefold())
        if item is None:
            near = [there.name for key, there in known.items() if _near(name, key)]
            meant = f" Do you mean {' or '.join(near)}?" if near else ""
            form.answers.append(f'"{line}": no {kind} of that name is on the shelf.{meant}')
        else:
            found.append((item, typed, line))
    return found


def _near(name: str, known: str) -> bool:
    """Whether every word that was typed stands in a name of the shelf."""
    typed = name.casefold().split()
    return bool(typed) and set(typed) <= set(known.split())


def _figure(form: Form, line: str, typed: str, unit: str) -> float:
    return Form({"figure": typed}, form.answers).figure("figure", line, unit, 0, 100) or 0.0
