"""Shelf: lots and deliveries, and what is left of each."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store, units
from blendlab.forms import deliveries
from blendlab.production import reorder
from blendlab.ui import lot_acts, memo, mishap, parts, shelf_forms, state, tables, typed
from blendlab.ui.words import shelf as say

NAMES = (
    "kind", "item", "code", "grams", "supplier", "document", "received", "expiry", "price", "shipping",
    "kept", "low", "high", "ph", "foam", "heat", "opened", "own", "order",
)  # fmt: skip
LOT = "lot-"
"""What the keys of the fields of a delivery begin with."""
STAY = ("kind", "item")
"""Fields that keep what was chosen when the next lot is written down."""
HINTS = {"grams": "1000", "received": "2026-11-25", "expiry": "2027-11-30"}


def page(kind: str) -> None:
    """Lots left, a delivery right."""
    left, right = st.columns([7, 5], gap="medium")
    with left:
        _lots()
        tables.lots()
    with right, st.container(border=True, key="thing"):
        _receive()


def _lots() -> None:
    asked = shelf_forms.asked_name()
    found = [
        line for line in store.lots(memo.book()) if asked in f"{line.lot.code} {line.lot.name}".casefold()
    ]
    rows = "".join(map(_row, found))
    if rows:
        st.html(f'<table class="bl-table"><tbody>{rows}</tbody></table>')
    else:
        parts.small(say.NO_LOTS)
    for sentence in reorder.sentences(state.folder(), memo.book(), memo.shelf(), state.today()):
        parts.small(sentence)
    lot_acts.acts(found)


def _row(line: store.LotLine) -> str:
    left = say.LEFT.format(left=units.plain(line.left_g, 2), unit=store.unit_of(line.item))
    return (
        f"<tr><th scope='row'><b>{escape(line.lot.code)}</b> {escape(line.lot.name)}<br>"
        f"<small>{escape(_about(line))}</small></th><td>{left}</td></tr>"
    )


def _about(line: store.LotLine) -> str:
    lot = line.lot
    said = [
        lot.supplier,
        say.RECEIVED_ON.format(day=lot.received) if lot.received else "",
        _until(line),
        _kept(line.data.get("preservative_pct")),
        say.IS_HELD.format(why=line.held) if line.held else "",
    ]
    return " · ".join(part for part in said if part)


def _until(line: store.LotLine) -> str:
    day = line.ends
    form = say.NO_DATE if day is None else say.ENDED_DAY if line.ended(state.today()) else say.USE_BY_DAY
    return form.format(day=day)


def _kept(pct: object) -> str:
    """What a base lot is preserved with: one percent, from the least to the most, "unknown"."""
    if isinstance(pct, list):
        low, high = min(pct), max(pct)
        return say.KEPT_PCT.format(pct=low) if low == high else say.KEPT_RANGE.format(low=low, high=high)
    return say.KEPT_NOT_KNOWN if pct == "unknown" else ""


def _key(name: str) -> str:
    return typed.key(LOT, name)


def _receive() -> None:
    parts.heading(say.WRITE_LOT)
    typed.hold("lot", LOT, {"kind": "base"})
    kind = st.segmented_control(
        say.WHAT_CAME,
        list(say.OF),
        format_func=say.OF.__getitem__,
        required=True,
        key=_key("kind"),
        width="stretch",
    )
    known = {item.id: item.name for item in memo.shelf().of(kind)}
    st.selectbox(say.WHICH, list(known), format_func=lambda key: known.get(key, key), key=_key("item"))
    for fields in say.LOT_FIELDS:
        for place, (key, label) in zip(st.columns(2, gap="small"), fields.items(), strict=True):
            label = label.format(currency=parts.currency())
            place.text_input(label, key=_key(key), placeholder=HINTS.get(key), max_chars=80)
    if kind == "base":
        _base_lot()
    for answer in st.session_state.get("lot-answers", []):
        parts.alert(answer)
    st.button(say.WRITE_IN_BOOK, type="primary", key="put-lot", on_click=_put_lot)


def _base_lot() -> None:
    st.selectbox(say.KEPT_IS, list(say.KEPT), format_func=say.KEPT.__getitem__, key=_key("kept"))
    low, high, acid, own = st.columns(4, gap="small")
    low.text_input(say.KEPT_LOW, key=_key("low"), placeholder="0.8")
    high.text_input(say.KEPT_TO, key=_key("high"), placeholder="1.0")
    acid.text_input(say.PH, key=_key("ph"), placeholder="6.2")
    own.text_input(say.OWN_FRAGRANCE, key=_key("own"), placeholder="0.3")
    foam, heat, opened = st.columns(3, gap="small")
    foam.text_input(say.CUP_FOAM, key=_key("foam"), placeholder="0.62")
    heat.text_input(say.KEPT_BELOW, key=_key("heat"), placeholder="40")
    opened.text_input(say.OPENED, key=_key("opened"), placeholder="2026-11-25")
    st.text_area(say.DECLARED_PCT, key=_key("order"), height=90, placeholder=say.DECLARED_PCT_HINT)


@mishap.answered
def _put_lot() -> None:
    ss = st.session_state
    typed = {name: ss.get(f"lot-{name}") or "" for name in NAMES}
    said, answers = deliveries.receive(memo.book(), state.folder(), memo.shelf(), typed, state.today())
    ss["lot-answers"] = answers
    if not answers:
        ss.update({f"lot-{name}": "" for name in NAMES if name not in STAY})
        parts.tell(said)
