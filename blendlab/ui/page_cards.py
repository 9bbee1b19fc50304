"""Cards: the saved designs; find, open, print, copy, rename, take away."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.errors import NO_REFERENCE, PLANNING, BlendlabError
from blendlab.show import card_prints
from blendlab.ui import compare, export, parts, state, words

COLUMNS = 4
A_PAGE = 24


def page() -> None:
    """Draw the page."""
    entries = store.listing(state.folder())
    parts.said(on_bench=False)
    for unread in store.unread_lines(state.folder()):
        st.html(f'<p class="bl-said" role="alert">{escape(unread.message)}</p>')
    _taken_away()
    if not entries:
        _empty()
        return
    shown = _find(entries)
    _compare(shown)
    for first in range(0, len(shown), COLUMNS):
        columns = st.columns(COLUMNS, gap="medium")
        for column, entry in zip(columns, shown[first : first + COLUMNS], strict=False):
            with column:
                _card(entry)
    parts.small(f"{NO_REFERENCE} {PLANNING}")


def _find(entries: list[store.Entry]) -> list[store.Entry]:
    with st.container(key="find", horizontal=True, vertical_alignment="bottom"):
        asked = st.text_input(
            "Find a card, tone, oil or declared name", key="find-text", persist_state="session", width=340
        )
        lines = {one.line.id: one.line for one in store.lines(state.folder())}
        chosen = st.segmented_control(
            "Show",
            ["all", *lines],
            required=True,
            default="all",
            key="find-line",
            format_func=lambda one: lines[one].name if one in lines else "All",
            persist_state="session",
        )
        with st.container(horizontal=True, horizontal_alignment="right"):
            st.button("New design", type="primary", on_click=_new)
    if chosen in lines:
        ordered = lines[chosen].cards
        entries = sorted(
            (one for one in entries if one.card_id in ordered), key=lambda one: ordered.index(one.card_id)
        )
        _line(chosen, lines[chosen].name, entries)
    found = [one for one in entries if _matches(one, asked or "")]
    if not found:
        parts.small("No card matches.")
    return _paged(found)


def _compare(shown: list[store.Entry]) -> None:
    with st.expander("Compare", key="fold-compare", on_change="rerun") as opened:
        if opened.open:
            known = compare.known_cards()
            compare.page(compare.choose(known, [one.card_id for one in shown if one.card_id in known][:2]))


def _matches(entry: store.Entry, asked: str) -> bool:
    """Whether every word stands in the card's name, tones, oils or declared names."""
    judged = entry.judged
    text = " ".join(
        [
            entry.name,
            *(tone["name"] for tone in judged.get("tones", [])),
            *judged.get("oils", []),
            *judged.get("names", []),
        ]
    ).casefold()
    return all(word in text for word in asked.casefold().split())


