"""Opening and saving: another design on the bench without losing the one at work, a card out of a draft."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError, ChangedOutside
from blendlab.recipe import Design
from blendlab.shelf import Item
from blendlab.show import cards, first_visit
from blendlab.ui import documents, drafts, memo, mishap, state, words


def open_card(card_id: str) -> None:
    """Open a saved card on the bench; one of a newer version as a design of its own, to look at."""
    card, seen = store.open_card(memo.folder(), card_id)
    if card.newer:
        open_design(card.known_part, card.embedded, None, None, None)
        st.session_state.said = {"text": words.NEWER_CARD.format(name=card.design.name), "fresh": False}
        return
    open_design(card.design, card.embedded, card_id, seen, card.saved_at)


def open_design(
    opened: Design, carried: tuple[Item, ...], card: str | None, seen: str | None, saved: str | None
) -> None:
    """Put another design on the bench; what was at work stays one Undo away, if it was changed a draft."""
    _take(documents.document(opened, carried, card, seen, saved))


def open_draft(draft_id: str) -> None:
    """Go on with a design that was left without being saved."""
    if draft_id == st.session_state.doc["draft"]:
        return
    draft, document = _read(draft_id)
    st.session_state.kept = {**st.session_state.kept, draft.id: draft.digest}
    _take(document)


def _read(draft_id: str) -> tuple[store.Draft, dict[str, Any]]:
    """A draft and the document in it. Raises UnknownName, BlendlabError for one that cannot be read."""
    draft = store.open_draft(memo.folder(), draft_id)
    document, _, problem = documents.of_draft(draft)
    if problem:
        raise BlendlabError(problem)
    return draft, document


def _take(document: dict[str, Any]) -> None:
    ss = st.session_state
    state.remember(words.UNDO_OPENING.format(name=ss.doc["design"]["name"]))
    drafts.leave()
    ss.update(future=[], bad={}, said=None, clash=None, last=("", 0.0), open_tone=None)
    state.place(document, document["changed"])


def throw_away(draft_id: str) -> None:
    """Move a draft to the bin; where it is at work, its card or the demo takes its place, one Undo away."""
    doc = st.session_state.doc
    if draft_id == doc["draft"]:
        if doc["card"] and store.has_card(memo.folder(), doc["card"]):
            open_card(doc["card"])
        else:
            _open_demo()
    store.forget_draft(memo.folder(), draft_id)


def new_design() -> None:
    """Start from an undyed jar."""
    made, carried = first_visit.blank_design(memo.shelf())
    open_design(made, carried, None, None, None)


@mishap.answered
def fresh_demo() -> None:
    """Show the demo again; what was at work stays one Undo away."""
    _open_demo()


def _open_demo() -> None:
    made, carried = first_visit.demo_design(memo.shelf())
    open_design(made, carried, None, None, None)
    st.session_state.said = {"text": words.DEMO, "fresh": False, "bench": True}


@mishap.answered
def save_card(as_copy: bool = False) -> None:
    """Save the design as a card; tell her when the card changed elsewhere meanwhile."""
    ss = st.session_state
    try:
        document = _saved(ss.doc, as_copy)
    except ChangedOutside as problem:
        ss.clash = str(problem)
        return
    ss.clash = None
    state.place(document, changed=False)
    _say_saved(document)


def save_left(draft_id: str) -> None:
    """Save a draft as a card without opening it. Raises ChangedOutside when its card is another by now."""
    if draft_id == st.session_state.doc["draft"]:
        document = _saved(st.session_state.doc)
        state.place(document, changed=False)
    else:
        draft, left = _read(draft_id)
        document = _saved(left)
        store.drop_draft(memo.folder(), draft.id, draft.digest)
    _say_saved(document)


def _saved(document: Mapping[str, Any], as_copy: bool = False) -> dict[str, Any]:
    """The document as the card it was saved as."""
    carried = memo.carried(document["embedded"])
    card, picture = cards.card(state.judged(memo.design(document["design"]), carried), carried)
    if as_copy:
        saved, seen = store.save_as_copy(memo.folder(), card, picture)
    else:
        known = None if binned(document) else document["seen"]
        saved, seen = store.save(memo.folder(), card, picture, known)
    return documents.document(
        saved.design, saved.embedded, saved.id, seen, saved.saved_at, draft=document["draft"]
    )


def binned(document: Mapping[str, Any]) -> bool:
    """Whether the card that a document is lies in the bin: saved again it is a card again."""
    return bool(document["card"]) and store.is_binned(memo.folder(), document["card"])


@mishap.answered
def put_back() -> None:
    """Bring the card of the design at work back out of the bin."""
    store.restore(memo.folder(), st.session_state.doc["card"])


def follow(entry: store.Entry, renamed: store.Saved) -> None:
    """Give the design at work the new name of its card, where that is the card that was renamed."""
    doc = st.session_state.doc
    if (doc["card"], doc["seen"]) != (entry.card_id, entry.digest):
        return
    card = {"card": entry.card_id, "seen": renamed.digest, "saved": renamed.card.saved_at}
    design = {**doc["design"], "name": renamed.card.design.name}
    state.place({**doc, **card, "design": design}, doc["changed"])


def _say_saved(document: Mapping[str, Any]) -> None:
    file = f"cards/{store.file_stem(document['design']['name'], document['card'])}"
    said = words.SAVED.format(time=state.clock(document["saved"]), card=file)
    st.session_state.said = {"text": said, "fresh": False}


@mishap.answered
def open_theirs() -> None:
    """Open the card as it stands in the folder; her own stays a draft, one Undo away."""
    open_card(st.session_state.doc["card"])
