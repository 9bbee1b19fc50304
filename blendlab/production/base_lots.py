"""Cooking a base lot: what its formula adds up to, its sheet, the lot it becomes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from blendlab import batch, store
from blendlab.batch import Plan
from blendlab.batch.record import best_before
from blendlab.facts.read import figure
from blendlab.forms.form import Form, Typed
from blendlab.production import kitchen_log, lots_drawn, plausible
from blendlab.production.plausible import asked
from blendlab.production.pot import mass_g
from blendlab.shelf import Base, Lot, Shelf, embedded, lines_of
from blendlab.store import BatchLog, BatchPage, Book, LotLine, at_once


def figure_rows(base: Base, shelf: Shelf) -> list[tuple[str, str]]:
    """What the formula of a base adds up to, as rows; what of it nobody has, instead."""
    gone = [
        line.ingredient.id for line in base.lines if shelf.today("ingredient", line.ingredient.id) is None
    ]
    if gone:
        return [("Not on the shelf", ", ".join(gone))]
    made = batch.figures(lines_of(base, shelf))
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


COOKED_G = (50, 1_000_000)
"""Least and most grams of a base that is cooked at once."""


def begin(book: Book, base: Base, shelf: Shelf, made: Plan, on: date) -> str:
    """Begin to cook a base in the book: its frozen sheet, and the base as it is. Returns the code."""
    items = (*embedded(base, shelf), base)
    code = book.start(made, on, kind="base", sku="BASE", items=items)
    book.write("note", "base", {"id": base.id}, code)
    return code


def cooked_as(book: Book, page: BatchLog, shelf: Shelf) -> Base | None:
    """The base that a batch cooks, as it was when it began; of an earlier version as it is on the shelf.

    None where nobody wrote down which, or where it is on no shelf. Raises BadDocument for one that cannot
    be read.
    """
    said = [note for note in page.of("note") if note.subject == "base"]
    base_id = str(said[-1].data.get("id", "")) if said else ""
    known = (*(store.taken(book, page) or ()), shelf.today("base", base_id))
    return next((item for item in known if isinstance(item, Base) and item.id == base_id), None)


def cooking(base: Base, shelf: Shelf, grams: float, book: Book, on: date) -> Plan:
    """The batch sheet of cooking a base, with the lots that are to be taken."""
    made = batch.cook(base, shelf, grams, on=on)
    lots = store.next_lots(book, on)
    named = tuple(
        replace(line, lot=lots[line.item].lot.code) if line.item in lots else line for line in made.lines
    )
    return replace(made, lines=named)


def cooked_lot(page: BatchPage, base: Base, typed: Typed, book: Book) -> list[str]:
    """Turn a cooked batch into a base lot; answers, or none. Not before every step of it is done.

    Raises Doubtful for much less than went in, while no reason is given.
    """
    form = Form(typed)
    if kitchen_log.stand(page).current is not None:
        form.answers.append(f"{page.line.code} is not finished: its steps come first.")
    grams = form.wanted("grams", "Base that came out", "g", 0, 1_000_000)
    code = form.text("code") or page.line.code
    minutes = form.figure("minutes", "Work", "min", 0, 10_000)
    left = form.figure("left", "Left in the pot", "g", 0, 1_000_000)
    if form.answers:
        return form.answers
    whole, step = mass_g(page), max((line.step_g for line in page.now.lines), default=0.0)
    if grams + (left or 0.0) > whole + step:
        rest = f" and {left:g} g are left" if left else ""
        return [f"{grams:g} g came out{rest}, but only {whole:g} g went in: weigh it again."]
    doubts = plausible.of_base(whole, grams + (left or 0.0))
    kept = asked({"left_g": left or 0.0}, doubts, form.text("why"))
    if left is None and "why" not in kept:
        kept = {}
    data = {key: said for key, said in _followed(page).items() if said is not None}
    if minutes is not None:
        data["minutes"] = minutes
    if kept_as := cooked_as(book, page, Shelf()):
        data["formula"] = kept_as.formula
    lot = Lot(
        code=code,
        of=base.ref,
        name=base.name,
        received=page.line.made_on,
        expiry=_ends(book, page),
    )
    form.tried(lambda: _finish(book, page.line.code, lot, grams, data, kept), "Not written")
    return form.answers


@at_once
def _finish(
    book: Book, code: str, lot: Lot, grams: float, data: dict[str, Any], kept: dict[str, Any]
) -> None:
    book.finish_base(code, lot, grams, data)
    if kept:
        book.write("yield", "left", kept, code)


MOST_WHY = 200
"""Letters of a reason that a lot has room for."""


def became(book: Book, code: str) -> LotLine | None:
    """The lot that a cooked base became; None while it is none."""
    return next((line for line in store.lots(book) if line.batch == code), None)


def told_anew(book: Book, before: BatchPage, why: str) -> int | None:
    """What the lot of a cooked base is once a line of its cooking was set right; its number, None = no lot.

    before  the batch as it stood

    What she wrote of the lot herself stays: only what its lines had given moves with them.
    """
    code = before.line.code
    line = became(book, code)
    if line is None:
        return None
    old, new = _followed(before), _followed(store.batch(book, code))
    moved = {key: new[key] for key in new if new[key] != old[key] and line.data.get(key) == old[key]}
    ends = _ends(book, store.batch(book, code))
    lot = line.lot if line.lot.expiry != _ends(book, before) else replace(line.lot, expiry=ends)
    if moved or lot != line.lot:
        book.correct_lot(line.number, lot, {**moved, "corrected": why.strip()[:MOST_WHY]})
    return line.number


def _followed(page: BatchPage) -> dict[str, Any]:
    """What a lot takes over from the lines of its cooking."""
    acidity = page.of("ph")
    pH = float(acidity[-1].data["pH"]) if acidity else None
    return {"pH": pH, **_preserved(page, mass_g(page))}


def _preserved(page: BatchPage, whole_g: float) -> dict[str, Any]:
    """Preservative of a cooked base by what was weighed of it and what the base weighs; 0 where none went in.

    Of two of them no percent is known: they do not add up.
    """
    kept = [line for line in page.now.lines if line.what == "preservative"]
    items = {line.item for line in kept}
    if len(items) > 1:
        return {"preservative_pct": "unknown"}
    put = sum(page.weighed.get(line.id, 0.0) for line in kept)
    pct = round(100 * put / whole_g, 4) if whole_g else 0.0
    data: dict[str, Any] = {"preservative_pct": [pct, pct]}
    return data | ({"kept_by": items.pop().partition(":")[2]} if items else {})


def _ends(book: Book, page: BatchPage) -> date:
    """The day a cooked base ends: by its age, never later than the first of its raw materials."""
    aged = best_before(page.line.made_on, int(figure("batch", "cooked_months").value))
    parts = lots_drawn.drawn(book, page).parts.values()
    return min([aged, *(line.lot.expiry for each in parts for line, _ in each if line.lot.expiry)])
