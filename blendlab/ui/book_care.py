"""Book: complaints with what law asks by when, recalls of anything she took, and the yearly drill."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.production import complaints, settings
from blendlab.store.book_care_entries import Answer, Complaint
from blendlab.ui import book_answers, book_recall, mishap, parts, state, typed, words
from blendlab.ui.words import care as say


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
    typed.hold("complaint", "told-")
    st.text_area(say.WHAT, key=typed.key("told-", "what"), max_chars=2000)
    st.text_input(say.CODE, key=typed.key("told-", "code"), max_chars=60)
    st.text_input(say.WHO, key=typed.key("told-", "who"), max_chars=200)
    st.selectbox(
        say.IS_SERIOUS,
        list(say.SERIOUS),
        format_func=say.SERIOUS.__getitem__,
        key=typed.key("told-", "serious"),
    )
    st.selectbox(
        say.MARKET,
        list(words.MARKETS),
        format_func=words.MARKETS.__getitem__,
        index=None,
        key=typed.key("told-", "market"),
    )
    st.text_input(say.DAY, key=typed.key("told-", "on"), placeholder=f"{state.today()}")
    book_answers.show("complaint")
    st.button(say.WRITE_DOWN, type="primary", key="put-complaint", on_click=_complain, args=(book,))


@mishap.answered
def _complain(book: store.Book) -> None:
    ss = st.session_state

    def act() -> None:
        said = Complaint(
            on=book_answers.day("told-on"),
            what=ss["told-what"].strip(),
            who=ss["told-who"].strip(),
            market=ss["told-market"] or "",
            serious=ss["told-serious"],
        )
        store.complain(book, said, ss["told-code"].strip())
        typed.forget("complaint", "told-")

    book_answers.attempt("complaint", act)


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


def _maker() -> str:
    maker = settings.settings(state.folder()).maker
    return ", ".join(part for part in (maker.name, maker.address, maker.country) if part)


def _answer_form(book: store.Book, number: int) -> None:
    prefix = f"done-{number}-"
    typed.hold(f"answer-{number}", prefix)
    st.text_area(say.WRITE_ANSWER, key=typed.key(prefix, "done"), max_chars=2000)
    st.text_input(say.AUTHORITY, key=typed.key(prefix, "reported"), max_chars=300)
    st.text_input(say.DAY, key=typed.key(prefix, "on"), placeholder=f"{state.today()}")
    st.checkbox(say.CLOSES, key=typed.key(prefix, "closes"))
    book_answers.show(f"answer-{number}")
    st.button(say.WRITE_DOWN, key=f"put-answer-{number}", on_click=_answer, args=(book, number))


@mishap.answered
def _answer(book: store.Book, number: int) -> None:
    ss, prefix = st.session_state, f"done-{number}-"

    def act() -> None:
        done = Answer(
            on=book_answers.day(f"{prefix}on"),
            done=ss[f"{prefix}done"].strip(),
            reported=ss[f"{prefix}reported"].strip(),
            closes=bool(ss[f"{prefix}closes"]),
        )
        store.answer(book, number, done)
        typed.forget(f"answer-{number}", prefix)

    book_answers.attempt(f"answer-{number}", act)
