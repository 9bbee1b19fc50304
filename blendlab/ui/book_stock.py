"""Book: what was sold of each card and line, the jars that are left, what can be made, what to order."""

from __future__ import annotations

from datetime import date, timedelta
from html import escape

import streamlit as st

from blendlab import store
from blendlab.production import can_make, pieces, reorder, sales, stock_lots
from blendlab.ui import book_answers, book_damage, memo, mishap, parts, state, typed
from blendlab.ui.words import plural
from blendlab.ui.words import stock as say

MOST = 1_000_000
DAYS, COUNT, PIECES = "days-", "stock-", "pieces-"
"""What the keys of the fields of its forms begin with."""
NAMED = 3
"""Things that were never counted and are named; of the others their number says enough."""


def page(book: store.Book) -> None:
    """Sales and jars left, stock right."""
    left, right = st.columns(2, gap="medium")
    with left:
        _sold(book)
        _jars(book)
    with right:
        _can_make(book)
        _order(book)
        with st.container(horizontal=True, gap="small"):
            if lots := {line.number: stock_lots.lot_label(line) for line in store.lots(book)}:
                with st.popover(say.COUNT, type="tertiary"):
                    _count(book, lots)
            if jars := {jar.id: jar.name for jar in memo.shelf().of("jar")}:
                with st.popover(say.PIECES_CAME, type="tertiary"):
                    _pieces(book, jars)


def _sold(book: store.Book) -> None:
    parts.heading(say.SALES)
    period = st.segmented_control(
        say.PERIOD, list(say.SINCE), format_func=say.SINCE.__getitem__, required=True, key="sold-since",
        default=next(iter(say.SINCE)), persist_state="session",
    )  # fmt: skip
    book_damage.tell_unread(book, "sale", "return")
    found = sales.by_card(book, _since(period))
    if not found:
        parts.small(say.NOTHING_SOLD)
        return
    _table(say.SOLD_HEADS, tuple(found.values()))
    lines = sales.by_line(state.folder(), found)
    if lines:
        _table(say.LINE_HEADS, lines)


def _since(period: str) -> date:
    today = state.today()
    starts = {"year": today.replace(month=1, day=1), "12 months": today - timedelta(days=365)}
    return starts.get(period, date.min)


def _table(heads: tuple[str, ...], rows: tuple[sales.Sold, ...]) -> None:
    body = "".join(
        f"<tr><th scope='row'>{escape(row.name)}</th><td>{row.sales}</td><td>{row.jars}</td>"
        f"<td>{row.back}</td></tr>"
        for row in rows
    )
    head = "".join(f"<th>{column}</th>" for column in heads)
    st.html(f'<table class="bl-table"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>')


def _jars(book: store.Book) -> None:
    parts.heading(say.JARS_LEFT)
    left = sales.left_over(book, state.today())
    parts.rows(
        (say.JARS_OF.format(code=line.code, name=line.name), _left(jars, over)) for line, jars, over in left
    )
    if not left:
        parts.small(say.NO_JARS.format(count=sales.NEWEST))


def _left(jars: store.Jars, over: str) -> str:
    return say.COUNT_LEFT[bool(over)].format(left=jars.left, made=jars.made, over=over)


def _can_make(book: store.Book) -> None:
    parts.heading(say.CAN_MAKE)
    parts.small(say.CAN_MAKE_WHY)
    st.button(say.CAN_MAKE, key="can-make", on_click=_work_out, args=(book,))
    told = st.session_state.get("can-make-told")
    if told is not None and told["stock"] == store.stock(book, state.today()):
        parts.rows(told["rows"])
        if not told["rows"]:
            parts.small(say.NO_CARDS)


@mishap.answered
def _work_out(book: store.Book) -> None:
    """Keep what the cards make, with the stock it was worked out of: of another one it is old."""
    found = can_make.today(state.folder(), book, memo.shelf(), state.today())
    rows = [[makeable.name, _makes(makeable)] for makeable in found]
    st.session_state["can-make-told"] = {"stock": dict(store.stock(book, state.today())), "rows": rows}


def _makes(makeable: can_make.Makeable) -> str:
    said = makeable.why
    if makeable.jars is not None:
        said = say.MAKES_NONE.format(first=makeable.first)
        if makeable.jars:
            said = plural(makeable.jars, *say.MAKES, first=makeable.first)
    never = makeable.uncounted
    names = ", ".join([*never[:NAMED], *([say.AND_MORE] if never[NAMED:] else [])])
    uncounted = plural(len(never), *say.UNCOUNTED, names=names) if never else ""
    return " · ".join(part for part in (said, uncounted) if part)


def _order(book: store.Book) -> None:
    parts.heading(say.ORDER)
    found = reorder.sentences(state.folder(), book, memo.shelf(), state.today())
    for sentence in found:
        parts.small(sentence)
    if not found:
        parts.small(say.NOTHING_TO_ORDER)
    items = dict.fromkeys(line.item for line in store.lots(book))
    if not items:
        return
    with st.popover(say.DAYS, type="tertiary"):
        _days({item: reorder.name(memo.shelf(), item) for item in items})


def _days(names: dict[str, str]) -> None:
    typed.hold("days", DAYS, {"lead": "", "safety": ""})
    item = parts.one_of(say.THING, names, typed.key(DAYS, "item"))
    now = reorder.days_of(state.folder(), item)
    st.text_input(say.LEAD, key=typed.key(DAYS, "lead"), placeholder=f"{now.lead:g}")
    st.text_input(say.SAFETY, key=typed.key(DAYS, "safety"), placeholder=f"{now.safety:g}")

    def act() -> None:
        lead, safety = (
            book_answers.figure(f"{DAYS}{key}", "", 0, reorder.MOST) for key in ("lead", "safety")
        )
        reorder.set_days(state.folder(), st.session_state[f"{DAYS}item"], lead, safety)

    book_answers.put(say.KEEP, "days", DAYS, act, key="put-days")


def _count(book: store.Book, lots: dict[int, str]) -> None:
    typed.hold("stock-count", COUNT, {"there": "", "why": ""})
    parts.one_of(say.LOT, lots, typed.key(COUNT, "lot"))
    st.text_input(say.THERE, key=typed.key(COUNT, "there"))
    st.text_input(say.WHY, key=typed.key(COUNT, "why"), max_chars=200)

    def act() -> None:
        given, there = typed.fields(COUNT), book_answers.figure(f"{COUNT}there", "", 0, MOST)
        pieces.count(book, given["lot"], there, given["why"])

    book_answers.put(say.WRITE_DOWN, "stock-count", COUNT, act, key="put-stock")


def _pieces(book: store.Book, jars: dict[str, str]) -> None:
    typed.hold("pieces", PIECES, {"kind": next(iter(say.KINDS)), "count": "", "code": ""})
    parts.small(say.DRAWN)
    key = typed.key(PIECES, "kind")
    st.selectbox(say.WHAT, list(say.KINDS), format_func=say.KINDS.__getitem__, key=key)
    parts.one_of(say.FOR_JAR, jars, typed.key(PIECES, "jar"))
    st.text_input(say.HOW_MANY, key=typed.key(PIECES, "count"))
    st.text_input(say.CODE, key=typed.key(PIECES, "code"), max_chars=60)

    def act() -> None:
        given, came = typed.fields(PIECES), book_answers.figure(f"{PIECES}count", "", 0, MOST)
        kind, jar, code = given["kind"], given["jar"], given["code"]
        pieces.receive(book, memo.shelf(), kind, jar, came, code, state.today())

    book_answers.put(say.WRITE_DOWN, "pieces", PIECES, act, key="put-pieces")
