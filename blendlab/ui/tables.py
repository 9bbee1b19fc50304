"""Tables in and out: oils, raw materials, lots and the lines of the book as csv files."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

import streamlit as st

from blendlab.forms.tables import TableRead, take_ingredients, take_lots
from blendlab.production.tables import lines_csv, lots_csv
from blendlab.show.tables import ingredients_csv, oils_csv
from blendlab.tables import text_of
from blendlab.ui import memo, mishap, parts, state
from blendlab.ui.words import tables as words


def oils() -> None:
    """The oils of the shelf as a table."""
    _out(words.OILS, lambda: oils_csv(memo.shelf(), parts.currency()), "oils.csv")


def ingredients() -> None:
    """Raw materials out as a table, and in from one."""
    _out(words.INGREDIENTS, lambda: ingredients_csv(memo.shelf(), parts.currency()), "raw-materials.csv")
    _in("ingredients", lambda text: take_ingredients(state.folder(), memo.shelf(), text, parts.currency()))


def lots() -> None:
    """Lots out as a table, and deliveries in from one."""
    _out(words.LOTS, lambda: lots_csv(memo.book()), "lots.csv")
    _in("lots", lambda text: take_lots(memo.book(), state.folder(), memo.shelf(), text, state.today()))


def lines() -> None:
    """Every line of the book as a table."""
    _out(words.LINES, lambda: lines_csv(memo.book()), "book.csv")


def _out(label: str, data: Callable[[], bytes], name: str) -> None:
    st.download_button(label, data=data, file_name=name, mime="text/csv", on_click="ignore", type="tertiary")


def _in(kind: str, take: Callable[[str], TableRead]) -> None:
    with st.popover(words.IN[kind], type="tertiary"):
        parts.small(words.HEADS[kind])
        upload = parts.chosen_file(words.FILE, ["csv", "txt"], f"table-{kind}", 20)
        data = upload.getvalue() if upload is not None else b""
        st.button(words.TAKE, key=f"take-{kind}", disabled=not data, on_click=_take, args=(kind, take, data))
        _answered(st.session_state.get(f"table-answers-{kind}"))


@mishap.answered
def _take(kind: str, take: Callable[[str], TableRead], data: bytes) -> None:
    read = take(text_of(data))
    answers = [(row.number, row.name, answer) for row in read.rows for answer in row.answers]
    told = [words.ROW.format(number=number, name=name, answer=answer) for number, name, answer in answers]
    st.session_state[f"table-answers-{kind}"] = {"done": read.done, "answers": [*read.problems, *told]}


def _answered(told: dict[str, Any] | None) -> None:
    if told is None:
        return
    parts.small(words.DONE.format(count=told["done"]))
    for answer in told["answers"]:
        st.html(f'<p class="bl-small">{escape(answer)}</p>')
