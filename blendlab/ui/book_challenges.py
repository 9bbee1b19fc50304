"""Book: challenge tests at a laboratory, each with its own due date and its report."""

from __future__ import annotations

from datetime import timedelta

import streamlit as st

from blendlab import store
from blendlab.facts.read import figure
from blendlab.production.due import OF_CHALLENGES
from blendlab.store.book_care_entries import VERDICTS, Challenge, ChallengeReport
from blendlab.ui import book_answers, book_damage, parts, state, take_back, typed
from blendlab.ui.words import book as say

LAB, REPORT, RIGHT = "lab-", "report-", "labfix-"
"""What the keys of the fields of its forms begin with."""


def page(book: store.Book) -> None:
    """What was sent, what came of it, and forms for the next and for a report."""
    parts.heading(say.CHALLENGES)
    book_damage.tell_unread(book, *OF_CHALLENGES)
    found = store.challenges(book)
    if not found:
        parts.small(say.NO_CHALLENGE)
    for line in found:
        parts.small(say.CHALLENGE_HEAD.format(of=line.of, sent=line.said.sent, state=_state(line)))
    waiting = {line.number: line.of for line in found if line.report is None}
    reported = {
        line.reported: say.REPORT_OF.format(on=line.report.on, of=line.of)
        for line in found
        if line.report is not None and line.reported is not None
    }
    with st.container(horizontal=True, gap="small"):
        with st.popover(say.SEND, type="tertiary", key="challenge-send"):
            _send(book)
        if waiting:
            with st.popover(say.WRITE_REPORT, type="tertiary", key="challenge-report"):
                _report(book, waiting)
            with st.popover(say.CORRECT, type="tertiary", key="challenge-right"):
                _correct(book, waiting)
        if reported:
            take_back.form("report", reported, lambda number, why: store.withdraw(book, number, why))


def _state(line: store.ChallengeLine) -> str:
    if line.report is None:
        return say.CHALLENGE_OPEN.format(due=line.said.due)
    return say.CHALLENGE_DONE.format(verdict=say.VERDICTS[line.report.verdict], on=line.report.on)


def _send(book: store.Book) -> None:
    typed.hold("challenge", LAB, dict.fromkeys(("of", "name", "sent", "due"), ""))
    st.text_input(say.SENT_OF, key=typed.key(LAB, "of"), max_chars=200)
    st.text_input(say.LABORATORY, key=typed.key(LAB, "name"), max_chars=200)
    st.text_input(say.SENT_ON, key=typed.key(LAB, "sent"), placeholder=f"{state.today()}")
    days = figure("batch", "challenge_days").value
    st.text_input(say.REPORT_DUE.format(days=days), key=typed.key(LAB, "due"))

    def act() -> None:
        given, sent = typed.fields(LAB), book_answers.day(f"{LAB}sent")
        due = book_answers.day(f"{LAB}due") if given["due"].strip() else sent + timedelta(days=days)
        store.send_challenge(
            book, given["of"], Challenge(sent=sent, due=due, laboratory=given["name"].strip())
        )

    book_answers.put(say.WRITE_DOWN, "challenge", LAB, act, key="put-challenge")


def _report(book: store.Book, waiting: dict[int, str]) -> None:
    typed.hold("report", REPORT, {"verdict": None, "on": "", "document": ""})
    parts.one_of(say.SENT_OF, waiting, typed.key(REPORT, "of"))
    key = typed.key(REPORT, "verdict")
    st.selectbox(say.VERDICT, list(VERDICTS), format_func=say.VERDICTS.__getitem__, index=None, key=key)
    st.text_input(say.REPORTED_ON, key=typed.key(REPORT, "on"), placeholder=f"{state.today()}")
    st.text_input(say.REPORT_DOCUMENT, key=typed.key(REPORT, "document"), max_chars=200)

    def act() -> None:
        given, on = typed.fields(REPORT), book_answers.past_day(f"{REPORT}on")
        if given["verdict"] is None:
            raise store.Refused(say.NO_VERDICT)
        report = ChallengeReport(on=on, verdict=given["verdict"], document=given["document"].strip())
        store.report_challenge(book, given["of"], report)

    book_answers.put(say.WRITE_DOWN, "report", REPORT, act, key="put-report")


def _correct(book: store.Book, waiting: dict[int, str]) -> None:
    """A laboratory that needs longer, a day that was mistyped, a test that was never sent."""
    typed.hold("labfix", RIGHT, {"due": "", "back": False, "why": ""})
    parts.one_of(say.SENT_OF, waiting, typed.key(RIGHT, "of"))
    st.text_input(say.REALLY_DUE, key=typed.key(RIGHT, "due"), placeholder=say.AS_BEFORE)
    st.checkbox(say.TAKE_BACK, key=typed.key(RIGHT, "back"))
    st.text_input(say.WHY, key=typed.key(RIGHT, "why"), max_chars=200)

    def act() -> None:
        given = typed.fields(RIGHT)
        due = book_answers.day(f"{RIGHT}due") if given["due"].strip() else None
        store.correct_challenge(book, given["of"], given["why"], due=due, withdrawn=given["back"])

    book_answers.put(say.ADD_CORRECTION, "labfix", RIGHT, act, key="put-labfix")
