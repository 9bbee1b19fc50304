"""Book: challenge tests at a laboratory, each with its own due date and its report."""

from __future__ import annotations

from datetime import timedelta

import streamlit as st

from blendlab import store
from blendlab.facts.read import figure
from blendlab.store.book_care_entries import VERDICTS, Challenge, ChallengeReport
from blendlab.ui import book_answers, mishap, parts, state, typed
from blendlab.ui.words import book as say


def page(book: store.Book) -> None:
    """What was sent, what came of it, and forms for the next and for a report."""
    parts.heading(say.CHALLENGES)
    found = store.challenges(book)
    if not found:
        parts.small(say.NO_CHALLENGE)
    for line in found:
        parts.small(say.CHALLENGE_HEAD.format(of=line.of, sent=line.said.sent, state=_state(line)))
    waiting = {line.number: line.of for line in found if line.report is None}
    with st.container(horizontal=True, gap="small"):
        with st.popover(say.SEND, type="tertiary"):
            _send(book)
        if waiting:
            with st.popover(say.WRITE_REPORT, type="tertiary"):
                _report(book, waiting)


def _state(line: store.ChallengeLine) -> str:
    if line.report is None:
        return say.CHALLENGE_OPEN.format(due=line.said.due)
    return say.CHALLENGE_DONE.format(verdict=say.VERDICTS[line.report.verdict], on=line.report.on)


def _send(book: store.Book) -> None:
    typed.hold("challenge", "lab-")
    st.text_input(say.SENT_OF, key=typed.key("lab-", "of"), max_chars=200)
    st.text_input(say.LABORATORY, key=typed.key("lab-", "name"), max_chars=200)
    st.text_input(say.SENT_ON, key=typed.key("lab-", "sent"), placeholder=f"{state.today()}")
    days = figure("batch", "challenge_days").value
    st.text_input(say.REPORT_DUE.format(days=days), key=typed.key("lab-", "due"))
    book_answers.show("challenge")
    st.button(say.WRITE_DOWN, key="put-challenge", on_click=_put, args=(book, days))


@mishap.answered
def _put(book: store.Book, days: float) -> None:
    ss = st.session_state

    def act() -> None:
        sent = book_answers.day("lab-sent")
        due = book_answers.day("lab-due") if ss["lab-due"].strip() else sent + timedelta(days=days)
        store.send_challenge(
            book, ss["lab-of"], Challenge(sent=sent, due=due, laboratory=ss["lab-name"].strip())
        )
        typed.forget("challenge", "lab-")

    book_answers.attempt("challenge", act)


def _report(book: store.Book, waiting: dict[int, str]) -> None:
    typed.hold("report", "report-")
    parts.one_of(say.SENT_OF, waiting, typed.key("report-", "of"))
    st.selectbox(
        say.VERDICT, list(VERDICTS), format_func=say.VERDICTS.__getitem__, key=typed.key("report-", "verdict")
    )
    st.text_input(say.REPORTED_ON, key=typed.key("report-", "on"), placeholder=f"{state.today()}")
    st.text_input(say.REPORT_DOCUMENT, key=typed.key("report-", "document"), max_chars=200)
    book_answers.show("report")
    st.button(say.WRITE_DOWN, key="put-report", on_click=_put_report, args=(book,))


@mishap.answered
def _put_report(book: store.Book) -> None:
    ss = st.session_state

    def act() -> None:
        on, verdict = book_answers.day("report-on"), ss["report-verdict"]
        report = ChallengeReport(on=on, verdict=verdict, document=ss["report-document"].strip())
        store.report_challenge(book, ss["report-of"], report)
        typed.forget("report", "report-")

    book_answers.attempt("report", act)
