"""Shelf: the form that corrects what the book says of a lot."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from blendlab import store
from blendlab.forms import lot_corrections
from blendlab.ui import corrections, memo, mishap, parts, state, typed
from blendlab.ui.words import shelf as say

PREFIX = "mend-lot-"
"""What the keys of its fields begin with."""
CHOICE = "corrected-"
"""What the key of the choice of a lot begins with."""


def form(known: Sequence[store.LotLine], named: dict[int, str]) -> None:
    """Choose a lot and correct what stands of it; `named` says each in words."""
    typed.hold("mend", CHOICE)
    number = parts.one_of(say.LOT, named, typed.key(CHOICE, "lot"))
    line = next(line for line in known if line.number == number)
    typed.hold(_form(number), PREFIX, lot_corrections.typed_of(line))
    fields = [*say.CORRECTED_FIELDS, say.CORRECTED_OF_COOKED if line.batch else say.PACK]
    fields += say.CORRECTED_OF_BASE if line.lot.of.kind == "base" else ()
    if line.lot.of.kind == "base":
        st.selectbox(
            say.KEPT_IS, list(say.KEPT), format_func=say.KEPT.__getitem__, key=typed.key(PREFIX, "kept")
        )
        st.text_area(say.DECLARED_PCT, key=typed.key(PREFIX, "order"), height=90)
    for row in fields:
        for place, (name, label) in zip(st.columns(len(row), gap="small"), row.items(), strict=True):
            label = label.format(currency=parts.currency())
            place.text_input(label, key=typed.key(PREFIX, name), max_chars=120)
    st.text_input(say.WHY, key=typed.key(PREFIX, "why"), max_chars=200)
    for answer in st.session_state.get(f"{PREFIX}answers", []):
        parts.alert(answer)
    st.button(say.CORRECT, type="primary", key=f"put-correction-{number}", on_click=_correct, args=(number,))


def _form(number: int) -> str:
    return f"correct-lot:{number}"


@mishap.answered
def _correct(number: int) -> None:
    line, ss = store.lot(memo.book(), number), st.session_state

    def write() -> bool:
        said, ss[f"{PREFIX}answers"] = lot_corrections.correct(
            memo.book(), line, typed.fields(PREFIX), state.today()
        )
        if not ss[f"{PREFIX}answers"]:
            parts.tell(said)
        return not ss[f"{PREFIX}answers"]

    corrections.set_lot_right(number, write)
    if not ss[f"{PREFIX}answers"]:
        typed.forget(_form(number), PREFIX)
