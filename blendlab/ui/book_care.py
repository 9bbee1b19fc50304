"""Book: complaints with what law asks by when, recalls of anything she took, and the yearly drill."""

from __future__ import annotations

from functools import partial
from html import escape

import streamlit as st

from blendlab import store
from blendlab.production import complaints, settings
from blendlab.store.book_care_entries import Complaint, ComplaintAnswer
from blendlab.ui import book_answers, book_recall, parts, state, take_back, typed, words
from blendlab.ui.words import care as say

TOLD = "told-"
"""What the keys of the fields of a complaint begin with."""


LONGEST = 60
"""Letters of a line that a choice shows."""


def page(book: store.Book) -> None:
    """Complaints left, recall and drill right."""
    left, right = st.columns([7, 6], gap="medium")
    with left:
        _complaints(book)
    with right:
        book_recall.recall_of(book)
        book_recall.drill_of(book)


def _complaints(book: store.Book) -> None:
    parts.heading(say.COMPLAINTS)
    found, unread = store.complaints(book)
    for sentence in unread:
        parts.alert(sentence, "said")
    with st.popover(say.WRITE_COMPLAINT):
        _form(book)
    if not found:
        parts.small(say.NO_COMPLAINTS)
    for line in sorted(found, key=lambda line: not line.open):
        _complaint(book, line)


def _form(book: store.Book) -> None:
    first = {"serious": next(iter(say.SERIOUS)), "market": None}
    typed.hold("complaint", TOLD, {**first, **dict.fromkeys(("what", "code", "who", "on"), "")})
    key = partial(typed.key, TOLD)
    st.text_area(say.WHAT, key=key("what"), max_chars=2000)
    st.text_input(say.CODE, key=key("code"), max_chars=60)
    st.text_input(say.WHO, key=key("who"), max_chars=200)
    st.selectbox(say.IS_SERIOUS, list(say.SERIOUS), format_func=say.SERIOUS.__getitem__, key=key("serious"))
    st.selectbox(
        say.MARKET, list(words.MARKETS), format_func=words.MARKETS.__getitem__, index=None, key=key("market")
    )
    st.text_input(say.DAY, key=key("on"), placeholder=f"{state.today()}")

    def act() -> None:
        given = typed.fields(TOLD)
        said = Complaint(
            on=book_answers.past_day(f"{TOLD}on"),
            what=given["what"].strip(),
            who=given["who"].strip(),
            market=given["market"] or "",
            serious=given["serious"],
        )
        store.complain(book, said, given["code"].strip())

    book_answers.put(say.WRITE_DOWN, "complaint", TOLD, act, key="put-complaint", type="primary")


def _complaint(book: store.Book, line: store.ComplaintLine) -> None:
    said = line.said
    with st.container(border=True, key=f"complaint-{line.number}"):
        code, standing = line.code or say.UNKNOWN_BATCH, say.OPEN if line.open else say.CLOSED
        head = say.HEAD.format(day=said.on, code=code, state=standing)
        st.html(f'<p class="bl-tone"><b>{escape(head)}</b><br>{escape(said.what)}</p>')
        parts.small(said.who)
        parts.alert(complaints.clock_words(line), "said")
        for answer in line.answers:
            parts.small(say.DONE_ON.format(day=answer.on, done=answer.done))
            parts.small(say.REPORTED.format(reported=answer.reported) if answer.reported else "")
        with st.container(horizontal=True, gap="small"):
            with st.popover(say.WRITE_ANSWER, type="tertiary"):
                _answer_form(book, line.number)
            take_back.form(
                f"complaint-{line.number}",
                _lines(line),
                lambda number, why: store.withdraw(book, number, why),
            )
            if said.serious != "no":
                st.download_button(
                    say.NOTE,
                    data=lambda: complaints.note_pdf(book, line, _maker()),
                    file_name=f"note-{line.code or line.number}.pdf",
                    mime="application/pdf",
                    on_click="ignore",
                    key=f"note-{line.number}",
                )
            if line.code:
                book_recall.list_of_complaint(book, line)


def _lines(line: store.ComplaintLine) -> dict[int, str]:
    """The complaint itself and what was done about it, by the numbers of their lines."""
    done = zip(line.written, line.answers, strict=True)
    told = {
        number: say.DONE_ON.format(day=answer.on, done=parts.short(answer.done, LONGEST))
        for number, answer in done
    }
    return {line.number: parts.short(line.said.what, LONGEST), **told}


def _maker() -> str:
    maker = settings.settings(state.folder()).maker
    return ", ".join(part for part in (maker.name, maker.address, maker.country) if part)


def _answer_form(book: store.Book, number: int) -> None:
    form, prefix = f"answer-{number}", f"done-{number}-"
    typed.hold(form, prefix, {"closes": False, **dict.fromkeys(("done", "reported", "on"), "")})
    key = partial(typed.key, prefix)
    st.text_area(say.WRITE_ANSWER, key=key("done"), max_chars=2000)
    st.text_input(say.AUTHORITY, key=key("reported"), max_chars=300)
    st.text_input(say.DAY, key=key("on"), placeholder=f"{state.today()}")
    st.checkbox(say.CLOSES, key=key("closes"))

    def act() -> None:
        given = typed.fields(prefix)
        said, reported = given["done"].strip(), given["reported"].strip()
        on, closes = book_answers.past_day(f"{prefix}on"), bool(given["closes"])
        store.answer(book, number, ComplaintAnswer(on=on, done=said, reported=reported, closes=closes))

    book_answers.put(say.WRITE_DOWN, form, prefix, act, key=f"put-answer-{number}")
