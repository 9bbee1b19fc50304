"""Many oils at once: a table pasted or from a file, what each row was read as, put on the shelf."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.forms import oil_tables
from blendlab.forms.oils import LIST_NAMES
from blendlab.fragrance.oil_table import OilRow, OilTable
from blendlab.tables import text_of
from blendlab.ui import memo, mishap, parts, shelf_forms, state
from blendlab.ui.words import oils as say
from blendlab.ui.words import plural
from blendlab.ui.words import shelf as shelf_words


def form() -> None:
    """The table, its answers, the button that puts its oils on the shelf."""
    parts.small(say.MANY)
    upload = st.file_uploader(say.FILE, type=["csv", "tsv", "txt"], key=_key("file"), max_upload_size=5)
    if upload is not None and st.session_state.get(_key("taken")) != upload.file_id:
        st.session_state.update({_key("table"): text_of(upload.getvalue()), _key("taken"): upload.file_id})
    st.text_area(say.TABLE, key=_key("table"), height=150, placeholder=say.TABLE_HINT)
    declared_by()
    st.checkbox(say.UPDATE, key=_key("update"))
    text = st.session_state[_key("table")] or ""
    if not text.strip():
        _buttons(None)
    elif not st.session_state.get(_key("unit")):
        parts.alert(say.ASK_UNIT)
        _buttons(None)
    else:
        _answered(_read(text))


def _key(name: str) -> str:
    return shelf_forms.field("oil", name)


def declared_by() -> None:
    """Unit of the declared figures, the list of names, whether it was gone through whole."""
    left, names = st.columns(2, gap="small")
    with left:
        unit(_key("unit"))
    names.selectbox(say.DECLARED_BY, list(LIST_NAMES), key=_key("names"), format_func=LIST_NAMES.__getitem__)
    st.checkbox(say.COMPLETE, key=_key("complete"))


def unit(key: str) -> None:
    """Percent or ppm; nothing is chosen at first."""
    st.segmented_control(
        say.UNIT, list(say.UNITS), format_func=say.UNITS.__getitem__, key=key, width="stretch"
    )


def _read(text: str) -> OilTable:
    ss = st.session_state
    return oil_tables.read_table(
        memo.shelf(),
        text,
        ss[_key("unit")],
        ss[_key("names")],
        bool(ss[_key("complete")]),
        bool(ss[_key("update")]),
        parts.currency(),
    )


def _answered(table: OilTable) -> None:
    for problem in table.problems:
        parts.alert(problem)
    unused = ", ".join(column.head for column in table.columns if not column.kind and column.head)
    if unused:
        parts.small(say.UNUSED.format(columns=unused))
    parts.small(plural(len(table.oils), *say.ROWS_READ, left=len(table.rows) - len(table.oils)))
    shelf_forms.answers("oils")
    _buttons(table)
    body = "".join(map(_row, sorted(table.rows, key=lambda row: row.oil is not None)))
    if body:
        head = "".join(f"<th>{column}</th>" for column in say.COLUMNS)
        st.html(
            f'<table class="bl-table bl-read"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'
        )


def _row(row: OilRow) -> str:
    told = [escape(text) for text in (*row.read, *row.notes)] if row.oil else map(bad, row.problems)
    return f"<tr><td>{row.number}</td><td>{escape(row.name)}</td><td>{'; '.join(told)}</td></tr>"


def bad(text: str) -> str:
    """A text in a cell that says what is wrong, as html; nothing for ""."""
    return f'<span class="bl-bad">{escape(text)}</span>' if text else ""


def _buttons(table: OilTable | None) -> None:
    count = len(table.oils) if table else 0
    with st.container(horizontal=True):
        st.button(
            plural(count, *say.PUT_MANY),
            type="primary",
            key="put-oils",
            disabled=not count,
            on_click=_put,
            args=(table,),
        )
        st.button(
            shelf_words.LEAVE, type="tertiary", key="leave-oils", on_click=shelf_forms.leave, args=("oil",)
        )


@mishap.answered
def _put(table: OilTable) -> None:
    done, wrong = oil_tables.put_table(state.folder(), memo.shelf(), table)
    if wrong:
        st.session_state.answers = {"kind": "oils", "texts": wrong}
        return
    shelf_forms.leave("oil")
    left = len(table.rows) - len(table.oils)
    told = [plural(done, *say.PUT_DONE), *([plural(left, *say.LEFT_OUT)] if left else [])]
    parts.tell(" ".join(told))
