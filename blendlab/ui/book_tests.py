"""Book: the test log of batches whose jars were kept, with what is due, and challenge tests."""

from __future__ import annotations

from html import escape
from itertools import cycle

import streamlit as st

from blendlab import store
from blendlab.batch.stability import Due, tests_of_jars
from blendlab.forms import stability_reading
from blendlab.production import settings, stability
from blendlab.store.book_care_entries import Kept
from blendlab.ui import book_answers, book_challenges, memo, mishap, parts, state, typed
from blendlab.ui.words import book as say
from blendlab.units import in_degrees

KEEP = "keep-"
"""What the key of the choice of tests begins with."""
NEWEST = 40
"""Newest batches that are offered beside those of which jars were kept."""


def page() -> None:
    """Tests of every batch of jars: what is due, what comes, what was read."""
    book = memo.book()
    kept = [batch.code for batch in reversed(store.under_test(book))]
    newest = [line.code for line in store.batches(book)[:NEWEST] if line.kind == "jars"]
    asked = st.session_state.get("test-batch")
    codes = list(dict.fromkeys([*kept, *newest, *([asked] if asked else [])]))
    if not codes:
        parts.small(say.NO_TESTS)
        book_challenges.page(book)
        return
    code = st.selectbox(say.BATCH_LABEL, codes, key="test-batch", width=340, persist_state="session")
    log = stability.log_of(store.batch(book, code), state.today())
    left, right = st.columns([7, 6], gap="medium")
    with left:
        _kept(book, log)
        parts.heading(say.DUE if log.kept else say.PLAN_OF_KEPT)
        parts.rows((_what(due), stability.when(log, due, _heat())) for due in log.due)
        if not log.due:
            parts.small(say.NOTHING_DUE)
        parts.heading(say.AHEAD)
        parts.rows((_what(due), stability.when(log, due, _heat())) for due in log.ahead)
        parts.heading(say.READ)
        st.html(_read(log))
        book_challenges.page(book)
    with right, st.container(border=True, key="reading-form"):
        _reading(book, log)


def _kept(book: store.Book, log: stability.TestLog) -> None:
    known = {test: in_degrees(what, heats, _heat()) for test, what, heats in tests_of_jars()}
    if log.kept:
        parts.small(say.KEPT_FOR.format(tests=" · ".join(known.get(test, test) for test in sorted(log.kept))))
    else:
        parts.small(say.NOT_KEPT)
    with st.popover(say.KEEP_FOR_TESTS, type="tertiary"):
        _keep(book, log.page.line.code, known)


def _keep(book: store.Book, code: str, known: dict[str, str]) -> None:
    form = f"keep-{code}"
    typed.hold(form, KEEP, {"tests": []})
    key = typed.key(KEEP, "tests")
    st.multiselect(say.WHICH_TESTS, list(known), format_func=known.__getitem__, key=key)

    def act() -> None:
        tests = tuple(st.session_state[f"{KEEP}tests"])
        store.keep_for_tests(book, code, Kept(on=state.today(), tests=tests))

    book_answers.put(say.WRITE_DOWN, form, KEEP, act, key="put-kept")


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
    test = parts.one_of(say.TEST, known, "read-test")
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
