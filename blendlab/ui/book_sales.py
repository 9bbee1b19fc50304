"""Jars of a batch in the Book: what was sold to whom, what came back, how many are left."""

from __future__ import annotations

import streamlit as st

from blendlab import store
from blendlab.production import sales
from blendlab.ui import book_answers, mishap, parts, state, typed
from blendlab.ui.words import plural
from blendlab.ui.words import sold as say

MOST = 100_000
FIRST: dict[str, dict[str, str | bool | None]] = {
    "sale-": {"jars": "", "to": "", "channel": None, "order": "", "on": ""},
    "back-": {"jars": "", "why": "", "on": "", "sellable": False},
    "there-": {"jars": "", "why": ""},
}
"""What stands at first in the fields of each form: the next batch shows its own without a run between."""


def page(book: store.Book, shown: store.BatchPage) -> None:
    """Where the jars went, and forms for one more sale, for jars that came back, for a count."""
    parts.heading(say.SOLD)
    jars, lines = sales.jars(shown), store.sale_lines(shown.line.code, shown.entries)
    parts.small(say.LEFT.format(left=jars.left, made=jars.made, out=jars.out))
    parts.rows((_who(line), _count(line)) for line in lines)
    if not lines:
        parts.small(say.NOTHING_SOLD)
    code = shown.line.code
    with st.container(horizontal=True, gap="small"):
        with st.popover(say.WRITE_SALE, type="tertiary"):
            _sale(book, code)
        if jars.out:
            with st.popover(say.TAKE_BACK, type="tertiary"):
                _return(book, code, lines)
        with st.popover(say.COUNT, type="tertiary"):
            _count_form(book, code)


def _who(line: store.SaleLine) -> str:
    said = line.said
    order = say.ORDER.format(order=said.order) if said.order else ""
    who = " · ".join(part for part in (said.to, order, said.channel) if part)
    return say.SALE.format(who=who or say.NOBODY, day=said.on or say.NOBODY)


def _count(line: store.SaleLine) -> str:
    jars = plural(line.said.jars, *say.JARS_SOLD)
    return say.JARS_BACK.format(jars=jars, back=line.back) if line.back else jars


def _sale(book: store.Book, code: str) -> None:
    typed.hold(f"sale-{code}", "sale-", FIRST["sale-"])
    st.text_input(say.JARS, key=typed.key("sale-", "jars"))
    st.text_input(say.BUYER, key=typed.key("sale-", "to"), max_chars=120)
    st.selectbox(
        say.CHANNEL,
        say.CHANNELS,
        index=None,
        key=typed.key("sale-", "channel"),
        accept_new_options=True,
        placeholder="",
    )
    st.text_input(say.ORDER_NUMBER, key=typed.key("sale-", "order"), max_chars=60)
    st.text_input(say.DAY, key=typed.key("sale-", "on"), placeholder=f"{state.today()}")
    book_answers.show("sale")
    st.button(say.WRITE_DOWN, key="put-sale", on_click=_sell, args=(book, code))


@mishap.answered
def _sell(book: store.Book, code: str) -> None:
    ss = st.session_state

    def act() -> None:
        jars, on = book_answers.figure("sale-jars", "", 1, MOST), book_answers.day("sale-on")
        sales.sell(book, code, jars, ss["sale-to"], on, ss["sale-channel"] or "", ss["sale-order"])
        typed.forget(f"sale-{code}", "sale-")

    book_answers.attempt("sale", act)


def _return(book: store.Book, code: str, lines: tuple[store.SaleLine, ...]) -> None:
    typed.hold(f"back-{code}", "back-", FIRST["back-"])
    out = {line.number: f"{_who(line)}, {_count(line)}" for line in lines if line.out}
    parts.one_of(say.WHICH_SALE, out, typed.key("back-", "sale"))
    st.text_input(say.JARS, key=typed.key("back-", "jars"))
    st.text_input(say.WHY, key=typed.key("back-", "why"), max_chars=300)
    st.text_input(say.DAY, key=typed.key("back-", "on"), placeholder=f"{state.today()}")
    st.checkbox(say.SELLABLE, key=typed.key("back-", "sellable"))
    book_answers.show("back")
    st.button(say.WRITE_DOWN, key="put-return", on_click=_take_back, args=(book, code))


@mishap.answered
def _take_back(book: store.Book, code: str) -> None:
    ss = st.session_state

    def act() -> None:
        jars, on = book_answers.figure("back-jars", "", 1, MOST), book_answers.day("back-on")
        sales.take_back(book, code, ss["back-sale"], jars, on, ss["back-why"], bool(ss["back-sellable"]))
        typed.forget(f"back-{code}", "back-")

    book_answers.attempt("back", act)


def _count_form(book: store.Book, code: str) -> None:
    typed.hold(f"there-{code}", "there-", FIRST["there-"])
    st.text_input(say.THERE, key=typed.key("there-", "jars"))
    st.text_input(say.WHY, key=typed.key("there-", "why"), max_chars=300)
    book_answers.show("there")
    st.button(say.WRITE_DOWN, key="put-there", on_click=_put_count, args=(book, code))


@mishap.answered
def _put_count(book: store.Book, code: str) -> None:
    def act() -> None:
        there = book_answers.figure("there-jars", "", 0, MOST)
        sales.count(book, code, there, state.today(), st.session_state["there-why"])
        typed.forget(f"there-{code}", "there-")

    book_answers.attempt("there", act)
