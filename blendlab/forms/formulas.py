"""The formula of a base as text, one ingredient a line."""

from __future__ import annotations

from dataclasses import replace

from blendlab import store
from blendlab.forms.form import Form
from blendlab.forms.named_percents import percents_with_rest
from blendlab.forms.on_shelf import save
from blendlab.shelf import Base, BaseLine, Shelf


def formula_text(base: Base, shelf: Shelf) -> str:
    """The formula of a base, one ingredient a line; one that was taken off the shelf by its id."""
    names = {item.id: item.name for item in shelf.of("ingredient")}
    named = ((names.get(line.ingredient.id, line.ingredient.id), line.pct) for line in base.lines)
    return "\n".join(f"{name} {pct:g}" for name, pct in named)


def set_formula(folder: store.Folder, shelf: Shelf, base: Base, text: str) -> list[str]:
    """Write the formula of a base; one line may say "rest" and fills up to 100 %. Answers, or none."""
    form = Form({})
    found = percents_with_rest(form, text, shelf.of("ingredient"), "ingredient")
    if form.answers:
        return form.answers
    lines = tuple(BaseLine(ingredient=replace(item.ref, rev=""), pct=pct) for item, pct in found)
    problem = save(folder, replace(base, lines=lines))
    return [problem] if problem else []
