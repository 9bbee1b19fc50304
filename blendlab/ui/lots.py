"""Shelf: lots and deliveries, and what everything costs."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store, units
from blendlab.errors import BlendlabError
from blendlab.forms import deliveries, prices
from blendlab.production import reorder, settings, stock_lots
from blendlab.shelf import Base
from blendlab.ui import materials, memo, parts, state, tables
from blendlab.units import read_number

KINDS = {"ingredient": "Raw materials", "scale": "Scales", "lot": "Lots", "price": "Prices"}
"""What lots and materials add to the Shelf."""
OF = {"base": "Base", "ingredient": "Raw material", "oil": "Oil", "pigment": "Pigment"}
KEPT = {"": "as on the shelf", "known": "one percent", "range": "a range", "unknown": "not known"}
ADDS = {"ingredient": "Add a raw material", "scale": "Add a scale", "base": "Add a base"}


def page(kind: str) -> None:
    """One of the kinds of this module: list left, what is open right."""
    if kind == "price":
        _prices()
        return
    left, right = st.columns([7, 5], gap="medium")
    with left:
        if kind == "lot":
            _lots()
            tables.lots()
        else:
            materials.items(kind)
            if kind == "ingredient":
                tables.ingredients()
    with right, st.container(border=True, key="thing"):
        if kind == "lot":
            _receive()
        elif st.session_state.get("adding") == kind:
            materials.add_ingredient() if kind == "ingredient" else materials.add_scale()
        else:
            materials.item(kind)


def add(kind: str) -> None:
    """Open the form of a kind."""
    st.session_state.adding = kind


def _lots() -> None:
    asked = st.session_state.get("shelf-find", "").casefold()
    found = [one for one in store.lots(memo.book()) if asked in f"{one.lot.code} {one.lot.name}".casefold()]
    rows = "".join(
        f"<tr><th scope='row'><b>{escape(one.lot.code)}</b> {escape(one.lot.name)}<br>"
        f"<small>{escape(_about(one))}</small></th>"
        f"<td>{units.plain(one.left_g, 2)} g left</td></tr>"
        for one in found
    )
    if rows:
        st.html(f'<table class="bl-table"><tbody>{rows}</tbody></table>')
    else:
        parts.small(
            "No lot in the book yet. With its lots named a batch can be traced, and stock is counted."
        )
    for sentence in reorder.sentences(memo.book(), memo.shelf(), state.today()):
        parts.small(sentence)
    counted = {one.number: stock_lots.lot_words(one) for one in found}
    if counted:
        with st.popover("Count, waste", type="tertiary"):
            _move(counted)


def _about(one: store.LotLine) -> str:
    said = [one.lot.supplier, f"received {one.lot.received}" if one.lot.received else ""]
    said.append(f"use by {one.lot.expiry}" if one.lot.expiry else "no date")
    kept = one.data.get("preservative_pct")
    if isinstance(kept, list):
        said.append("preservative " + " to ".join(f"{each:g}" for each in dict.fromkeys(kept)) + " %")
    elif kept == "unknown":
        said.append("preservative not known")
    return " · ".join(each for each in said if each)


def _move(counted: dict[int, str]) -> None:
    number = st.selectbox("Lot", list(counted), format_func=counted.__getitem__, key="move-lot")
    st.text_input("Grams more, or less with a minus", key="move-grams", placeholder="-12.5")
    st.text_input("Why", key="move-why", max_chars=120)
    said = st.session_state.get("move-answer")
    if said:
        st.html(f'<p class="bl-bad" role="alert">{escape(said)}</p>')
    st.button("Write it down", key="put-move", on_click=_do_move, args=(number,))


def _do_move(number: int) -> None:
    ss = st.session_state
    try:
        grams = read_number(ss["move-grams"], "g", -1_000_000, 1_000_000)
        memo.book().move(number, grams, "count" if grams > 0 else "waste", ss["move-why"].strip())
    except BlendlabError as problem:
        ss["move-answer"] = str(problem)
        return
    ss.update({"move-answer": "", "move-grams": "", "move-why": ""})


def _receive() -> None:
    parts.heading("Write a lot down")
    kind = st.segmented_control(
        "What came",
        list(OF),
        format_func=OF.__getitem__,
        required=True,
        default="base",
        key="lot-kind",
        width="stretch",
    )
    known = {one.id: one.name for one in memo.shelf().of(kind)}
    st.selectbox("Which", list(known), format_func=lambda one: known.get(one, one), key="lot-item")
    rows = (
        (("Code of the lot", "code", ""), ("What came, g", "grams", "1000")),
        (("Supplier", "supplier", ""), ("Document", "document", "")),
        (("Received", "received", "2026-11-25"), ("Use by", "expiry", "2027-11-30")),
        (("Price paid", "price", ""), ("Postage share", "shipping", "")),
    )
    for row in rows:
        for place, (label, key, hint) in zip(st.columns(2, gap="small"), row, strict=True):
            place.text_input(label, key=f"lot-{key}", placeholder=hint or None, max_chars=80)
    if kind == "base":
        _base_lot()
    for one in st.session_state.get("lot-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button("Write it into the book", type="primary", key="put-lot", on_click=_put_lot)


def _base_lot() -> None:
    st.selectbox("Its preservative is", list(KEPT), format_func=KEPT.__getitem__, key="lot-kept")
    low, high, acid = st.columns(3, gap="small")
    low.text_input("Percent, or from", key="lot-low", placeholder="0.8")
    high.text_input("to", key="lot-high", placeholder="1.0")
    acid.text_input("pH", key="lot-ph", placeholder="6.2")
    foam, heat, opened = st.columns(3, gap="small")
    foam.text_input("Whipped cup, g/ml", key="lot-foam", placeholder="0.62")
    heat.text_input("Preservative in below, °C", key="lot-heat", placeholder="40")
    opened.text_input("Opened", key="lot-opened", placeholder="2026-11-25")
    st.text_area(
        "Declared ingredients with percent, one a line, as its supplier says",
        key="lot-order",
        height=90,
        placeholder="Aqua 40 45\nGlycerin 12 14",
    )


NAMES = (
    "kind", "item", "code", "grams", "supplier", "document", "received", "expiry", "price", "shipping",
    "kept", "low", "high", "ph", "foam", "heat", "opened", "order",
)  # fmt: skip


def _put_lot() -> None:
    ss = st.session_state
    typed = {name: ss.get(f"lot-{name}") or "" for name in NAMES}
    said, answers = deliveries.receive(memo.book(), state.folder(), memo.shelf(), typed)
    ss["lot-answers"] = answers
    if not answers:
        for name in NAMES:
            if name not in ("kind", "item"):
                ss[f"lot-{name}"] = ""
        ss.said = {"text": said, "fresh": False}


def _prices() -> None:
    kept, shelf = settings.settings(state.folder()), memo.shelf()
    parts.small(
        f"Price of a kilogram, or of a jar with its lid, in {kept.currency}. Empty is not known, never 0."
    )
    asked = st.session_state.get("shelf-find", "").casefold()
    columns = st.columns(3, gap="medium")
    for place, kinds in zip(columns, (("base", "ingredient", "jar"), ("oil",), ("pigment",)), strict=True):
        with place:
            for kind in kinds:
                parts.heading(
                    {"base": "Bases", "ingredient": "Raw materials", "jar": "Jars", "oil": "Oils"}.get(
                        kind, "Pigments"
                    )
                )
                for one in shelf.of(kind):
                    if asked in one.name.casefold():
                        _price(one)


def _price(one) -> None:
    figure = prices.per_kg(one)
    with st.container(
        key=f"price-{one.kind}-{one.id}",
        horizontal=True,
        wrap=False,
        vertical_alignment="center",
        gap="small",
    ):
        cooked = "<br><small>else by its formula</small>" if isinstance(one, Base) and one.lines else ""
        st.html(f'<p class="bl-tone">{escape(parts.capital(one.name))}{cooked}</p>')
        parts.number_field(
            f"Price of {one.name}",
            f"price.{one.kind}.{one.id}",
            "",
            0,
            1_000_000,
            value="" if figure is None else round(figure, 4),
            write=lambda typed, one=one: _set_price(one, typed),
            width=110,
        )


def _set_price(one, figure: float) -> None:
    parts.tell(prices.set_price(state.folder(), one, figure))
