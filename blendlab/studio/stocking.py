"""Typed words -> lots, bought and cooked bases, raw materials, scales, prices; every answer at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from blendlab import batch, store
from blendlab.batch import Plan
from blendlab.batch.cost import make_or_buy_kg, money
from blendlab.batch.pricing import per_gram_of
from blendlab.batch.record import best_before
from blendlab.errors import BlendlabError
from blendlab.facts.palette import bases
from blendlab.recipe import Ref
from blendlab.shelf import (
    PHASES,
    Base,
    BaseLine,
    Component,
    Ingredient,
    Item,
    Jar,
    Lot,
    Price,
    Scale,
    Shelf,
)
from blendlab.store import BatchPage, Book
from blendlab.studio.adding import Added, Form, Typed, free_id, keep, name_of

FUNCTIONS = (
    "surfactant", "fatty acid", "humectant", "water", "oil", "sugar", "chelator", "acid", "preservative",
    "antioxidant", "butter", "other",
)  # fmt: skip
COOKED_MONTHS = 6
"""Best before of a cooked base until her own data exist: common practice."""


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


# --- cooking a base -----------------------------------------------------------------------------------


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


def figure_rows(base: Base, shelf: Shelf) -> list[tuple[str, str]]:
    """What the formula of a base adds up to, as rows."""
    made = batch.figures(base, shelf)
    water = "not known" if made.water_pct is None else f"{made.water_pct:.1f} %, {made.water_class}"
    density = "not known" if made.density_g_ml is None else f"{made.density_g_ml:.3f} g/ml"
    rows = [
        ("Sum", f"{made.sum_pct:.3f} %"),
        ("Water, all lines", water),
        ("Density before whipping", density),
    ]
    if made.active_surfactant_pct:
        rows.append(("Active surfactant", f"{made.active_surfactant_pct:.1f} % of the base"))
    return rows


def cooking(base: Base, shelf: Shelf, grams: float, book: Book, on: date) -> Plan:
    """The batch sheet of cooking a base, with the lots that are to be taken."""
    made = batch.cook(base, shelf, grams, on=on)
    lots = store.next_lots(book)
    named = tuple(
        replace(one, lot=lots[one.item].lot.code) if one.item in lots else one for one in made.lines
    )
    return replace(made, lines=named)


def cooked_lot(page: BatchPage, base: Base, typed: Typed, book: Book) -> list[str]:
    """Turn a cooked batch into a base lot; answers, or none."""
    form = Form(typed)
    grams = form.wanted("grams", "Base that came out", "g", 0, 1_000_000)
    code = form.text("code") or page.line.code
    if form.answers:
        return form.answers
    kept = [one for one in page.now.lines if one.what == "preservative"]
    put = sum(page.weighed.get(one.id, 0.0) for one in kept)
    whole = sum(page.weighed.values())
    pct = round(100 * put / whole, 4) if whole else 0.0
    data: dict[str, Any] = {"preservative_pct": [pct, pct]} if kept else {}
    acidity = page.of("ph")
    if acidity:
        data["pH"] = float(acidity[-1].data["pH"])
    lot = Lot(
        code=code,
        of=base.ref,
        name=base.name,
        received=page.line.made_on,
        expiry=best_before(page.line.made_on, COOKED_MONTHS),
    )
    form.tried(lambda: book.finish_base(page.line.code, lot, grams, data), "Not written")
    return form.answers


def make_or_buy(base: Base, shelf: Shelf, buy_per_kg: float, fixed_per_year: Any) -> str:
    """Make or buy, in a sentence."""
    own = per_gram_of(replace(base, price=None), shelf)
    if own is None:
        return "An ingredient has no price: making cannot be compared with buying."
    made = own * 1000
    from_kg = make_or_buy_kg(buy_per_kg, made, fixed_per_year)
    said = f"Raw materials cost {made:.2f} a kg, bought {buy_per_kg:.2f}."
    if from_kg is None:
        return f"{said} Buying is cheaper at any amount; own work is not even counted."
    if not money(fixed_per_year):
        return f"{said} With your fixed costs a year (Batch, rates) it says from how many kg making pays."
    return f"{said} Making pays from {from_kg:.0f} kg a year on."
