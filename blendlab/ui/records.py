"""Book: the assessor's records of formula families, and the test log with what is due."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from itertools import cycle

import streamlit as st

from blendlab import store
from blendlab.assess import Assessment
from blendlab.batch.safety_assessment import Family
from blendlab.batch.stability import Due
from blendlab.forms import assessment_form, stability_reading
from blendlab.production import assessments as families
from blendlab.production import settings, stability
from blendlab.ui import memo, mishap, parts, state
from blendlab.ui.words import book as say
from blendlab.units import in_degrees, plain

LONG = ("colours", "scents")
"""Fields of an assessment that take a line for each thing."""


def assessments() -> None:
    """What was assessed, and a new record that begins with the design on the bench."""
    book = memo.book()
    known = families.families(book)
    left, right = st.columns([7, 6], gap="medium")
    with left:
        parts.heading(say.ASSESSED)
        for family in known:
            _family(family)
        if not known:
            parts.small(say.NO_ASSESSMENT)
    with right, st.container(border=True, key="family-form"):
        _form(book)


def _family(family: Family) -> None:
    st.html(f'<p class="bl-tone"><b>{escape(family.name)}</b> · {escape(family.assessor)} · {family.on}</p>')
    parts.rows(
        [
            (say.BASE, _name("base", family.base.id)),
            (say.MARKETS, ", ".join(family.markets)),
            (say.COLOURS, _up_to("pigment", family.pigments)),
            (say.SCENTS, _up_to("oil", family.scents)),
            (say.LOAD, say.LOAD_UP_TO.format(pct=plain(family.load_pct))),
            (say.PRESERVATIVE, _preservative(family)),
            (say.LABEL_DOCUMENT, " · ".join(part for part in (family.label, family.document) if part)),
        ]
    )


def _up_to(kind: str, most: Mapping[str, float]) -> str:
    shown = (say.UP_TO.format(name=_name(kind, key), pct=plain(pct)) for key, pct in most.items())
    return ", ".join(shown) or say.NONE


def _preservative(family: Family) -> str:
    if not family.preservative:
        return say.NONE
    low, high = map(plain, family.preservative_pct)
    return say.PRESERVATIVE_RANGE.format(name=_name("ingredient", family.preservative), low=low, high=high)


def _name(kind: str, item_id: str) -> str:
    item = memo.shelf().today(kind, item_id)
    return item.name if item is not None else item_id


def _form(book: store.Book) -> None:
    parts.heading(say.WRITE_ASSESSMENT)
    assessed = state.assessed()
    parts.small(say.BEGINS_WITH.format(name=assessed.design.name))
    typed = assessment_form.typed_of(assessed)
    for key, label in say.FORM.items():
        st.session_state.setdefault(f"fam-{key}", typed.get(key, ""))
        if key in LONG:
            st.text_area(label, key=f"fam-{key}", height=110)
        else:
            st.text_input(label, key=f"fam-{key}", max_chars=200)
    for answer in st.session_state.get("fam-answers", []):
        parts.alert(answer)
    st.button(say.WRITE_IN_BOOK, type="primary", key="put-family", on_click=_put, args=(book, assessed))


@mishap.answered
def _put(book: store.Book, assessed: Assessment) -> None:
    ss = st.session_state
    typed = {key: ss.get(f"fam-{key}", "") for key in say.FORM}
    made, answers = assessment_form.family_of(typed, assessed, state.shelf())
    ss["fam-answers"] = answers
    if made is not None:
        families.keep_family(book, made)
        for key in say.FORM:
            ss.pop(f"fam-{key}", None)
        parts.tell(say.ASSESSMENT_KEPT.format(name=made.name))


def tests() -> None:
    """Tests of every batch of jars: what is due, what comes, what was read."""
    book = memo.book()
    codes = [line.code for line in store.batches(book) if line.kind == "jars"]
    if not codes:
        parts.small(say.NO_TESTS)
        return
    code = st.selectbox(say.BATCH_LABEL, codes, key="test-batch", width=340)
    log = stability.log_of(store.batch(book, code), state.today())
    left, right = st.columns([7, 6], gap="medium")
    with left:
        parts.heading(say.DUE)
        parts.rows((_what(due), stability.when(log, due, _heat())) for due in log.due)
        if not log.due:
            parts.small(say.NOTHING_DUE)
        parts.heading(say.AHEAD)
        parts.rows((_what(due), stability.when(log, due, _heat())) for due in log.ahead)
        parts.heading(say.READ)
        st.html(_read(log))
    with right, st.container(border=True, key="reading-form"):
        _reading(book, log)


def _what(due: Due) -> str:
    return in_degrees(due.what, due.heats, _heat())


def _heat() -> str:
    return settings.settings(state.folder()).heat_in


def _read(log: stability.TestLog) -> str:
    if not log.done:
        return f"<p class='bl-small'>{say.NOTHING_YET}</p>"
    rows = []
    for entry in log.done:
        head = say.SUBJECT_ON.format(subject=entry.subject, day=entry.data["on"])
        said = f"{stability.verdict(entry.data)} {entry.data.get('note', '')}"
        rows.append(f"<tr><th scope='row'>{escape(head)}</th><td>{escape(said)}</td></tr>")
    return f'<table class="bl-table bl-label"><tbody>{"".join(rows)}</tbody></table>'


def _reading(book: store.Book, log: stability.TestLog) -> None:
    parts.heading(say.WRITE_READING)
    known = {due.test: _what(due) for due in (*log.due, *log.ahead)}
    test = st.selectbox(say.TEST, list(known), format_func=known.__getitem__, key="read-test")
    st.text_input(say.DAY, key="read-on", placeholder=state.today().isoformat())
    first, second = st.columns(2, gap="small")
    for place, (key, label) in zip(cycle((first, second)), say.READINGS.items(), strict=False):
        place.text_input(label, key=f"read-{key}", placeholder=say.NOT_READ)
    looked = {"options": list(say.LOOKED), "format_func": say.LOOKED.__getitem__}
    first.selectbox(say.FREE_LIQUID, **looked, key="read-liquid")
    second.selectbox(say.GROWTH, **looked, key="read-growth")
    st.text_input(say.NOTE, key="read-note", max_chars=300)
    for answer in st.session_state.get("read-answers", []):
        parts.alert(answer)
    st.button(
        say.WRITE_IN_BOOK,
        type="primary",
        key="put-reading",
        on_click=_put_reading,
        args=(book, log, test),
    )


@mishap.answered
def _put_reading(book: store.Book, log: stability.TestLog, test: str) -> None:
    ss = st.session_state
    names = ("on", *say.READINGS, "liquid", "growth", "note")
    typed = {key: ss.get(f"read-{key}", "") for key in names}
    said, answers = stability_reading.reading_of(typed, state.today(), log.page, memo.shelf())
    ss["read-answers"] = answers
    if said is not None and test:
        book.write("reading", test, said, log.page.line.code)
        for key in names:
            ss[f"read-{key}"] = ""
