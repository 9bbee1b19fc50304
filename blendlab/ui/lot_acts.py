"""Shelf, what is done with a lot in the book: counted, thrown away, held back, freed again, corrected."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import held_lots, stock_lots
from blendlab.ui import corrections, lot_correction, memo, mishap, parts, state
from blendlab.ui.words import shelf as say
from blendlab.units import read_number


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
    number = parts.one_of(say.LOT, known, "move-lot")
    st.text_input(say.GRAMS_MORE, key="move-grams", placeholder="-12.5")
    st.text_input(say.WHY, key="move-why", max_chars=120)
    parts.alert(st.session_state.get("move-answer", ""))
    st.button(say.WRITE_DOWN, key="put-move", on_click=_attempt, args=("move", lambda: _move(number)))


def _move(number: int) -> None:
    ss = st.session_state
    grams = read_number(ss["move-grams"], "g", -1_000_000, 1_000_000)
    memo.book().move(number, grams, "count" if grams > 0 else "waste", ss["move-why"].strip())
    ss["move-grams"] = ""


def _hold(known: dict[int, str], held: set[int]) -> None:
    number = parts.one_of(say.LOT, known, "hold-lot")
    st.text_input(say.WHY, key="hold-why", max_chars=120)
    parts.alert(st.session_state.get("hold-answer", ""))
    act = held_lots.free_again if number in held else held_lots.hold_back

    def write() -> None:
        act(memo.book(), number, st.session_state["hold-why"])
        if not corrections.after_lot(number) and number not in held:
            _went_into(number)

    label = say.FREE if number in held else say.HOLD_BACK
    st.button(label, key=f"put-hold-{number}-{number in held}", on_click=_attempt, args=("hold", write))


def _went_into(number: int) -> None:
    """Say which batches a lot that is held back went into, through cooked bases too."""
    found = held_lots.went_into(memo.book(), number)
    if found:
        parts.tell(say.MADE_WITH.format(codes=", ".join(found)))


@mishap.answered
def _attempt(which: str, act: Callable[[], None]) -> None:
    """Write to the book and empty the reason, or answer beside the fields."""
    ss = st.session_state
    try:
        act()
    except BlendlabError as problem:
        ss[f"{which}-answer"] = str(problem)
        return
    ss.update({f"{which}-answer": "", f"{which}-why": ""})
