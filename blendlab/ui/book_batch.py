"""One batch in the Book: how it came out, its release, its chain, what was weighed and sold."""

from __future__ import annotations

from zlib import crc32

import streamlit as st

from blendlab import printing, store
from blendlab.errors import Finding
from blendlab.production import (
    came_out,
    kitchen_log,
    line_words,
    lots_drawn,
    outcome,
    recall,
    release,
    revisions,
)
from blendlab.ui import (
    book_answers,
    book_chain,
    book_label,
    book_lines,
    book_recall,
    book_record,
    book_repeat,
    book_sales,
    book_since,
    kitchen_door,
    memo,
    mishap,
    parts,
    state,
)
from blendlab.ui.words import book as say
from blendlab.ui.words import plural
from blendlab.units import in_degrees


def page(book: store.Book, shown: store.BatchPage) -> None:
    """Everything the book holds of a batch."""
    code = shown.line.code
    parts.heading(say.TITLE.format(code=code, name=shown.line.name))
    _acts(book, shown)
    book_repeat.block(book, shown)
    parts.rows(book_record.facts(book, shown))
    for sentence in shown.unread:
        parts.alert(sentence, "said")
    if shown.line.kind == "jars":
        if shown.decision == store.FOR_SALE:
            _standing(book, shown)
        elif shown.decision == store.TEST_JARS:
            book_since.block(book, shown)
        else:
            _release(book, shown)
        _weights(shown)
        book_label.block(book, shown)
    else:
        parts.findings(came_out.of_batch(book, shown).findings, "book")
    parts.heading(say.ORIGIN)
    st.html(book_chain.backward(store.backward(book, code)))
    for sentence in lots_drawn.carriers(shown):
        parts.small(sentence)
    if shown.line.kind == "jars":
        book_sales.page(book, shown)
    book_lines.weighings(book, shown)


def _acts(book: store.Book, shown: store.BatchPage) -> None:
    code = shown.line.code
    with st.container(horizontal=True, gap="small", key="book-acts"):
        if kitchen_log.stand(shown).current is not None and shown.decision in ("", store.CALLED_BACK):
            st.button(say.GO_ON, type="primary", on_click=kitchen_door.enter, args=(code,))
        if shown.line.kind == "jars":
            book_repeat.button(shown)
        book_recall.lists(lambda: recall.of_batch(book, code), code)
        st.download_button(
            say.SHEET,
            data=lambda: book_record.pdf(book, shown),
            file_name=f"{code}.pdf",
            mime="application/pdf",
            on_click="ignore",
        )
        st.download_button(
            say.CUPS,
            data=lambda: printing.cups_pdf(line_words.cups(shown.now), code, shown.line.name),
            file_name=f"{code}-cups.pdf",
            mime="application/pdf",
            on_click="ignore",
        )


def _called_back(shown: store.BatchPage) -> None:
    if shown.decision != store.CALLED_BACK:
        return
    said = shown.of("release")[-1].data
    why = in_degrees(said.get("why", ""), said.get("heats", ()), parts.heat_in())
    told = say.CALLED_BACK.format(day=said["on"], why=why)
    sold = plural(shown.sold, *say.SOLD_BEFORE) if shown.sold else ""
    parts.alert(f"{told} {sold}".strip(), "kask")


def _standing(book: store.Book, shown: store.BatchPage) -> None:
    """What stands of a released batch, as it is told before a release; what was read then says so."""
    read = release.read_before(shown)

    def mark(point: Finding, _: str) -> None:
        if point.text in read:
            parts.small(say.READ_ALREADY)

    points = release.standing(book, shown, memo.shelf())
    parts.findings(points, "book", beside=mark)
    if any(point.id == revisions.SINCE for point in points):
        book_since.form(book, shown)


def _release(book: store.Book, shown: store.BatchPage) -> None:
    _called_back(shown)
    points = release.points(book, shown, memo.shelf(), state.today())
    parts.findings(points, "book", say.NOTHING_OPEN)
    if any(point.id == revisions.SINCE for point in points):
        book_since.form(book, shown)
    stops, cautions = any(point.level == "stop" for point in points), release.cautions(points)
    decided = sum(entry.kind == "release" for entry in shown.entries)
    read = f"read-{shown.line.code}-{decided}-{crc32(' '.join(cautions).encode())}"
    if cautions and not stops:
        st.checkbox(plural(len(cautions), *say.HAVE_READ), key=read, persist_state="session")
    with st.container(horizontal=True, gap="small"):
        st.button(say.RELEASE, disabled=stops, on_click=_release_it, args=(book, shown, read, cautions))
        st.button(say.KEEP_AS_TEST, on_click=_keep, args=(book, shown))
    book_answers.show("release")


@mishap.answered
def _release_it(book: store.Book, shown: store.BatchPage, key: str, cautions: tuple[str, ...]) -> None:
    """Release a batch; key  of the box by which she says that she has read the cautions on the page."""
    read, code = cautions if st.session_state.get(key) else (), shown.line.code
    book_answers.attempt("release", lambda: release.release(book, code, memo.shelf(), state.today(), read))


@mishap.answered
def _keep(book: store.Book, shown: store.BatchPage) -> None:
    book_answers.attempt("release", lambda: release.keep_as_test_jars(book, shown.line.code, state.today()))


def _weights(shown: store.BatchPage) -> None:
    if not shown.filled_g:
        return
    label_g = outcome.label_grams(shown)
    parts.heading(say.FILLED)
    parts.small(say.FILLED_GRAMS.format(grams=", ".join(f"{grams:g}" for grams in shown.filled_g)))
    parts.small(say.THREE_JARS if label_g is None else outcome.weight_words(shown, label_g))
