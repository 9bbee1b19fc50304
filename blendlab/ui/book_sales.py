"""Jars of a batch in the Book: what was sold to whom, what came back, how many are left."""

from __future__ import annotations

import streamlit as st

from blendlab import store
from blendlab.production import outcome, sales
from blendlab.ui import book_answers, parts, state, typed
from blendlab.ui.words import plural
from blendlab.ui.words import sold as say

MOST = 100_000
SALE, BACK, THERE = "sale-", "back-", "there-"
"""What the keys of the fields of its forms begin with."""


def page(book: store.Book, shown: store.BatchPage) -> None:
    """Where the jars went, and forms for one more sale, for jars that came back, for a count."""
    parts.heading(say.SOLD)
    jars, lines = sales.jars(shown), store.sale_lines(shown.line.code, shown.entries)
    parts.rows(account(shown))
    if jars.uncounted:
        parts.small(say.UNCOUNTED)
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


def account(shown: store.BatchPage) -> list[tuple[str, str]]:
    """Jars that were filled, and what became of every one of them, as rows that add up."""
    counted = outcome.jars_filled(shown) is not None
    rows = [(say.MADE[counted], f"{sales.made(shown)}")]
    for part in sales.account(shown):
        name, told = say.ACCOUNT[part.what], f"{part.jars}"
        if part.what == "lost" and part.jars < 0:
            name, told = say.FOUND, say.PLUS.format(jars=-part.jars)
        if part.what == "left" and shown.decision == store.TEST_JARS:
            name = say.OF_TEST
        rows.append((name, say.BECAUSE.format(jars=told, why=part.why) if part.why else told))
    return rows


def _who(line: store.SaleLine) -> str:
    said = line.said
    order = say.ORDER.format(order=said.order) if said.order else ""
    who = " · ".join(part for part in (said.to, order, said.channel) if part)
    return say.SALE.format(who=who or say.NOBODY, day=said.on or say.NOBODY)


def _count(line: store.SaleLine) -> str:
    jars = plural(line.said.jars, *say.JARS_SOLD)
    return say.JARS_BACK.format(jars=jars, back=line.back) if line.back else jars


def _sale(book: store.Book, code: str) -> None:
    form = f"sale-{code}"
    typed.hold(form, SALE, {"channel": None, **dict.fromkeys(("jars", "to", "order", "on"), "")})
    st.text_input(say.JARS, key=typed.key(SALE, "jars"))
    st.text_input(say.BUYER, key=typed.key(SALE, "to"), max_chars=120)
    key = typed.key(SALE, "channel")
    st.selectbox(say.CHANNEL, say.CHANNELS, index=None, key=key, accept_new_options=True, placeholder="")
    st.text_input(say.ORDER_NUMBER, key=typed.key(SALE, "order"), max_chars=60)
    st.text_input(say.DAY, key=typed.key(SALE, "on"), placeholder=f"{state.today()}")

    def act() -> None:
        given = typed.fields(SALE)
        jars, on = book_answers.figure(f"{SALE}jars", "", 1, MOST), book_answers.past_day(f"{SALE}on")
        kept = (given["to"], on, given["channel"] or "", given["order"])
        sales.sell(book, code, jars, *kept, book_answers.why(form))

    book_answers.put(say.WRITE_DOWN, form, SALE, act, key="put-sale")


def _return(book: store.Book, code: str, lines: tuple[store.SaleLine, ...]) -> None:
    form = f"back-{code}"
    typed.hold(form, BACK, {"sellable": False, **dict.fromkeys(("jars", "why", "on"), "")})
    out = {line.number: f"{_who(line)}, {_count(line)}" for line in lines if line.out}
    parts.one_of(say.WHICH_SALE, out, typed.key(BACK, "sale"))
    st.text_input(say.JARS, key=typed.key(BACK, "jars"))
    st.text_input(say.WHY, key=typed.key(BACK, "why"), max_chars=300)
    st.text_input(say.DAY, key=typed.key(BACK, "on"), placeholder=f"{state.today()}")
    st.checkbox(say.SELLABLE, key=typed.key(BACK, "sellable"))

    def act() -> None:
        given = typed.fields(BACK)
        jars, on = book_answers.figure(f"{BACK}jars", "", 1, MOST), book_answers.past_day(f"{BACK}on")
        sales.take_back(book, code, given["sale"], jars, on, given["why"], bool(given["sellable"]))

    book_answers.put(say.WRITE_DOWN, form, BACK, act, key="put-return")


def _count_form(book: store.Book, code: str) -> None:
    form = f"there-{code}"
    typed.hold(form, THERE, {"jars": "", "why": ""})
    st.text_input(say.THERE, key=typed.key(THERE, "jars"))
    st.text_input(say.WHY, key=typed.key(THERE, "why"), max_chars=300)

    def act() -> None:
        there = book_answers.figure(f"{THERE}jars", "", 0, MOST)
        sales.count(book, code, there, state.today(), st.session_state[f"{THERE}why"])

    book_answers.put(say.WRITE_DOWN, form, THERE, act, key="put-there")
