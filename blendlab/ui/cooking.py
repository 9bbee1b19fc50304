"""Shelf: cooking a base lot from raw materials: formula, what it adds up to, sheet, make or buy."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import printing
from blendlab.errors import BlendlabError
from blendlab.forms import formulas
from blendlab.production import base_lots as pots
from blendlab.production import settings
from blendlab.shelf import Base
from blendlab.ui import memo, page_batch, parts, state
from blendlab.units import read_number


def base_acts(item: Base) -> None:
    """What can be done with a base: its formula, a lot to cook, make or buy."""
    shelf = memo.shelf()
    with st.expander("Cook a lot of it", key=f"cook-{item.id}"):
        _formula(item, shelf)
        if item.lines:
            parts.rows(pots.figure_rows(item, shelf))
            _cook(item, shelf)
            _compare(item, shelf)


def _formula(item: Base, shelf) -> None:
    key = f"formula-{item.id}"
    st.session_state.setdefault(key, formulas.formula_text(item, shelf))
    st.text_area("Formula, percent of the base; one line may say rest", key=key, height=210)
    for one in st.session_state.get("formula-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button("Keep this formula", key=f"keep-{key}", on_click=_keep_formula, args=(item, key))


def _keep_formula(item: Base, key: str) -> None:
    ss = st.session_state
    ss["formula-answers"] = formulas.set_formula(state.folder(), memo.shelf(), item, ss[key])
    if not ss["formula-answers"]:
        ss.pop(key, None)


def _cook(item: Base, shelf) -> None:
    st.text_input("Grams to cook", key="cook-grams", placeholder="1500")
    typed = (st.session_state.get("cook-grams") or "").strip()
    if not typed:
        return
    try:
        grams = read_number(typed, "g", 50, 1_000_000)
    except BlendlabError as problem:
        st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
        return
    made = pots.cooking(item, shelf, grams, memo.book(), state.today())
    parts.findings(made.findings, "cook", "Nothing stands in the way of cooking it.")
    kept = settings.settings(state.folder())
    if made.lines:
        st.html(f'<div class="bl-cups">{page_batch.table(list(made.cups.items()), kept.weigh_in)}</div>')
        with st.container(horizontal=True, gap="small"):
            st.button("Cook it in the kitchen view", type="primary", on_click=_start, args=(item, made))
            st.download_button(
                "Sheet (PDF)",
                data=lambda: printing.sheet_pdf(made, "", state.today(), "", kept.heat_in),
                file_name=f"cook-{item.id}.pdf",
                mime="application/pdf",
                on_click="ignore",
            )


def _start(item: Base, made) -> None:
    book = memo.book()
    code = book.start(made, state.today(), kind="base", sku="BASE")
    book.write("note", "base", {"id": item.id}, code)
    page_batch.open_kitchen(code)


def _compare(item: Base, shelf) -> None:
    st.text_input("Make or buy: price of a kg bought", key="buy-per-kg")
    typed = (st.session_state.get("buy-per-kg") or "").strip()
    if typed:
        try:
            price = read_number(typed, "", 0, 100_000)
            fixed = settings.settings(state.folder()).fixed_per_year
            said = pots.make_or_buy(item, shelf, price, fixed)
        except BlendlabError as problem:
            said = str(problem)
        parts.small(said)
