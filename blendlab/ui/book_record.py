"""What the Book says of a batch in figures, on its page and on the printed record."""

from __future__ import annotations

from typing import Any

from blendlab import printing, store
from blendlab.production import (
    came_out,
    durability,
    line_words,
    lots_drawn,
    money,
    release,
    settings,
    stability,
)
from blendlab.ui import book_sales, outcome_rows, state
from blendlab.ui.words import book as say
from blendlab.ui.words import plural
from blendlab.units import degrees

Rows = list[tuple[str, str]]


def pdf(book: store.Book, shown: store.BatchPage) -> bytes:
    """The sheet with what was weighed from which lots, and what became of the batch once it is done."""
    plan, went = shown.now, lots_drawn.by_line(book, shown)
    weighed = {
        line.id: (went[line.id][0], line_words.grams(went[line.id][1], line.step_g))
        for line in plan.lines
        if line.id in went
    }
    line, heat_in = shown.line, settings.settings(state.folder()).heat_in
    record = {say.BECAME_OF_IT: _became(book, shown), say.KEPT_JARS: _kept(shown, heat_in)}
    known: dict[str, Any] = {"weighed": weighed, "done": _done(shown, heat_in), "record": record}
    return printing.sheet_pdf(plan, line.code, line.made_on, "", heat_in, **known)


def _done(shown: store.BatchPage, heat_in: str) -> dict[str, str]:
    """Each step that is ticked, with the temperature that was measured, or ""."""
    heats = {tick.subject: tick.data.get("celsius") for tick in shown.of("tick")}
    return {step: "" if heat is None else degrees(heat, heat_in) for step, heat in heats.items()}


def facts(book: store.Book, shown: store.BatchPage) -> Rows:
    """How a batch came out, how long it lasts, what it cost, what was decided."""
    cost = money.made_words(book, shown, state.shelf(), settings.settings(state.folder()))
    return [
        (say.MADE_ON, f"{shown.line.made_on}"),
        *outcome_rows.rows(came_out.of_batch(book, shown)),
        *_measured(shown),
        (say.LASTS, durability.in_words(book, shown)),
        (say.COST, cost),
        (say.DECISION, _decision(shown)),
    ]


def _became(book: store.Book, shown: store.BatchPage) -> Rows:
    """The rows of a record; none before something was filled or came out of the pot."""
    came = came_out.of_batch(book, shown)
    if came.balance is None:
        return []
    rows = [*outcome_rows.rows(came), *_measured(shown), (say.LASTS, durability.in_words(book, shown))]
    if shown.line.kind == "jars":
        filled = say.FILLED_GRAMS.format(grams=", ".join(f"{grams:g}" for grams in shown.filled_g))
        rows += [(say.FILLED, filled), *book_sales.account(shown)]
    return [row for row in (*rows, (say.DECISION, _decision(shown))) if row[1]]


def _kept(shown: store.BatchPage, heat_in: str) -> Rows:
    log = stability.log_of(shown, state.today())
    return stability.record(state.folder(), log, heat_in) if shown.line.kind == "jars" else []


def _measured(shown: store.BatchPage) -> Rows:
    seen = release.evidence(shown)
    rows = [(say.PH, say.NOT_MEASURED if seen.pH is None else f"{seen.pH:g}")]
    if shown.line.kind == "jars":
        density = seen.density_g_ml
        foam = say.NOT_WEIGHED if density is None else say.FOAM_DENSITY.format(density=density)
        rows.insert(0, (say.FOAM, foam))
    return rows


def _decision(shown: store.BatchPage) -> str:
    """What was decided about a batch of jars; "" for a cooked base, which is never sold as it is."""
    decided = shown.of("release")
    if decided:
        said = decided[-1].data
        read = plural(len(said["read"]), *say.READ_BEFORE) if said.get("read") else ""
        return say.DECIDED.format(decision=decided[-1].subject, day=said["on"]) + read
    return say.OPEN if shown.line.kind == "jars" else ""
