"""The lines of a batch in the Book: weighings, corrections, what was measured later."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.codec import local_time
from blendlab.facts.read import figure
from blendlab.production import kitchen_log, stability
from blendlab.production.corrections import measured_later
from blendlab.ui import book_answers, corrections, memo, parts, state, typed
from blendlab.ui.words import book as say
from blendlab.ui.words import plural
from blendlab.units import degrees, in_degrees, plain

PREFIX = "later-"
LATER = {"ph": ("", 0, 14), "foam": ("g/ml", 0.1, 2), "jar": ("g", 1, 5000)}
"""What can be measured after the kitchen was left: its unit, its least and its most."""
COUNTED = {"jars": (say.JARS, say.JARS), "change": (say.JARS_FEWER, say.JARS_MORE)}
"""What an entry says in jars -> how a loss and a count of them is told."""


def weighings(book: store.Book, shown: store.BatchPage) -> None:
    """What was weighed, a form to correct it, everything else that was written down."""
    parts.heading(say.WEIGHED)
    st.html(_weighed(book, shown))
    with st.container(horizontal=True, gap="small"):
        corrections.form(book, shown)
        with st.popover(say.LATER, type="tertiary"):
            _later(book, shown.line.code)
    with st.expander(say.EVERYTHING, key="book-entries"):
        st.html(_entries(book, shown))


def _weighed(book: store.Book, shown: store.BatchPage) -> str:
    lines = {line.id: line for line in shown.plan.lines}
    codes: dict[int | None, str] = {line.number: line.lot.code for line in store.lots(book)}
    rows = []
    for weighing in shown.weighings:
        gone = ' class="bl-gone"' if weighing.corrected else ""
        line = lines.get(weighing.line)
        cup = line.cup if line is not None and line.tone else ""
        said = " · ".join(filter(None, (cup, local_time(weighing.at), weighing.note)))
        name = parts.capital(line.name if line is not None else weighing.line)
        rows.append(
            f"<tr{gone}><th scope='row'>{escape(name)}<br><small>{escape(said)}</small></th>"
            f"<td>{escape(codes.get(weighing.lot, say.NO_LOT))}</td>"
            f"<td>{_asked(shown, weighing)}</td><td><b>{plain(weighing.weighed_g, 4)}</b></td></tr>"
        )
    head = "".join(f"<th>{column}</th>" for column in say.COLUMNS)
    body = "".join(rows)
    return f'<table class="bl-table"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'


def _asked(shown: store.BatchPage, weighing: store.Weighing) -> str:
    """Grams that were asked for; nothing for a second lot, which fills up what the first did not hold."""
    grams = kitchen_log.asked_then(shown, weighing)
    return plain(grams, 4) if grams else ""


def _later(book: store.Book, code: str) -> None:
    """What was measured after the kitchen was left: pH, density of the foam, one more filled jar."""
    strength = figure("batch", "dispersion").value
    form = f"later-{code}"
    typed.hold(form, PREFIX, dict.fromkeys(LATER, ""))
    for key in LATER:
        st.text_input(say.MEASURED_LATER[key].format(strength=strength), key=typed.key(PREFIX, key))

    def figure_of(key: str) -> float | None:
        there = st.session_state[f"{PREFIX}{key}"].strip()
        return book_answers.figure(f"{PREFIX}{key}", *LATER[key]) if there else None

    def act() -> None:
        measured = dict(zip(("pH", "foam_g_ml", "jar_g"), map(figure_of, LATER), strict=True))
        given: dict[str, Any] = {"shelf": memo.shelf(), "on": state.today()}
        why = book_answers.why(form)
        corrections.set_right(code, lambda: measured_later(book, code, measured, why, **given))

    book_answers.put(say.WRITE_DOWN, form, PREFIX, act, key="put-later")


def _entries(book: store.Book, shown: store.BatchPage) -> str:
    codes = {line.number: line.lot.code for line in store.lots(book)}
    names = {line.id: line.name for line in shown.plan.lines}
    sales = {f"{sale.number}": say.SALE_TO.format(to=sale.data.get("to", "")) for sale in shown.of("sale")}
    named = {"reading": stability.names(), "return": sales}
    heat_in, rows = parts.heat_in(), []
    for entry in shown.entries:
        gone = "" if entry.stands else ' class="bl-gone"'
        kind = say.ENTRIES.get(entry.kind, entry.kind)
        own = named.get(entry.kind) or names | corrections.steps(shown, entry, heat_in)
        told = _told(entry, own, codes, heat_in)
        rows.append(
            f"<tr{gone}><th scope='row'>{escape(local_time(entry.at))}</th>"
            f"<td>{escape(kind)}</td><td>{escape(told)}</td></tr>"
        )
    return f'<table class="bl-table bl-label bl-entries"><tbody>{"".join(rows)}</tbody></table>'


def _told(entry: store.BookEntry, names: Mapping[str, str], codes: Mapping[int, str], heat_in: str) -> str:
    """What an entry is about and everything that was written with it, in words."""
    told = [names.get(entry.subject, entry.subject)]
    for key, value in entry.data.items():
        if key == "heats" or value is False or value in (None, "", []) or f"{value}" == entry.subject:
            continue
        if key in COUNTED:
            jars = int(value)
            told.append(plural(abs(jars), *COUNTED[key][jars > 0]))
            continue
        value = codes.get(value, value) if key == "lot" else value
        said = _said(key, value, heat_in)
        if key in ("read", "why"):
            said = in_degrees(said, entry.data.get("heats", ()), heat_in)
        told.append(say.DATA.get(key, f"{key.replace('_', ' ')} {{value}}").format(value=said))
    return " · ".join(part for part in told if part)


def _said(key: str, value: Any, heat_in: str) -> str:
    """One value of an entry: a temperature in her degree, a list in words, a figure as it is read."""
    if key == "celsius":
        return degrees(value, heat_in)
    if isinstance(value, list):
        return f"{len(value)}" if key == "revisions" else _listed(key, value)
    return plain(value, 2) if isinstance(value, float) else f"{value}"


def _listed(key: str, values: Sequence[str]) -> str:
    """What an entry lists, in words: sentences one after the other, keys by their names."""
    if key == "read":
        return " ".join(values)
    names = {"tests": stability.names(), "not_read": stability.NAMES}.get(key, {})
    return ", ".join(names.get(value, value) for value in values)