def _paged(found: list[store.Entry]) -> list[store.Entry]:
    if len(found) <= A_PAGE:
        return found
    pages = -(-len(found) // A_PAGE)
    number = st.segmented_control(
        "Page", list(range(1, pages + 1)), required=True, default=1, key="find-page"
    )
    return found[(number - 1) * A_PAGE : number * A_PAGE]


def _line(line_id: str, name: str, entries: list[store.Entry]) -> None:
    folder = state.folder()
    ids = [one.card_id for one in entries if not one.damaged]
    with st.container(horizontal=True, key="line-print"):
        st.download_button(
            f"Print {name} (PDF)",
            data=lambda: card_prints.line_pdf(folder, name, ids),
            file_name=f"{line_id}.pdf",
            mime="application/pdf",
            on_click="ignore",
            type="tertiary",
        )
    with st.expander(f"{name} in a row", key="fold-row", on_change="rerun") as opened:
        if opened.open and ids:
            export.line(name, ids)


def _card(entry: store.Entry) -> None:
    if entry.damaged:
        st.html(f'<p class="bl-said"><b>{escape(entry.name)}</b><br>{escape(entry.damaged)}</p>')
        return
    with st.container(key=f"card-{entry.card_id}"):
        if entry.picture:
            st.image(
                entry.picture.read_bytes(), output_format="PNG", width="stretch", alt=f"Card of {entry.name}."
            )
        st.html(_words(entry))
        with st.container(horizontal=True, gap="small"):
            st.button(
                "Open", key=f"open-{entry.card_id}", type="tertiary", on_click=_open, args=(entry.card_id,)
            )
            with st.popover("Print", type="tertiary", key=f"print-{entry.card_id}"):
                _print(entry)
            with st.popover("More", type="tertiary", key=f"more-{entry.card_id}"):
                _more(entry)


def _words(entry: store.Entry) -> str:
    judged = entry.judged
    strip = "".join(
        f'<span style="flex:{tone["share_pct"]};background:{tone["hex"]}"></span>'
        for tone in judged.get("tones", [])
    )
    tones = ", ".join(f"{tone['name']} {tone['hex']}" for tone in judged.get("tones", []))
    worst = parts.worst(judged["counts"]) if judged.get("counts") else words.NOT_JUDGED
    product = words.PRODUCTS.get(judged.get("product", ""), judged.get("product", ""))
    line = f"{product} · judged {judged.get('on', '')}"
    return (
        f'<div class="bl-strip" role="img" aria-label="{escape(tones)}">{strip}</div>'
        f'<h3 class="bl-cardname">{escape(entry.name)}</h3>'
        f'<p class="bl-small">{escape(line)}<br>{escape(worst)}</p>'
    )


def _open(card_id: str) -> None:
    try:
        state.open_card(card_id)
        st.session_state.goto = "look"
    except BlendlabError as problem:
        st.session_state.said = {"text": str(problem), "fresh": False}


def _new() -> None:
    state.new_design()
    st.session_state.goto = "look"


def _print(entry: store.Entry) -> None:
    folder = state.folder()
    for word, suffix, mime in (
        ("Card, A6 (PDF)", "pdf", "application/pdf"),
        ("Card (PNG)", "png", "image/png"),
    ):
        st.download_button(
            word,
            data=lambda suffix=suffix: card_prints.printed(folder, entry.card_id, suffix),
            file_name=f"{entry.card_id}.{suffix}",
            mime=mime,
            on_click="ignore",
            key=f"print-{suffix}-{entry.card_id}",
        )


def _more(entry: store.Entry) -> None:
    key = f"rename-{entry.card_id}"
    st.text_input("Name", value=entry.name, key=key, max_chars=80)
    st.button("Rename", key=f"do-{key}", on_click=_rename, args=(entry, key))
    st.button(
        "Make a copy", key=f"copy-{entry.card_id}", on_click=_try, args=(store.duplicate, entry.card_id)
    )
    st.button("Take away", key=f"bin-{entry.card_id}", on_click=_take_away, args=(entry,))


def _try(act, *args) -> None:
    try:
        act(state.folder(), *args)
    except BlendlabError as problem:
        st.session_state.said = {"text": str(problem), "fresh": False}


def _rename(entry: store.Entry, key: str) -> None:
    name = st.session_state[key].strip()
    if name and name != entry.name:
        _try(store.rename, entry.card_id, name, entry.digest)


def _take_away(entry: store.Entry) -> None:
    _try(store.delete, entry.card_id)
    st.session_state.taken = {"id": entry.card_id, "name": entry.name}


def _taken_away() -> None:
    taken = st.session_state.get("taken")
    if taken:
        with st.container(horizontal=True, key="taken"):
            st.html(f'<p class="bl-said">{escape(taken["name"])} is in the bin.</p>')
            st.button("Put it back", type="tertiary", on_click=_put_back)


def _put_back() -> None:
    _try(store.restore, st.session_state.taken["id"])
    st.session_state.taken = None


def _empty() -> None:
    with st.container(key="empty"):
        parts.heading(words.NO_CARDS)
        parts.small(words.NO_CARDS_WHY)
        with st.container(horizontal=True):
            st.button("New design", type="primary", on_click=_new)
            st.button("See the demo", on_click=_demo)


def _demo() -> None:
    state.fresh_demo()
    st.session_state.goto = "look"
