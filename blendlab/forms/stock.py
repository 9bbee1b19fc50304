"""Typed words -> lots, bought and cooked bases, raw materials, scales, prices; every answer at once."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.facts.palette import bases
from blendlab.forms.form import Added, Form, Typed, free_id, keep, name_of
from blendlab.recipe import Ref
from blendlab.shelf import (
    PHASES,
    Base,
    Component,
    Ingredient,
    Item,
    Jar,
    Lot,
    Price,
    Scale,
    Shelf,
)
from blendlab.store import Book

FUNCTIONS = (
    "surfactant", "fatty acid", "humectant", "water", "oil", "sugar", "chelator", "acid", "preservative",
    "antioxidant", "butter", "other",
)  # fmt: skip


def save(folder: store.Folder, item: Item) -> str:
    """Put a changed item in place of the one on the shelf; "" or what went wrong."""
    try:
        seen = store.open_item(folder, item.kind, item.id).digest
        store.save_item(folder, item, seen)
    except BlendlabError as problem:
        return str(problem)
    return ""


# --- lots ---------------------------------------------------------------------------------------------


def receive(book: Book, folder: store.Folder, shelf: Shelf, typed: Typed) -> tuple[str, list[str]]:
    """A delivery into the book; a sentence, or every answer at once."""
    form = Form(typed)
    item = shelf.today(form.text("kind"), form.text("item"))
    if item is None:
        return "", ["Choose what came."]
    if not form.text("code"):
        form.answers.append("The code of the lot is missing.")
    grams = form.wanted("grams", "What came", "g", 0, 1_000_000)
    received, expiry = form.day("received", "Received"), form.day("expiry", "Use by")
    opened = form.day("opened", "Opened")
    data = _base_data(form) if isinstance(item, Base) else {}
    price = _price(form)
    if form.answers:
        return "", form.answers
    lot = Lot(
        code=form.text("code"),
        of=item.ref,
        name=item.name,
        supplier=form.text("supplier"),
        received=received,
        expiry=expiry,
        opened=opened,
        document=form.text("document"),
    )
    form.tried(lambda: book.receive(lot, grams, data), "Not written")
    if price is not None and not form.answers:
        problem = save(folder, _priced(item, price))
        form.answers += [problem] if problem else []
    return f"Lot {lot.code} of {item.name}: {grams:g} g are in the book.", form.answers


def _base_data(form: Form) -> dict[str, Any]:
    """What is known of one lot of a base: preservative known, in a range or unknown, pH, foam, order."""
    data: dict[str, Any] = {}
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
    how = form.text("kept")
    if how == "known" and low is not None:
        data["preservative_pct"] = [low, low]
    elif how == "range" and low is not None and high is not None and low <= high:
        data["preservative_pct"] = [low, high]
    elif how in ("known", "range"):
        form.answers.append("The percent of preservative is missing, or its range is upside down.")
    elif how == "unknown":
        data["preservative_pct"] = "unknown"
    for key, name, what, unit, least, most in (
        ("pH", "ph", "pH", "", 0, 14),
        ("density_whipped_g_ml", "foam", "Whipped cup", "g/ml", 0.1, 2),
        ("add_below_c", "heat", "Preservative in below", "C", 0, 150),
    ):
        figure = form.figure(name, what, unit, least, most)
        if figure is not None:
            data[key] = figure
    order = _order(form)
    return {**data, "in_order": order} if order else data


def _order(form: Form) -> dict[str, list[float]]:
    """Declared names with low and high percent, one a line: "Glycerin 10 15"."""
    found: dict[str, list[float]] = {}
    for line in form.text("order").splitlines():
        words = line.replace("%", " ").replace("–", " ").split()
        figures = [one for one in words[-2:] if one[:1].isdigit()]
        name = " ".join(words[: len(words) - len(figures)])
        if not figures or not name:
            if line.strip():
                form.answers.append(f'"{line.strip()}": write a name and its percent, low and high.')
            continue
        each = [Form({"x": one}, form.answers).figure("x", line.strip(), "%", 0, 100) for one in figures]
        numbers = [one for one in each if one is not None]
        if numbers:
            found[name] = [numbers[0], numbers[-1]]
    return found


# --- prices -------------------------------------------------------------------------------------------


def _price(form: Form) -> Price | None:
    if not form.text("price"):
        return None
    cost = form.wanted("price", "Price of the pack", "", 0, 1_000_000)
    grams = form.figure("pack", "Grams of the pack", "g", 0.001, 1_000_000)
    shipping = form.figure("shipping", "Share of the postage", "", 0, 100_000) or 0.0
    if grams is None:
        grams = form.wanted("grams", "Grams of the pack", "g", 0.001, 1_000_000)
    return None if form.answers else Price(pack_price=cost, pack_g=grams, shipping=shipping)


def _priced(item: Any, price: Price) -> Item:
    if isinstance(item, Ingredient | Base):
        return replace(item, price=price)
    each = (price.pack_price + price.shipping + price.tax) / price.pack_g
    return replace(item, price_per_g=each)  # type: ignore[no-any-return]


def per_kg(item: Any) -> float | None:
    """What was paid for a kilogram of something, or for a jar, waste not counted; None = not known."""
    if isinstance(item, Jar):
        return item.price_each
    if isinstance(item, Ingredient | Base):
        paid = item.price
        if paid is not None:
            return 1000 * (paid.pack_price + paid.shipping + paid.tax) / paid.pack_g
    each: float | None = getattr(item, "price_per_g", None)
    return None if each is None else 1000 * each


def set_price(folder: store.Folder, item: Any, figure: float) -> str:
    """Write a price of a kilogram, or of a jar with its lid; "" or what went wrong."""
    if isinstance(item, Jar):
        return save(folder, replace(item, price_each=figure))
    if isinstance(item, Ingredient | Base):
        return save(folder, replace(item, price=Price(pack_price=figure, pack_g=1000.0)))
    return save(folder, replace(item, price_per_g=figure / 1000))


# --- raw materials, scales, bought bases --------------------------------------------------------------


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
    like = next((one for one in bases() if one.product == kind), None)
    density = form.figure("density", "Density before whipping", "g/ml", 0.3, 2.5)
    acidity = form.figure("ph", "pH", "", 0, 14)
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
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
        preservative_pct=None
        if low is None or not kept
        else (low, max(low, high if high is not None else low)),
        declared=tuple(one.strip() for one in form.text("declared").splitlines() if one.strip()),
    )
    told = ["Whether it carries a fragrance of its own is not known; the Scent page asks for it."]
    return keep(folder, form, made, told)


def _components(form: Form) -> tuple[Component, ...]:
    """Components, one a line: "INCI; CAS; low; high" or "INCI; low; high"."""
    found = []
    for line in form.text("components").splitlines():
        cells = [one.strip() for one in line.split(";") if one.strip()]
        if not cells:
            continue
        cas = cells.pop(1) if len(cells) > 1 and cells[1].count("-") == 2 else ""
        figures = [
            Form({"x": one}, form.answers).figure("x", line.strip(), "%", 0, 100) for one in cells[1:3]
        ]
        numbers = [one for one in figures if one is not None]
        if not numbers:
            form.answers.append(f'"{line.strip()}": write INCI; CAS; low percent; high percent.')
            continue
        low, high = min(numbers), max(numbers)
        found.append(Component(inci=cells[0], cas=cas, low_pct=low, high_pct=high))
    if not found and not form.answers:
        form.answers.append("Components are missing; without them no ingredient list can be written.")
    return tuple(found)
