"""Book: the test log of batches whose jars were kept, with what is due, and challenge tests."""

from __future__ import annotations

from html import escape
from itertools import cycle

import streamlit as st

from blendlab import photo, store
from blendlab.batch.stability import Due
from blendlab.errors import BlendlabError
from blendlab.forms import stability_reading
from blendlab.production import sales, settings, stability
from blendlab.production.due import OF_TESTS
from blendlab.ui import (
    book_answers,
    book_challenges,
    book_damage,
    book_sales,
    colours,
    kept_photos,
    memo,
    mishap,
    parts,
    state,
    typed,
)
from blendlab.ui.words import book as say
from blendlab.ui.words import kept_photos as photos_say
from blendlab.units import in_degrees

KEEP = "keep-"
"""What the key of the choice of tests begins with."""
FORM = "read"
"""The form of a reading; what the keys of its fields begin with, see `colours.begin`."""
NEWEST = 40
"""Newest batches that are offered beside those of which jars were kept."""


def page() -> None:
    """Tests of every batch of jars: what is due, what comes, what was read."""
    book = memo.book()
    book_damage.tell_unread(book, *OF_TESTS)
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
        if not log.ahead:
            parts.small(say.NOTHING_AHEAD)
        parts.heading(say.READ)
        st.html(_read(log))
        parts.small(_missed(log))
        kept_photos.page(log, stability.names(_heat()))
        book_challenges.page(book)
    with right, st.container(border=True, key="reading-form"):
        _reading(book, log)


def _missed(log: stability.TestLog) -> str:
    """Readings that were not taken in their time, test by test; "" for none."""
    days: dict[str, list[str]] = {}
    for due in log.missed:
        days.setdefault(_what(due), []).append(f"{due.on}")
    told = "; ".join(say.MISSED_OF.format(test=test, days=", ".join(on)) for test, on in days.items())
    return say.MISSED.format(readings=told) if told else ""


def _kept(book: store.Book, log: stability.TestLog) -> None:
    known = stability.names(_heat())
    if log.kept:
        parts.small(say.KEPT_FOR.format(tests=" · ".join(known.get(test, test) for test in sorted(log.kept))))
    else:
        parts.small(say.NOT_KEPT)
    with st.popover(say.KEEP_FOR_TESTS, type="tertiary"):
        _keep(book, log.page.line.code, known)


def _keep(book: store.Book, code: str, known: dict[str, str]) -> None:
    form = f"keep-{code}"
    typed.hold(form, KEEP, {"tests": [], "jars": ""})
    st.text_input(say.JARS_ASIDE, key=typed.key(KEEP, "jars"), max_chars=10)
    key = typed.key(KEEP, "tests")
    st.multiselect(say.WHICH_TESTS, list(known), format_func=known.__getitem__, key=key)

    def act() -> None:
        jars = book_answers.figure(f"{KEEP}jars", "", 1, book_sales.MOST)
        sales.keep_for_tests(book, code, jars, st.session_state[f"{KEEP}tests"], state.today())

    book_answers.put(say.WRITE_DOWN, form, KEEP, act, key="put-kept")


def _what(due: Due) -> str:
    return in_degrees(due.what, due.heats, _heat())


def _heat() -> str:
    return settings.settings(state.folder()).heat_in


def _read(log: stability.TestLog) -> str:
    if not log.done:
        return f"<p class='bl-small'>{say.NOTHING_YET}</p>"
    names, rows = stability.names(_heat()), []
    for entry in log.done:
        head = say.SUBJECT_ON.format(subject=names.get(entry.subject, entry.subject), day=entry.data["on"])
        photo_too = photos_say.WITH_PHOTO if entry.data.get("photo") else ""
        said = f"{stability.verdict(entry.data)} {photo_too} {entry.data.get('note', '')}"
        rows.append(f"<tr><th scope='row'>{escape(head)}</th><td>{escape(said)}</td></tr>")
    return f'<table class="bl-table bl-label bl-read"><tbody>{"".join(rows)}</tbody></table>'


def _reading(book: store.Book, log: stability.TestLog) -> None:
    parts.heading(say.WRITE_READING)
    colours.begin(FORM, f"reading:{log.page.line.code}")
    asked = {due.test: _what(due) for due in log.due}
    names = stability.names(_heat()).items()
    open_to = {test: what for test, what in names if not log.kept or test in log.kept}
    test = parts.one_of(say.TEST, {**asked, **open_to}, _key("test"))
    st.text_input(say.DAY, key=_key("on"), placeholder=state.today().isoformat())
    first, second = st.columns(2, gap="small")
    for place, (key, label) in zip(cycle((first, second)), say.READINGS.items(), strict=False):
        place.text_input(label, key=_key(key), placeholder=say.NOT_READ)
    looked = {"options": list(say.LOOKED), "format_func": say.LOOKED.__getitem__}
    first.selectbox(say.FREE_LIQUID, **looked, key=_key("liquid"))
    second.selectbox(say.GROWTH, **looked, key=_key("growth"))
    st.text_input(say.NOTE, key=_key("note"), max_chars=300)
    parts.chosen_file(photos_say.PHOTO, colours.PICTURES, _photo_key(), photo.MOST_BYTES // 10**6)
    parts.small(photos_say.KEPT_HOW.format(px=photo.MOST_PX))
    for answer in st.session_state.get("read-answers", []):
        parts.alert(answer)
    st.button(
        say.WRITE_IN_BOOK,
        type="primary",
        key="put-reading",
        on_click=_put_reading,
        args=(book, log, test),
    )


def _key(name: str) -> str:
    return typed.key(f"{colours.prefix_of(FORM)}-", name)


def _photo_key() -> str:
    return f"{colours.prefix_of(FORM)}-photo"


@mishap.answered
def _put_reading(book: store.Book, log: stability.TestLog, test: str) -> None:
    ss = st.session_state
    upload = ss.get(_photo_key())
    kept, unfit = stability_reading.photo_of(upload.getvalue() if upload else b"")
    said, answers = stability_reading.reading_of(
        colours.given(FORM), state.today(), log.page, memo.shelf(), photo=upload is not None
    )
    ss["read-answers"] = [*answers, *unfit]
    if said is None or unfit:
        return
    try:
        store.write_reading(book, log.page.line.code, test, said, kept)
    except BlendlabError as problem:
        ss["read-answers"] = [str(problem)]
    else:
        colours.forget(FORM)
