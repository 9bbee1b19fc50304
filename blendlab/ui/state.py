"""The one design of a session as a plain dict: change, undo, redo, draft, open, save.

Session state holds plain dicts, texts and numbers only, so that an edit of the program's own files
or a restart never leaves objects of an older class behind; frozen nouns are rebuilt on each run.
"""

from __future__ import annotations

import copy
import time
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

import streamlit as st

from blendlab import recipe, store
from blendlab.codec import encode
from blendlab.errors import BlendlabError, ChangedOutside
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, embedded, item_from_dict
from blendlab.show import cards, demo
from blendlab.ui import memo, words

LONGEST_HISTORY = 100
SAME_EDIT_SECONDS = 1.0


def folder() -> store.Folder:
    """The maker's folder of this process."""
    return memo.folder()


def start() -> None:
    """Give a new session its design: the draft if there is one, else the demo."""
    ss = st.session_state
    if "doc" in ss:
        return
    ss.update(
        past=[], future=[], bad={}, said=None, clash=None, last=("", 0.0), open_tone=None, new_pigment={}
    )
    draft, message = store.load_draft(folder())
    ss.doc, problem = _offered(draft)
    if draft and not problem:
        ss.said = {
            "text": words.DRAFT_OFFERED.format(name=ss.doc["design"]["name"]),
            "fresh": True,
            "bench": True,
        }
    else:
        ss.said = {"text": problem or message or words.DEMO, "fresh": False, "bench": True}


def _offered(draft: dict[str, Any] | None) -> tuple[dict[str, Any], str]:
    """The draft as a document, or the demo with a sentence why it is not the draft."""
    if draft is None:
        return _demo(), ""
    try:
        made = recipe.from_dict(draft["design"])
        carried = tuple(
            item_from_dict(key.partition(":")[0], data) for key, data in draft.get("embedded", {}).items()
        )
    except (BlendlabError, AttributeError) as problem:
        return _demo(), words.DRAFT_UNREADABLE.format(problem=problem)
    kept = (draft.get("card"), draft.get("seen"), draft.get("saved"))
    document = _document(made, carried, *kept)
    document["changed"] = bool(draft.get("changed"))
    return document, ""


def _demo() -> dict[str, Any]:
    design, embedded = demo.demo_design(memo.shelf())
    return _document(design, embedded, card=None, seen=None, saved=None)


def _document(
    design: Design, embedded: tuple[Item, ...], card: str | None, seen: str | None, saved: str | None
) -> dict[str, Any]:
    items = {item.ref.key: encode(item) for item in embedded}
    return {"design": recipe.to_dict(design), "embedded": items, "card": card, "seen": seen, "saved": saved}


def design() -> Design:
    """The design of this session."""
    return memo.design(st.session_state.doc["design"])


def shelf() -> Shelf:
    """Her shelf with the revisions that the design carries."""
    return memo.carried(st.session_state.doc["embedded"])


def change(word: str, edit: Callable[[dict[str, Any]], None], field: str = "") -> None:
    """Apply one edit to the design: validate, keep the old one for Undo, write the draft.

    word   what Undo will call it
    field  edits of the same field within a second are one step
    """
    ss = st.session_state
    changed = copy.deepcopy(ss.doc["design"])
    edit(changed)
    try:
        made = recipe.from_dict(changed)
    except BlendlabError as problem:
        ss.said = {"text": str(problem), "fresh": False}
        return
    if changed == ss.doc["design"]:
        return
    now = time.monotonic()
    same = field and ss.last[0] == field and now - ss.last[1] < SAME_EDIT_SECONDS
    if not same:
        ss.past = [*ss.past, {"design": ss.doc["design"], "word": word}][-LONGEST_HISTORY:]
    ss.future, ss.last, ss.said = [], (field, now), None
    _replace(made)


def assign(changes: Mapping[str, Any], word: str, field: str = "") -> None:
    """Set values at dotted paths of the design, such as "tones.0.doses.1.pct"."""

    def edit(target: dict[str, Any]) -> None:
        for path, value in changes.items():
            _set(target, path, value)

    change(word, edit, field)


