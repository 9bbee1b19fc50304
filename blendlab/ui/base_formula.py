"""Shelf: the formula of a base, a lot of it to cook, what it adds up to, sheet, make or buy."""

from __future__ import annotations

import streamlit as st

from blendlab import printing
from blendlab.errors import BlendlabError
from blendlab.forms import formulas
from blendlab.production import base_lots, making, settings
from blendlab.production.costs import Prices
from blendlab.shelf import Base, Shelf
from blendlab.ui import kitchen_door, memo, mishap, parts, state, typed, weigh_table
from blendlab.ui.words import shelf as say
from blendlab.units import read_number

COOK, BUY = "cook-", "buy-"
"""What the keys of the fields begin with that ask for the grams of a lot and for what a bought one costs."""


def base_acts(base: Base) -> None:
    """What can be done with a base: its formula, a lot to cook, make or buy."""
    shelf = memo.shelf()
    with st.expander(say.COOK, key=f"base-{base.id}"):
        _formula(base, shelf)
        if base.lines:
            parts.rows(base_lots.figure_rows(base, shelf))
            _cook(base, shelf)
            _compare(base, shelf)


def _formula(base: Base, shelf: Shelf) -> None:
    key = f"formula-{base.id}"
    typed.hold(key, key, {"": formulas.formula_text(base, shelf)})
    st.text_area(say.FORMULA, key=typed.key(key, ""), height=210, placeholder=say.FORMULA_HINT)
    answers = st.session_state.get("formula-answers", [])
    for answer in answers:
        parts.alert(answer)
    with st.container(horizontal=True, gap="small"):
        st.button(say.KEEP_FORMULA, key=f"keep-{key}", on_click=_keep_formula, args=(base, key))
        filled = formulas.water_to_the_rest(shelf, st.session_state[key]) if answers else ""
        if filled:
            st.button(say.WATER_REST, key=f"rest-{key}", on_click=_water_rest, args=(base, key, filled))
    if base.unconfirmed:
        parts.alert(say.FORMULA_MOVED.format(moved="; ".join(base.unconfirmed)), "said")
        st.button(say.CONFIRM_FORMULA, key=f"confirm-{key}", on_click=_confirm, args=(base,))


@mishap.answered
def _keep_formula(base: Base, key: str) -> None:
    ss = st.session_state
    ss["formula-answers"] = formulas.set_formula(state.folder(), memo.shelf(), base, ss[key])
    if not ss["formula-answers"]:
        ss.said = None
        typed.forget(key, key)


@mishap.answered
def _water_rest(base: Base, key: str, filled: str) -> None:
    st.session_state[key] = filled
    _keep_formula(base, key)


@mishap.answered
def _confirm(base: Base) -> None:
    parts.tell(formulas.confirm(state.folder(), base))


def _cook(base: Base, shelf: Shelf) -> None:
    typed.hold(f"cook:{base.id}", COOK, {"grams": ""})
    asked: str = st.text_input(say.GRAMS_TO_COOK, key=typed.key(COOK, "grams"), placeholder="1500")
    if not asked.strip():
        return
    try:
        grams = read_number(asked, "g", *base_lots.COOKED_G)
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    made = base_lots.cooking(base, shelf, grams, memo.book(), state.today())
    parts.findings(made.findings, "cook", say.CLEAR_TO_COOK)
    kept = settings.settings(state.folder())
    if made.lines:
        st.html(weigh_table.tables(list(made.cups.items()), kept.weigh_in))
        with st.container(horizontal=True, gap="small"):
            st.button(
                say.COOK_IN_KITCHEN, type="primary", on_click=kitchen_door.prepare, args=(base.id, grams)
            )
            st.download_button(
                say.COOK_SHEET,
                data=lambda: printing.sheet_pdf(made, "", state.today(), "", kept.heat_in),
                file_name=f"cook-{base.id}.pdf",
                mime="application/pdf",
                on_click="ignore",
            )


def _compare(base: Base, shelf: Shelf) -> None:
    typed.hold(f"buy:{base.id}", BUY, {"per-kg": ""})
    asked: str = st.text_input(
        say.MAKE_OR_BUY.format(currency=parts.currency()), key=typed.key(BUY, "per-kg")
    )
    if asked.strip():
        try:
            price = read_number(asked, "", 0, 100_000)
            cooked = st.session_state[f"{COOK}grams"].strip()
            grams = read_number(cooked, "g", 50, 1_000_000) if cooked else None
            kept = settings.settings(state.folder())
            prices = Prices(memo.book(), shelf, kept.rates, kept.currency)
            parts.small(making.make_or_buy(base, prices, kept, price, grams))
        except BlendlabError as problem:
            parts.small(str(problem))
