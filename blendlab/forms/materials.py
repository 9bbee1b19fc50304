"""Typed words -> raw materials, bought bases and scales on her shelf; every answer at once, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from blendlab import store
from blendlab.facts.palette import bases
from blendlab.forms.form import Form, Typed, as_typed
from blendlab.forms.on_shelf import Added, changed, free_id, keep, name_of
from blendlab.forms.prices import per_kg
from blendlab.recipe import Ref
from blendlab.shelf import (
    PHASES,
    Base,
    Component,
    Ingredient,
    Price,
    Scale,
    Shelf,
)

FUNCTIONS = (
    "surfactant", "fatty acid", "humectant", "water", "oil", "sugar", "chelator", "acid", "preservative",
    "antioxidant", "butter", "other",
)  # fmt: skip


OWN_UNKNOWN = (
    "Whether it carries a fragrance of its own is not known: enter it here, 0 for none, or enter its formula."
)


def add_scale(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A scale out of a form; with an id in `typed["edit"]` a new revision of that scale."""
    form = Form(typed)
    old = changed(form, shelf, Scale)
    name = name_of(form, shelf, "scale", old)
    step = form.wanted("step", "Step of its display", "g", 0.0001, 100)
    most = form.wanted("most", "What it carries", "g", 0.1, 100_000)
    if form.answers:
        return None, form.answers, []
    blank = old or Scale(id=free_id(shelf, "scale", name), name=name, step_g=step, capacity_g=most)
    made = replace(blank, name=name, step_g=step, capacity_g=most)
    return keep(folder, form, made, [], new=old is None)


def typed_of_scale(scale: Scale) -> dict[str, str]:
    """What the form would have held for a scale."""
    return {"name": scale.name, "step": as_typed(scale.step_g), "most": as_typed(scale.capacity_g)}


def add_ingredient(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A raw material out of a form: its components, what it does, what its sheet allows.

    With an id in `typed["edit"]` it becomes a new revision of that raw material.
    """
    form = Form(typed)
    old = changed(form, shelf, Ingredient)
    name = name_of(form, shelf, "ingredient", old)
    values = {"name": name, "components": _components(form), **_figures(form)}
    values |= {
        "function": form.text("function") or "other",
        "phase": form.text("phase") or PHASES[0],
        "charge": form.text("charge"),
        "care": form.text("care"),
        "supplier": form.text("supplier"),
        "price": _price(form, old),
    }
    form.rising("What its sheet allows", values["low_pct"], values["high_pct"])
    if form.answers:
        return None, form.answers, []
    made = replace(old, **values) if old else Ingredient(id=free_id(shelf, "ingredient", name), **values)
    return keep(folder, form, made, [], new=old is None)


def _figures(form: Form) -> dict[str, Any]:
    pcts = {
        "water_pct": form.figure("water", "Water", "%", 0, 100),
        "active_pct": form.figure("active", "Active surfactant", "%", 0, 100) or 0.0,
        "low_pct": form.figure("low", "Least", "%", 0, 100),
        "high_pct": form.figure("high", "Most", "%", 0, 100),
    }
    return {
        **pcts,
        "density_g_ml": form.figure("density", "Density", "g/ml", 0.1, 25),
        "add_below_c": form.figure("heat", "In below", "C", 0, 150),
    }


def _price(form: Form, old: Ingredient | None) -> Price | None:
    """The price of the form; a pack that was bought stays while the price of its kilogram does."""
    if old is not None and form.text("per_kg") == as_typed(per_kg(old)):
        return old.price
    price = form.figure("per_kg", "Price of a kilogram", "", 0, 1_000_000)
    return None if price is None else Price(pack_price=price, pack_g=1000.0)


def typed_of_ingredient(ingredient: Ingredient) -> dict[str, str]:
    """What the form would have held for a raw material."""
    cells = (
        (part.inci, part.cas, as_typed(part.low_pct), as_typed(part.high_pct))
        for part in ingredient.components
    )
    parts = ("; ".join(filter(None, row)) for row in cells)
    return {
        "name": ingredient.name,
        "components": "\n".join(parts),
        "function": ingredient.function,
        "phase": ingredient.phase,
        "charge": ingredient.charge,
        "water": as_typed(ingredient.water_pct),
        "active": as_typed(ingredient.active_pct or None),
        "low": as_typed(ingredient.low_pct),
        "high": as_typed(ingredient.high_pct),
        "density": as_typed(ingredient.density_g_ml),
        "heat": as_typed(ingredient.add_below_c),
        "care": ingredient.care,
        "supplier": ingredient.supplier,
        "per_kg": as_typed(per_kg(ingredient)),
    }


def add_base(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A base out of a form: its white is the starter base's of its kind until she measures.

    With an id in `typed["edit"]` it becomes a new revision of that base, whose white stays.
    """
    form = Form(typed)
    old = changed(form, shelf, Base)
    name = name_of(form, shelf, "base", old)
    like = old or next((base for base in bases() if base.product == form.text("product")), None)
    density = form.figure("density", "Density before whipping", "g/ml", 0.3, 2.5)
    acidity = form.figure("ph", "pH", "", 0, 14)
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
    own = form.figure("own", "Fragrance of its own", "%", 0, 100)
    form.rising("Preservative", low, high)
    if form.answers or like is None:
        return None, form.answers or ["Choose what it is for."], []
    kept = form.text("kept")
    made = replace(
        old or _unknown(like, free_id(shelf, "base", name)),
        name=name,
        density_mix_g_ml=density,
        pH=acidity,
        own_fragrance_pct=own,
        preservative=Ref(kind="ingredient", id=kept) if kept else None,
        preservative_pct=None if low is None or not kept else (low, low if high is None else high),
        declared=tuple(name.strip() for name in form.text("declared").splitlines() if name.strip()),
    )
    told = [] if own is not None else [OWN_UNKNOWN]
    return keep(folder, form, made, [] if old else told, new=old is None)


def _unknown(like: Base, item_id: str) -> Base:
    """A base of which nothing is known but the white of its kind."""
    return replace(like, id=item_id, actives={}, own_fragrance_pct=None)


def typed_of_base(base: Base) -> dict[str, str]:
    """What the form would have held for a base."""
    low, high = base.preservative_pct or (None, None)
    return {
        "name": base.name,
        "density": as_typed(base.density_mix_g_ml),
        "ph": as_typed(base.pH),
        "own": as_typed(base.own_fragrance_pct),
        "kept": base.preservative.id if base.preservative else "",
        "low": as_typed(low),
        "high": as_typed(high),
        "declared": "\n".join(base.declared),
    }


def _components(form: Form) -> tuple[Component, ...]:
    """Components, one a line: "INCI; CAS; low; high" or "INCI; low; high"."""
    found = []
    for line in form.text("components").splitlines():
        cells = [cell.strip() for cell in line.split(";") if cell.strip()]
        if not cells:
            continue
        cas = cells.pop(1) if len(cells) > 1 and cells[1].count("-") == 2 else ""
        figures = [
            Form({"x": cell}, form.answers).figure("x", line.strip(), "%", 0, 100) for cell in cells[1:3]
        ]
        numbers = [number for number in figures if number is not None]
        if not numbers:
            form.answers.append(f'"{line.strip()}": write INCI; CAS; low percent; high percent.')
            continue
        form.rising(f'"{line.strip()}"', numbers[0], numbers[-1])
        if not form.answers:
            found.append(Component(inci=cells[0], cas=cas, low_pct=numbers[0], high_pct=numbers[-1]))
    if not found and not form.answers:
        form.answers.append("Components are missing; without them no ingredient list can be written.")
    return tuple(found)
