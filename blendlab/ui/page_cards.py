"""Cards: what is not saved yet, the saved designs; find, open, print, copy, rename, take away."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.errors import NO_REFERENCE, PLANNING
from blendlab.production import shortage
from blendlab.production.stock_lots import InStock
from blendlab.recipe import slug
from blendlab.show import card_prints, cards
from blendlab.ui import binned, compare, draft_cards, export, mishap, opening, parts, state, typed, words
from blendlab.ui.words import cards as say

COLUMNS = 4
A_PAGE = 24
ALL = "all"
MIME = {"pdf": "application/pdf", "png": "image/png"}


def page() -> None:
    """Draw the page."""
    entries = store.listing(state.folder())
    parts.said(on_bench=False)
    for unread in store.unread_lines(state.folder()):
        parts.alert(unread.message, "said")
    _taken_away()
    draft_cards.row()
    if not entries:
        _empty()
        binned.fold("card", "line", "draft")
        return
    stock = state.stock()
    shown = _found(entries, stock)
    _compare(shown)
    for first in range(0, len(shown), COLUMNS):
        columns = st.columns(COLUMNS, gap="medium")
        for column, entry in zip(columns, shown[first : first + COLUMNS], strict=False):
            with column:
                _card(entry, stock)
    binned.fold("card", "line", "draft")
    parts.small(f"{NO_REFERENCE} {PLANNING}")


# --- finding --------------------------------------------------------------------------------------


def _found(entries: list[store.Entry], stock: InStock | None) -> list[store.Entry]:
    """The cards that are asked for, one page of them."""
    lines = {saved.line.id: saved.line for saved in store.lines(state.folder())}
    with st.container(key="find", horizontal=True, vertical_alignment="bottom"):
        asked = st.text_input(say.FIND, key="find-text", persist_state="session", width=340)
        chosen = st.segmented_control(
            say.SHOW,
            [ALL, *lines],
            required=True,
            default=ALL,
            key="find-line",
            format_func=lambda line_id: lines[line_id].name if line_id in lines else say.ALL,
            persist_state="session",
        )
        with st.container(horizontal=True, horizontal_alignment="right"):
            st.button(say.NEW_DESIGN, type="primary", on_click=_new)
    if chosen in lines:
        entries = _line(lines[chosen], entries, stock)
    found = [entry for entry in entries if _matches(entry, asked or "")]
    if not found:
        parts.small(say.NO_MATCH)
    return _paged(found)


def _matches(entry: store.Entry, asked: str) -> bool:
    """Whether every word stands in the card's name, tones, oils or declared names."""
    judged = entry.judged
    named = [tone["name"] for tone in judged.get("tones", [])]
    text = " ".join([entry.name, *named, *judged.get("oils", []), *judged.get("names", [])]).casefold()
    return all(word in text for word in asked.casefold().split())


