"""Book: the assessor's records of formula families, and the test log with what is due."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.batch.stability import Due
from blendlab.forms import assessment_form, stability_reading
from blendlab.production import assessments as assessed_families
from blendlab.production import settings, stability
from blendlab.ui import memo, parts, state
from blendlab.units import in_degrees, plain

FORM = (
    ("name", "Name of the family", "one"),
    ("assessor", "Assessor", "one"),
    ("on", "Day of the assessment", "one"),
    ("document", "Document", "one"),
    ("label", "Version of the label that was seen", "one"),
    ("markets", "Markets", "one"),
    ("colours", "Colours with highest percent of the finished portion", "many"),
    ("scents", "Oils with highest percent of the finished product", "many"),
    ("load", "Highest load, percent of the finished product", "one"),
    ("low", "Preservative from, %", "one"),
    ("high", "to, %", "one"),
)
READINGS = (
    ("drop", "Height drop, %"),
    ("ph", "pH shift"),
    ("density", "Density now, g/ml"),
    ("bleed", "Bleed of a seam, mm"),
    ("colour", "Colour change, ΔE2000"),
)


def assessments() -> None:
    """What was assessed, and a new record that begins with the design on the bench."""
    book = memo.book()
    known = assessed_families.families(book)
    left, right = st.columns([7, 6], gap="medium")
    with left:
        parts.heading("Assessed formula families")
        for one in known:
            colours = ", ".join(
                f"{_name('pigment', key)} up to {plain(pct)} %" for key, pct in one.pigments.items()
            )
            oils = ", ".join(f"{_name('oil', key)} up to {plain(pct)} %" for key, pct in one.scents.items())
            st.html(f'<p class="bl-tone"><b>{escape(one.name)}</b> · {escape(one.assessor)} · {one.on}</p>')
            parts.rows(
                [
                    ("Base", _name("base", one.base.id)),
                    ("Markets", ", ".join(one.markets)),
                    ("Colours", colours or "none"),
                    ("Scents", oils or "none"),
                    ("Load", f"up to {plain(one.load_pct)} % of the finished product"),
                    ("Preservative", _preservative(one)),
                    ("Label, document", " · ".join(each for each in (one.label, one.document) if each)),
                ]
            )
        if not known:
            parts.small(
                "No assessment yet. EU and GB ask for one before the first jar is sold; no tool can give it."
            )
    with right, st.container(border=True, key="family-form"):
        _form(book)


def _preservative(one) -> str:
    low, high = one.preservative_pct
    return (
        f"{_name('ingredient', one.preservative)}, {plain(low)} to {plain(high)} %"
        if one.preservative
        else "none"
    )


def _name(kind: str, item_id: str) -> str:
    item = memo.shelf().today(kind, item_id)
    return item.name if item is not None else item_id


def _form(book: store.Book) -> None:
    parts.heading("Write an assessment down")
    assessed = state.assessed()
    parts.small(
        f"It begins with {assessed.design.name} as it stands on the bench: put in what the assessor wrote."
    )
    typed = assessment_form.typed_of(assessed, state.shelf())
    for key, label, lines in FORM:
        st.session_state.setdefault(f"fam-{key}", typed.get(key, ""))
        if lines == "many":
            st.text_area(label, key=f"fam-{key}", height=110)
        else:
            st.text_input(label, key=f"fam-{key}", max_chars=200)
    for one in st.session_state.get("fam-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button(
        "Write it into the book", type="primary", key="put-family", on_click=_put, args=(book, assessed)
    )


def _put(book: store.Book, assessed) -> None:
    ss = st.session_state
    typed = {key: ss.get(f"fam-{key}", "") for key, _, _ in FORM}
    made, answers = assessment_form.family_of(typed, assessed, state.shelf())
    ss["fam-answers"] = answers
    if made is not None:
        assessed_families.keep_family(book, made)
        for key, _, _ in FORM:
            ss.pop(f"fam-{key}", None)
        ss.said = {"text": f"The assessment of {made.name} is in the book.", "fresh": False}


def tests() -> None:
    """Tests of every batch of jars: what is due, what comes, what was read."""
    book = memo.book()
    made = [one for one in store.batches(book) if one.kind == "jars"]
    if not made:
        parts.small("No batch yet. Tests count from the day a batch was made.")
        return
    codes = [one.code for one in made]
    code = st.selectbox("Batch", codes, key="test-batch", width=340)
    log = stability.log_of(store.batch(book, code), state.today())
    left, right = st.columns([7, 6], gap="medium")
    with left:
        parts.heading("Due")
        parts.rows([(_what(one), stability.when(log, one, _heat())) for one in log.due])
        if not log.due:
            parts.small("Nothing is due today.")
        parts.heading("Ahead")
        parts.rows([(_what(one), stability.when(log, one, _heat())) for one in log.ahead])
        parts.heading("Read")
        st.html(_read(log))
    with right, st.container(border=True, key="reading-form"):
        _reading(book, log)


def _what(reading: Due) -> str:
    return in_degrees(reading.what, reading.heats, _heat())


def _heat() -> str:
    return settings.settings(state.folder()).heat_in


def _read(log: stability.TestLog) -> str:
    rows = "".join(
        f"<tr><th scope='row'>{escape(one.subject)}, {escape(str(one.data['on']))}</th>"
        f"<td>{escape(stability.verdict(one.data))} {escape(str(one.data.get('note', '')))}</td></tr>"
        for one in log.done
    )
    return (
        f'<table class="bl-table bl-label"><tbody>{rows}</tbody></table>'
        if rows
        else "<p class='bl-small'>Nothing yet.</p>"
    )


def _reading(book: store.Book, log: stability.TestLog) -> None:
    parts.heading("Write a reading down")
    known = {one.test: _what(one) for one in (*log.due, *log.ahead)}
    test = st.selectbox("Test", list(known), format_func=known.__getitem__, key="read-test")
    st.text_input("Day", key="read-on", placeholder=state.today().isoformat())
    first, second = st.columns(2, gap="small")
    for place, (key, label) in zip((first, second) * 3, READINGS, strict=False):
        place.text_input(label, key=f"read-{key}", placeholder="not read")
    first.selectbox(
        "Free liquid", ["", "no", "yes"], key="read-liquid", format_func=lambda one: one or "not looked at"
    )
    second.selectbox(
        "Growth", ["", "no", "yes"], key="read-growth", format_func=lambda one: one or "not looked at"
    )
    st.text_input("Note", key="read-note", max_chars=300)
    for one in st.session_state.get("read-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button(
        "Write it into the book",
        type="primary",
        key="put-reading",
        on_click=_put_reading,
        args=(book, log, test),
    )


def _put_reading(book: store.Book, log: stability.TestLog, test: str) -> None:
    ss = st.session_state
    names = ("on", *(key for key, _ in READINGS), "liquid", "growth", "note")
    typed = {key: ss.get(f"read-{key}", "") for key in names}
    said, answers = stability_reading.reading_of(typed, state.today(), log.page, memo.shelf())
    ss["read-answers"] = answers
    if said is not None and test:
        book.write("reading", test, said, log.page.line.code)
        for key in names:
            ss[f"read-{key}"] = ""
