"""Book: what was made, from which lots, sold where; nothing is ever edited, a correction is a new line."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TypeVar

import streamlit as st

from blendlab import store
from blendlab.errors import PLANNING, BlendlabError
from blendlab.production import stock_lots
from blendlab.ui import (
    book_batch,
    book_care,
    book_chain,
    book_front,
    book_stock,
    book_tests,
    memo,
    mishap,
    parts,
    records,
    tables,
)
from blendlab.ui.words import book as say

Line = TypeVar("Line")
PAGE = 20
"""Lines of a list that are drawn before she asks for more."""


def page() -> None:
    """Draw the page."""
    parts.said(on_bench=False)
    book = memo.book()
    for sentence in (book.told, *store.unread(book)):
        parts.alert(sentence, "said")
    with st.container(key="book-head", horizontal=True, vertical_alignment="bottom"):
        part = st.segmented_control(
            say.IN_THE_BOOK,
            list(say.PARTS),
            format_func=say.PARTS.__getitem__,
            required=True,
            default="made",
            key="book-part",
            persist_state="session",
            on_change=_quiet,
        )
        if part == "made":
            st.text_input(say.FIND, key="book-find", width=340, persist_state="session", on_change=_newest)
    if part == "assessed":
        records.assessments()
    elif part == "tests":
        book_tests.page()
    elif part == "sold":
        book_stock.page(book)
    elif part == "care":
        book_care.page(book)
    else:
        _made(book)
    parts.small(PLANNING)


def _made(book: store.Book) -> None:
    if not st.session_state.get("book-find"):
        book_front.waiting(book)
    found = store.search(book, st.session_state.get("book-find") or "")
    if not found.batches and not found.lots:
        _empty()
        return
    left, right = st.columns([5, 8], gap="medium")
    with left, st.container(key="things"):
        for line in _first(found.batches, "batches"):
            about = say.BATCH.format(name=line.name, kind=say.KINDS[line.kind], day=line.made_on)
            _row(f"batch-{line.code}", line.code, about, line.code, None)
        _more(found.batches, "batches")
        if found.lots:
            parts.heading(say.LOTS)
        for lot in _first(found.lots, "lots"):
            about = f"{lot.lot.name} · {stock_lots.lot_words(lot).partition(', ')[2]}"
            _row(f"lot-{lot.number}", lot.lot.code, about, None, lot.number)
        _more(found.lots, "lots")
        tables.lines()
    with right:
        _chosen(book, found)


def _first(lines: Sequence[Line], of: str) -> Sequence[Line]:
    """The newest of a list, and as many older ones as she asked for."""
    return lines[: PAGE * st.session_state.get(f"book-pages-{of}", 1)]


def _more(lines: Sequence[object], of: str) -> None:
    rest = len(lines) - len(_first(lines, of))
    if rest:
        st.button(say.OLDER.format(count=rest), key=f"older-{of}", on_click=_older, args=(of,))


@mishap.answered
def _older(of: str) -> None:
    key = f"book-pages-{of}"
    st.session_state[key] = st.session_state.get(key, 1) + 1


def _row(key: str, title: str, about: str, code: str | None, lot: int | None) -> None:
    with st.container(
        key=f"book-{key}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        st.html(f'<p class="bl-tone"><b>{escape(title)}</b><br><small>{escape(about)}</small></p>')
        st.button(say.SHOW, key=f"show-{key}", type="tertiary", on_click=_show, args=(code, lot))


@mishap.answered
def _quiet() -> None:
    """What was said in one part of the Book goes when another is looked at."""
    st.session_state.said = None


@mishap.answered
def _newest() -> None:
    """A new search begins at its newest lines."""
    for of in ("batches", "lots"):
        st.session_state.pop(f"book-pages-{of}", None)


@mishap.answered
def _show(code: str | None, lot: int | None) -> None:
    st.session_state.update({"book-code": code, "book-lot": lot, "said": None})


def _chosen(book: store.Book, found: store.Found) -> None:
    lot = st.session_state.get("book-lot")
    code = st.session_state.get("book-code") or (found.batches[0].code if found.batches else None)
    try:
        if lot is not None or code is None:
            book_chain.lot_page(book, lot if lot is not None else found.lots[0].number)
        else:
            book_batch.page(book, store.batch(book, code))
    except BlendlabError as problem:
        parts.small(str(problem))


def _empty() -> None:
    if st.session_state.get("book-find"):
        parts.small(say.NOT_FOUND)
        return
    with st.container(key="empty"):
        parts.heading(say.EMPTY)
        parts.small(say.EMPTY_WHY)
        with st.container(horizontal=True):
            st.button(say.PLAN_A_BATCH, type="primary", on_click=_go, args=("batch",))
            st.button(say.WRITE_A_LOT, on_click=_go, args=("shelf",))


@mishap.answered
def _go(path: str) -> None:
    st.session_state.goto = path
    if path == "shelf":
        st.session_state["shelf-kind"] = "lot"
