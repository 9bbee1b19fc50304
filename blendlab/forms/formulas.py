"""The formula of a base as text, one ingredient a line, and what follows from it."""

from __future__ import annotations

from dataclasses import replace

from blendlab import store
from blendlab.batch.base_formula import with_formula
from blendlab.batch.formula import check_sum
from blendlab.forms.form import Form
from blendlab.forms.named_percents import REST, percents_with_rest
from blendlab.forms.on_shelf import save
from blendlab.shelf import Base, Shelf, Stirred
from blendlab.units import plain


def formula_text(base: Base, shelf: Shelf) -> str:
    """The formula of a base, one ingredient a line; one that was taken off the shelf by its id."""
    names = {item.id: item.name for item in shelf.of("ingredient")}
    named = ((names.get(line.ingredient.id, line.ingredient.id), line.pct) for line in base.lines)
    return "\n".join(f"{name} {plain(pct, 10)}" for name, pct in named)


def set_formula(folder: store.Folder, shelf: Shelf, base: Base, text: str) -> list[str]:
    """Write the formula of a base and what follows from it; one line may say "rest". Answers, or none.

    A formula that does not make 100 % is refused.
    """
    form = Form({})
    found = percents_with_rest(form, text, shelf.of("ingredient"), "ingredient")
    total, adds_up = check_sum([pct for _, pct in found])
    if not form.answers and found and not adds_up:
        form.answers.append(f"The formula adds up to {total:g} %; it is written down when it makes 100 %.")
    if form.answers:
        return form.answers
    problem = save(folder, with_formula(base, [Stirred(item, pct) for item, pct in found]))
    return [problem] if problem else []


def water_to_the_rest(shelf: Shelf, text: str) -> str:
    """The formula with its water as the rest; "" where it names no single water or nothing is left for it."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    waters = {item.name.casefold() for item in shelf.of("ingredient") if item.function == "water"}
    named = [line.removesuffix("%").rstrip().rpartition(" ")[0].strip() for line in lines]
    at = [place for place, name in enumerate(named) if name.casefold() in waters]
    if len(at) != 1:
        return ""
    asked = [f"{named[place]} {REST}" if place in at else line for place, line in enumerate(lines)]
    found = percents_with_rest(form := Form({}), "\n".join(asked), shelf.of("ingredient"), "ingredient")
    adds_up = check_sum([pct for _, pct in found])[1]
    return "\n".join(asked) if adds_up and not form.answers else ""


def confirm(folder: store.Folder, base: Base) -> str:
    """Confirm what a changed formula moved; "" or what went wrong."""
    return save(folder, replace(base, unconfirmed=()))
