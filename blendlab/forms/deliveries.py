"""Typed words -> a lot that came, in the book; every answer at once, in words."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab import store
from blendlab.codec import encode
from blendlab.forms.form import Form, Typed
from blendlab.forms.on_shelf import save
from blendlab.forms.prices import bought, price_of, priced
from blendlab.shelf import (
    Base,
    Lot,
    Shelf,
)
from blendlab.store import Book

NUMBERED = ("ci", "poloxamer", "polysorbate")
"""Declared names, from memory, whose number stands apart: "Polysorbate 20 5" is 5 % of Polysorbate 20."""


def receive(
    book: Book, folder: store.Folder, shelf: Shelf, typed: Typed, today: date
) -> tuple[str, list[str]]:
    """A delivery into the book; a sentence, or every answer at once."""
    form = Form(typed)
    item = shelf.today(form.text("kind"), form.text("item"))
    if item is None:
        return "", ["Choose what came."]
    if not form.text("code"):
        form.answers.append("The code of the lot is missing.")
    grams = form.wanted("grams", "What came", "g", 0, 1_000_000)
    days = lot_days(form, today)
    data = base_data(form) if isinstance(item, Base) else {}
    price = price_of(form)
    if form.answers:
        return "", form.answers
    dearer = None
    if price is not None:
        data["price"] = encode(price)
        if bought(item):
            dearer = form.tried(lambda: priced(item, price), "Price")
    if form.answers:
        return "", form.answers
    lot = Lot(
        code=form.text("code"),
        of=item.ref,
        name=item.name,
        supplier=form.text("supplier"),
        **days,
        document=form.text("document"),
    )
    form.tried(lambda: book.receive(lot, grams, data), "Not written")
    told = f"Lot {lot.code} of {item.name}: {grams:g} g are in the book."
    if dearer is not None and not form.answers:
        problem = save(folder, dearer)
        told += f" The price on the shelf is as it was: {problem}" if problem else ""
    return told, form.answers


def lot_days(form: Form, today: date) -> dict[str, Any]:
    """The days of a lot; answered where they cannot be: still to come, opened or ended before it came."""
    received, expiry = form.day("received", "Received"), form.day("expiry", "Use by")
    opened = form.day("opened", "Opened")
    for what, day in (("Received", received), ("Opened", opened)):
        if day is not None and day > today:
            form.answers.append(f"{what}: {day} is still to come.")
    for what, day in (("Opened", opened), ("Use by", expiry)):
        if day is not None and received is not None and day < received:
            form.answers.append(f"{what}: {day} is before it came, {received}; look at the pack again.")
    return {"received": received, "expiry": expiry, "opened": opened}


def base_data(form: Form) -> dict[str, Any]:
    """What is known of one lot of a base: preservative known, in a range or unknown, pH, foam, order."""
    kept = _kept(form)
    data: dict[str, Any] = {} if kept is None else {"preservative_pct": kept}
    for key, name, what, unit, least, most in (
        ("pH", "ph", "pH", "", 0, 14),
        ("density_whipped_g_ml", "foam", "Whipped cup", "g/ml", 0.1, 2),
        ("add_below_c", "heat", "Preservative in below", "C", 0, 150),
        ("own_fragrance_pct", "own", "Own fragrance", "%", 0, 100),
    ):
        figure = form.figure(name, what, unit, least, most)
        if figure is not None:
            data[key] = figure
    order = _order(form)
    return {**data, "in_order": order} if order else data


def _kept(form: Form) -> list[float] | str | None:
    """Low and high percent of preservative, "unknown", or None for as on the shelf.

    A percent beside a choice that takes none is answered: it may be what she meant.
    """
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
    how = form.text("kept")
    if how == "known" and low is not None and high in (None, low):
        return [low, low]
    if how == "range" and low is not None and high is not None and low <= high:
        return [low, high]
    if how == "known" and low is not None:
        form.answers.append("One percent of preservative, or a range: two figures are typed.")
    elif how in ("known", "range"):
        form.answers.append("The percent of preservative is missing, or its range is upside down.")
    elif low is not None or high is not None:
        form.answers.append(
            "A percent of preservative is typed: choose that it is one percent or a range, or take it out."
        )
    return "unknown" if how == "unknown" else None


def _order(form: Form) -> dict[str, list[float]]:
    """Declared names with low and high percent, one a line: "Glycerin 10 15"."""
    found: dict[str, list[float]] = {}
    for line in form.text("order").splitlines():
        words = line.replace("%", " ").replace("–", " ").split()
        figures = [word for word in words[-2:] if word[:1].isdigit()]
        name = " ".join(words[: len(words) - len(figures)])
        if figures and name.casefold() in NUMBERED:
            name = f"{name} {figures.pop(0)}"
        if not figures or not name:
            if line.strip():
                form.answers.append(f'"{line.strip()}": write a name and its percent, low and high.')
            continue
        each = [
            Form({"x": figure}, form.answers).figure("x", line.strip(), "%", 0, 100) for figure in figures
        ]
        numbers = [number for number in each if number is not None]
        if numbers:
            form.rising(name, numbers[0], numbers[-1])
            found[name] = [numbers[0], numbers[-1]]
    return found
