"""Typed words -> raw materials, bought bases and scales on her shelf; every answer at once, in words."""

from __future__ import annotations

from dataclasses import replace

from blendlab import store
from blendlab.facts.palette import bases
from blendlab.forms.form import Form, Typed
from blendlab.forms.on_shelf import Added, free_id, keep, name_of
from blendlab.recipe import Ref
from blendlab.shelf import (
    PHASES,
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


def add_scale(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A scale out of a form."""
    form = Form(typed)
    name = name_of(form, shelf, "scale")
    step = form.wanted("step", "Step of its display", "g", 0.0001, 100)
    most = form.wanted("most", "What it carries", "g", 0.1, 100_000)
    if form.answers:
        return None, form.answers, []
    made = Scale(id=free_id(shelf, "scale", name), name=name, step_g=step, capacity_g=most)
    return keep(folder, form, made, [])


def add_ingredient(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A raw material out of a form: its components, what it does, what its sheet allows."""
    form = Form(typed)
    name = name_of(form, shelf, "ingredient")
    parts = _components(form)
    figures = {
        key: form.figure(key, what, "%", 0, 100)
        for key, what in (
            ("water", "Water"),
            ("active", "Active surfactant"),
            ("low", "Least"),
            ("high", "Most"),
        )
    }
    form.rising("What its sheet allows", figures["low"], figures["high"])
    density = form.figure("density", "Density", "g/ml", 0.1, 25)
    heat = form.figure("heat", "In below", "C", 0, 150)
    price = form.figure("per_kg", "Price of a kilogram", "", 0, 1_000_000)
    if form.answers:
        return None, form.answers, []
    made = Ingredient(
        id=free_id(shelf, "ingredient", name),
        name=name,
        function=form.text("function") or "other",
        phase=form.text("phase") or PHASES[0],
        components=parts,
        charge=form.text("charge"),
        water_pct=figures["water"],
        active_pct=figures["active"] or 0.0,
        low_pct=figures["low"],
        high_pct=figures["high"],
        density_g_ml=density,
        add_below_c=heat,
        care=form.text("care"),
        supplier=form.text("supplier"),
        price=None if price is None else Price(pack_price=price, pack_g=1000.0),
    )
    return keep(folder, form, made, [])


def add_base(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A base out of a form: its white is the starter base's of its kind until she measures."""
    form = Form(typed)
    name = name_of(form, shelf, "base")
    kind = form.text("product")
    like = next((base for base in bases() if base.product == kind), None)
    density = form.figure("density", "Density before whipping", "g/ml", 0.3, 2.5)
    acidity = form.figure("ph", "pH", "", 0, 14)
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
    form.rising("Preservative", low, high)
    if form.answers or like is None:
        return None, form.answers or ["Choose what it is for."], []
    kept = form.text("kept")
    made = replace(
        like,
        id=free_id(shelf, "base", name),
        name=name,
        density_mix_g_ml=like.density_mix_g_ml if density is None else density,
        pH=acidity,
        actives={},
        own_fragrance_pct=None,
        preservative=Ref(kind="ingredient", id=kept) if kept else None,
        preservative_pct=None if low is None or not kept else (low, low if high is None else high),
        declared=tuple(name.strip() for name in form.text("declared").splitlines() if name.strip()),
    )
    told = ["Whether it carries a fragrance of its own is not known; the Scent page asks for it."]
    return keep(folder, form, made, told)


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