def _set(target: Any, path: str, value: Any) -> None:
    *stem, leaf = path.split(".")
    for step in stem:
        target = target[int(step)] if isinstance(target, list) else target[step]
    if isinstance(target, list):
        target[int(leaf)] = value
    else:
        target[leaf] = value


def at(path: str) -> Any:
    """Value at a dotted path of the design dict."""
    target = st.session_state.doc["design"]
    for step in path.split("."):
        target = target[int(step)] if isinstance(target, list) else target[step]
    return target


def _replace(made: Design) -> None:
    """Put a design in place; the revisions it uses travel with it, the draft is written."""
    ss = st.session_state
    carried = embedded(made, shelf())
    ss.doc = _document(made, carried, ss.doc["card"], ss.doc["seen"], ss.doc["saved"])
    ss.doc["changed"] = True
    _keep_draft()


def undo() -> None:
    """Take the last change back."""
    _step("past", "future")


def redo() -> None:
    """Make the change that was taken back again."""
    _step("future", "past")


def _step(source: str, target: str) -> None:
    ss = st.session_state
    if ss[source]:
        one = ss[source][-1]
        ss[source] = ss[source][:-1]
        ss[target] = [*ss[target], {"design": ss.doc["design"], "word": one["word"]}]
        ss.bad, ss.last = {}, ("", 0.0)
        _replace(recipe.from_dict(one["design"]))


def open_card(card_id: str) -> None:
    """Open a saved card on the bench."""
    card, seen = store.open_card(folder(), card_id)
    open_design(card.design, card.embedded, card_id, seen, card.saved_at)


def open_design(
    opened: Design, embedded: tuple[Item, ...], card: str | None, seen: str | None, saved: str | None
) -> None:
    """Put another design on the bench with a history of its own."""
    ss = st.session_state
    ss.update(past=[], future=[], bad={}, said=None, clash=None, last=("", 0.0), open_tone=None)
    ss.doc = _document(opened, embedded, card, seen, saved)
    _keep_draft()


def new_design() -> None:
    """Start from an undyed jar."""
    made, embedded = demo.blank_design(memo.shelf())
    open_design(made, embedded, None, None, None)


def fresh_demo() -> None:
    """Leave the draft and show the demo again."""
    ss = st.session_state
    made, embedded = demo.demo_design(memo.shelf())
    open_design(made, embedded, None, None, None)
    ss.said = {"text": words.DEMO, "fresh": False, "bench": True}


def save_card(as_copy: bool = False) -> None:
    """Save the design as a card; tell her when the card changed elsewhere meanwhile."""
    ss = st.session_state
    try:
        card, picture = cards.card(design(), shelf())
        if as_copy:
            saved, seen = store.save_as_copy(folder(), card, picture)
        else:
            saved, seen = store.save(folder(), card, picture, ss.doc["seen"])
    except ChangedOutside as problem:
        ss.clash = str(problem)
        return
    except BlendlabError as problem:
        ss.said = {"text": str(problem), "fresh": False}
        return
    ss.doc = _document(saved.design, saved.embedded, saved.id, seen, saved.saved_at)
    ss.clash = None
    ss.said = {
        "text": words.SAVED.format(time=clock(saved.saved_at), card=f"cards/{saved.id}"),
        "fresh": False,
    }
    _keep_draft()


def _keep_draft() -> None:
    try:
        store.save_draft(folder(), st.session_state.doc)
    except BlendlabError as problem:
        st.session_state.said = {"text": str(problem), "fresh": False}


def open_theirs() -> None:
    """Open the card as it stands in the folder; her own stays as a step of Undo."""
    ss = st.session_state
    mine = ss.doc["design"]
    open_card(ss.doc["card"])
    ss.past = [{"design": mine, "word": words.UNDO_MINE}]


def clock(saved_at: str) -> str:
    """Hour and minute of a moment in ISO form."""
    return datetime.fromisoformat(saved_at).astimezone().strftime("%H:%M")


def today() -> date:
    """The day everything is judged on."""
    return date.today()