def _paged(found: list[store.Entry]) -> list[store.Entry]:
    if len(found) <= A_PAGE:
        return found
    pages = -(-len(found) // A_PAGE)
    number = st.segmented_control(
        say.PAGE, list(range(1, pages + 1)), required=True, default=1, key="find-page"
    )
    return found[(number - 1) * A_PAGE : number * A_PAGE]


def _line(line: store.CardLine, entries: list[store.Entry], stock: InStock | None) -> list[store.Entry]:
    """The cards of a line in its order, and what can be done with them together."""
    order = line.cards
    own = [entry for entry in entries if entry.card_id in order]
    own.sort(key=lambda entry: order.index(entry.card_id))
    ids = [entry.card_id for entry in own if not entry.damaged]
    with st.container(horizontal=True, key="line-print"):
        st.download_button(
            say.PRINT_LINE.format(line=line.name),
            data=lambda: card_prints.line_pdf(line.name, [state.judged_card(each, stock) for each in ids]),
            file_name=f"{slug(line.name)}.pdf",
            mime=MIME["pdf"],
            on_click="ignore",
            type="tertiary",
        )
        st.button(
            say.LINE_TO_BIN, key=f"line-bin-{line.id}", type="tertiary", on_click=_line_away, args=(line,)
        )
    with st.expander(say.LINE_IN_A_ROW.format(line=line.name), key="fold-row", on_change="rerun") as opened:
        if opened.open and ids:
            export.line(line.name, ids)
    return own


def _compare(shown: list[store.Entry]) -> None:
    with st.expander(say.COMPARE, key="fold-compare", on_change="rerun") as opened:
        if opened.open:
            known = compare.known_cards()
            first = [entry.card_id for entry in shown if entry.card_id in known][:2]
            compare.page(compare.choose(known, first))


# --- one card -------------------------------------------------------------------------------------


def _card(entry: store.Entry, stock: InStock | None) -> None:
    if entry.damaged:
        st.html(f'<p class="bl-said"><b>{escape(entry.name)}</b><br>{escape(entry.damaged)}</p>')
        return
    with st.container(key=f"card-{entry.card_id}"):
        if entry.picture:
            said = say.CARD_OF.format(name=entry.name)
            st.image(entry.picture.read_bytes(), output_format="PNG", width="stretch", alt=said)
        else:
            parts.small(say.NO_PICTURE)
            key = f"draw-{entry.card_id}"
            st.button(say.DRAW_AGAIN, key=key, type="tertiary", on_click=_draw_again, args=(entry,))
        st.html(_told(entry, stock))
        with st.container(horizontal=True, gap="small"):
            st.button(
                say.OPEN, key=f"open-{entry.card_id}", type="tertiary", on_click=_open, args=(entry.card_id,)
            )
            with st.popover(say.PRINT, type="tertiary", key=f"print-{entry.card_id}"):
                _print(entry, stock)
            with st.popover(say.MORE, type="tertiary", key=f"more-{entry.card_id}"):
                _more(entry)


def _told(entry: store.Entry, stock: InStock | None) -> str:
    """Tones, name, product and what was judged worst."""
    judged = entry.judged
    tones = judged.get("tones", [])
    strip = "".join(
        f'<span style="flex:{tone["share_pct"]};background:{tone["hex"]}"></span>' for tone in tones
    )
    said = ", ".join(say.TONE.format(name=tone["name"], colour=tone["hex"]) for tone in tones)
    worst = parts.worst(judged["counts"]) if judged.get("counts") else say.NOT_JUDGED
    kind = judged.get("product", "")
    line = say.JUDGED.format(product=words.PRODUCTS.get(kind, kind), day=judged.get("on", ""))
    told = (line, worst, _lots_since(judged, stock), draft_cards.since(entry.card_id))
    lines = "<br>".join(escape(said) for said in told if said)
    return (
        f'<div class="bl-strip" role="img" aria-label="{escape(said)}">{strip}</div>'
        f'<h3 class="bl-cardname">{escape(entry.name)}</h3>'
        f'<p class="bl-small">{lines}</p>'
    )


def _lots_since(judged: Mapping[str, Any], stock: InStock | None) -> str:
    """What a card's counts leave out of the book: all of its lots, or what changed of them since."""
    if stock is None or not stock.lines:
        return ""
    rests_on = judged.get("stock")
    if rests_on is None:
        return say.WITHOUT_LOTS
    same = shortage.digest_of(rests_on["needs"], stock) == rests_on["lots"]
    return "" if same else say.LOTS_SINCE


def _print(entry: store.Entry, stock: InStock | None) -> None:
    for suffix, label in say.PRINTS.items():
        st.download_button(
            label,
            data=lambda suffix=suffix: card_prints.printed(state.judged_card(entry.card_id, stock), suffix),
            file_name=f"{slug(entry.name)}.{suffix}",
            mime=MIME[suffix],
            on_click="ignore",
            key=f"print-{suffix}-{entry.card_id}",
        )


def _more(entry: store.Entry) -> None:
    prefix = f"rename-{entry.card_id}:"
    typed.hold(prefix, prefix, {"": entry.name})
    key = typed.key(prefix, "")
    st.text_input(say.NAME, key=key, max_chars=80)
    st.button(say.RENAME, key=f"do-rename-{entry.card_id}", on_click=_rename, args=(entry, key))
    st.button(say.COPY, key=f"copy-{entry.card_id}", on_click=_copy, args=(entry,))
    st.button(say.TAKE_AWAY, key=f"bin-{entry.card_id}", on_click=_take_away, args=(entry,))


# --- acts -----------------------------------------------------------------------------------------


@mishap.answered
def _open(card_id: str) -> None:
    opening.open_card(card_id)
    st.session_state.goto = "look"


@mishap.answered
def _new() -> None:
    opening.new_design()
    st.session_state.goto = "look"


@mishap.answered
def _rename(entry: store.Entry, key: str) -> None:
    name = st.session_state[key].strip()
    if name and name != entry.name:
        opening.follow(entry, store.rename(state.folder(), entry.card_id, name, entry.digest))


@mishap.answered
def _copy(entry: store.Entry) -> None:
    store.duplicate(state.folder(), entry.card_id)


@mishap.answered
def _draw_again(entry: store.Entry) -> None:
    cards.draw_again(state.folder(), state.judged_card(entry.card_id, state.stock()))


@mishap.answered
def _take_away(entry: store.Entry) -> None:
    store.delete(state.folder(), entry.card_id)
    st.session_state.taken = {"id": entry.card_id, "name": entry.name}


@mishap.answered
def _line_away(line: store.CardLine) -> None:
    store.delete_line(state.folder(), line.id)
    st.session_state["find-line"] = ALL
    parts.tell(say.IN_BIN.format(name=line.name))


@mishap.answered
def _put_back() -> None:
    taken, st.session_state.taken = st.session_state.taken, None
    bring_back = store.restore_draft if taken.get("draft") else store.restore
    bring_back(state.folder(), taken["id"])


@mishap.answered
def _demo() -> None:
    opening.fresh_demo()
    st.session_state.goto = "look"


# --- beside the cards -----------------------------------------------------------------------------


def _taken_away() -> None:
    taken = st.session_state.get("taken")
    if taken:
        with st.container(horizontal=True, key="taken"):
            st.html(f'<p class="bl-said">{escape(say.IN_BIN.format(name=taken["name"]))}</p>')
            st.button(say.PUT_BACK, type="tertiary", on_click=_put_back)


def _empty() -> None:
    with st.container(key="empty"):
        parts.heading(say.NO_CARDS)
        parts.small(say.NO_CARDS_WHY)
        with st.container(horizontal=True):
            st.button(say.NEW_DESIGN, type="primary", on_click=_new)
            st.button(say.SEE_DEMO, on_click=_demo)
