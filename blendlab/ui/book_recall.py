"""Book: the recall of everything made of a thing or a lot, and the drill that tries it out."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from blendlab import store
from blendlab.facts.read import figure
from blendlab.production import drill, recall
from blendlab.production.due import OF_DRILLS
from blendlab.ui import book_answers, book_damage, parts, state, take_back, typed
from blendlab.ui.words import care as say
from blendlab.ui.words import plural

DRILL = "drill-"
"""What the keys of the fields of a drill begin with."""


def lists(called: Callable[[], recall.Recall], key: str) -> None:
    """The two buttons of a recall list: paper and table; the list is made when one is pressed."""
    for label, made, ending, mime in (
        (say.LIST_PDF, recall.recall_pdf, "pdf", "application/pdf"),
        (say.LIST_CSV, recall.recall_csv, "csv", "text/csv"),
    ):
        st.download_button(
            label,
            data=lambda made=made: made(called()),
            file_name=f"recall-{key}.{ending}",
            mime=mime,
            on_click="ignore",
            key=f"recall-{ending}-{key}",
        )


def list_of_complaint(book: store.Book, line: store.ComplaintLine) -> None:
    """The list of everything that shares a lot with the jar of a complaint."""
    st.download_button(
        say.RECALL_OF,
        data=lambda: recall.recall_pdf(recall.of_complaint(book, line)),
        file_name=f"recall-{line.code}.pdf",
        mime="application/pdf",
        on_click="ignore",
        key=f"recall-complaint-{line.number}",
    )


def recall_of(book: store.Book) -> None:
    """From a thing, or one lot of it, to who has the jars."""
    parts.heading(say.RECALL)
    parts.small(say.RECALL_WHY)
    lots = store.lots(book)
    if not lots:
        parts.small(say.NO_LOTS)
        return
    things = {line.item: line.lot.name or line.item for line in sorted(lots, key=lambda line: line.lot.name)}
    known = parts.apart(things)
    item = st.selectbox(
        say.OF_WHAT,
        list(things),
        format_func=lambda item: known.get(item, item),
        index=None,
        key="recall-item",
        persist_state="session",
    )
    if item is None:
        return
    codes: dict[int | None, str] = {None: say.EVERY_LOT}
    codes |= {line.number: line.lot.code for line in lots if line.item == item}
    typed.hold("recall-lot", "recall-lot-")
    number = parts.one_of(say.OF_LOT, codes, typed.key("recall-lot-", item))
    called = recall.of_thing(book, item, things[item]) if number is None else recall.of_lots(book, [number])
    _reach(called)
    with st.container(horizontal=True, gap="small"):
        lists(lambda: called, f"{number or item}".replace(":", "-"))


def _reach(called: recall.Recall) -> None:
    sold = sum(len(batch.sales) for batch in called.batches)
    parts.small(
        say.REACHES.format(
            batches=plural(len(called.batches), *say.BATCHES),
            jars=plural(called.out, *say.JARS),
            sales=plural(sold, *say.SALES),
        )
    )
    if called.unnamed:
        parts.alert(plural(len(called.unnamed), *say.UNNAMED), "said")
    for sentence in called.unread:
        parts.alert(sentence, "said")


def drill_of(book: store.Book) -> None:
    """The last drill, and a form for the next."""
    parts.heading(say.DRILL)
    book_damage.tell_unread(book, *OF_DRILLS)
    done = store.drills(book)
    if done:
        code, last, _ = done[0]
        parts.small(say.LAST_DRILL.format(day=last.on, code=code, verdict=drill.verdict(last)))
        lines = {number: say.DRILL_OF.format(day=tried.on, code=of) for of, tried, number in done}
        take_back.form("drill", lines, lambda number, why: store.withdraw(book, number, why))
    else:
        parts.small(say.NO_DRILL)
    weighed = (line for line in store.lots(book) if line.came_g > 0 and store.unit_of(line.item) == "g")
    lots = {line.number: f"{line.lot.code} · {line.lot.name}" for line in weighed}
    if not lots:
        return
    with st.popover(say.DRILL, type="tertiary"):
        _drill(book, lots)


def _drill(book: store.Book, lots: dict[int, str]) -> None:
    typed.hold("drill", DRILL, {"grams": "", "minutes": ""})
    parts.small(say.DRILL_WHY.format(most=figure("batch", "drill_off").value))
    parts.one_of(say.DRILL_LOT, lots, typed.key(DRILL, "lot"))
    st.text_input(say.DRILL_GRAMS, key=typed.key(DRILL, "grams"))
    st.text_input(say.DRILL_MINUTES, key=typed.key(DRILL, "minutes"))

    def act() -> None:
        given, grams = typed.fields(DRILL), book_answers.figure(f"{DRILL}grams", "g", 0, 1e7)
        timed = given["minutes"].strip()
        minutes = book_answers.figure(f"{DRILL}minutes", "", 0, 100_000) if timed else None
        parts.tell(drill.verdict(drill.keep(book, given["lot"], grams, state.today(), minutes)))

    book_answers.put(say.DRILL_DO, "drill", DRILL, act, key="put-drill")
