"""The formula of a base as text, one ingredient a line."""

from __future__ import annotations

from dataclasses import replace

from blendlab import store
from blendlab.forms.form import Form
from blendlab.forms.on_shelf import save
from blendlab.recipe import Ref
from blendlab.shelf import Base, BaseLine, Ingredient, Shelf


def formula_text(base: Base, shelf: Shelf) -> str:
    """The formula of a base, one ingredient a line."""
    named = ((shelf.find(one.ingredient).name, one.pct) for one in base.lines if shelf.has(one.ingredient))
    return "\n".join(f"{name} {pct:g}" for name, pct in named)


def set_formula(folder: store.Folder, shelf: Shelf, base: Base, text: str) -> list[str]:
    """Write the formula of a base; one line may say "rest" and fills up to 100 %. Answers, or none."""
    form = Form({})
    ids = {one.name.casefold(): one for one in shelf.of("ingredient")}
    found: list[tuple[Ingredient, float | None]] = []
    for line in text.splitlines():
        name, _, figure = line.strip().removesuffix("%").rstrip().rpartition(" ")
        if not line.strip():
            continue
        item = ids.get(name.strip().casefold())
        if item is None:
            form.answers.append(f'"{line.strip()}": no ingredient of that name is on the shelf.')
        elif figure == "rest":
            found.append((item, None))
        else:
            pct = Form({"x": figure}, form.answers).figure("x", line.strip(), "%", 0, 100)
            found.append((item, pct or 0.0))
    if sum(pct is None for _, pct in found) > 1:
        form.answers.append("Only one line can be the rest.")
    if form.answers:
        return form.answers
    rest = max(0.0, round(100 - sum(pct or 0.0 for _, pct in found), 6))
    lines = tuple(
        BaseLine(ingredient=Ref(kind="ingredient", id=item.id), pct=rest if pct is None else pct)
        for item, pct in found
    )
    problem = save(folder, replace(base, lines=lines))
    return [problem] if problem else []
