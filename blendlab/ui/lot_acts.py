"""Shelf, what is done with a lot in the book: counted, thrown away, held back, freed again, corrected."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.production import held_lots, pieces, stock_lots
from blendlab.ui import book_answers, corrections, lot_correction, memo, parts, state, typed
from blendlab.ui.words import shelf as say

MOVE, HOLD = "move-", "hold-"
"""What the keys of the fields of its forms begin with."""


def acts(found: Sequence[store.LotLine]) -> None:
    """The acts for the lots of a list."""
    known = {line.number: stock_lots.lot_label(line, state.today()) for line in found}
    if not known:
        return
    with st.container(horizontal=True, gap="small"):
        with st.popover(say.COUNT_WASTE, type="tertiary"):
            _count(known)
        with st.popover(say.HOLD_FREE, type="tertiary"):
            _hold(known, {line.number for line in found if line.held})
        with st.popover(say.CORRECT, type="tertiary"):
            lot_correction.form(found, known)


def _count(known: dict[int, str]) -> None:
    typed.hold("move", MOVE, {"grams": "", "why": ""})
    parts.one_of(say.LOT, known, typed.key(MOVE, "lot"))
    st.text_input(say.GRAMS_MORE, key=typed.key(MOVE, "grams"), placeholder="-12.5")
    st.text_input(say.WHY, key=typed.key(MOVE, "why"), max_chars=120)

    def act() -> None:
        given, grams = typed.fields(MOVE), book_answers.figure(f"{MOVE}grams", "g", -1_000_000, 1_000_000)
        pieces.change(memo.book(), given["lot"], grams, given["why"])

    book_answers.put(say.WRITE_DOWN, "move", MOVE, act, key="put-move")


def _hold(known: dict[int, str], held: set[int]) -> None:
    typed.hold("hold", HOLD, {"why": ""})
    shown = parts.one_of(say.LOT, known, typed.key(HOLD, "lot"))
    st.text_input(say.WHY, key=typed.key(HOLD, "why"), max_chars=120)
    free = shown in held

    def act() -> None:
        given = typed.fields(HOLD)
        write = held_lots.free_again if free else held_lots.hold_back
        called_back = corrections.set_lot_right(given["lot"], lambda: _written(write, given))
        if not called_back and not free:
            _went_into(given["lot"])

    book_answers.put(say.FREE if free else say.HOLD_BACK, "hold", HOLD, act, key=f"put-hold-{shown}-{free}")


def _written(write: Callable[[store.Book, int, str], None], given: Mapping[str, Any]) -> bool:
    write(memo.book(), given["lot"], given["why"])
    return True


def _went_into(number: int) -> None:
    """Say which batches a lot that is held back went into, through cooked bases too."""
    found = held_lots.went_into(memo.book(), number)
    if found:
        parts.tell(say.MADE_WITH.format(codes=", ".join(found)))
