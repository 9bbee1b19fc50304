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
from blendlab.assess import Assessment
from blendlab.errors import BlendlabError, ChangedOutside
from blendlab.production import stock_lots
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, embedded
from blendlab.show import cards, first_visit
from blendlab.ui import documents, memo, mishap, words

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
        past=[],
        future=[],
        bad={},
        said=None,
        clash=None,
        last=("", 0.0),
        open_tone=None,
        new_pigment={},
        lots={},
    )
    draft, message = store.load_draft(folder())
    document, known, problem = documents.of_draft(draft)
    ss.drawn = {"": known} if known else {}
    if draft and not problem:
        name = document["design"]["name"]
        ss.said = {"text": words.DRAFT_OFFERED.format(name=name), "fresh": True, "bench": True}
    else:
        ss.said = {"text": problem or message or words.DEMO, "fresh": False, "bench": True}
    ss.doc = document


def design() -> Design:
    """The design of this session."""
    return memo.design(st.session_state.doc["design"])


def shelf() -> Shelf:
    """Her shelf with the revisions that the design carries."""
    return memo.carried(st.session_state.doc["embedded"])


def lots() -> dict[str, store.LotLine]:
    """The lot that is taken of each thing; none while the book cannot be opened (Batch and Book say why)."""
    try:
        return stock_lots.lots_to_take(memo.book(), st.session_state.lots)
    except BlendlabError:
        return {}


def assessed() -> Assessment:
    """The design of this session, judged: every page reads this one."""
    return memo.assessment(design(), shelf(), today(), lots())


@mishap.answered
def change(word: str, edit: Callable[[dict[str, Any]], None], field: str = "") -> None:
    """Apply one edit to the design: validate, keep the old one for Undo, write the draft.

    word   what Undo will call it
    field  edits of the same field within a second are one step
    """
    ss = st.session_state
    changed = copy.deepcopy(ss.doc["design"])
    edit(changed)
    made = recipe.from_dict(changed)
    if changed == ss.doc["design"]:
        return
    card, seen, saved = (ss.doc[key] for key in documents.CARD)
    carried = embedded(made, shelf())
    document = documents.document(made, carried, card, seen, saved, known=ss.doc["embedded"])
    now = time.monotonic()
    same = field and ss.last[0] == field and now - ss.last[1] < SAME_EDIT_SECONDS
    if not same:
        _remember(word)
    ss.future, ss.last, ss.said = [], (field, now), None
    _place(document)


def _remember(word: str, history: str = "past") -> None:
    """Keep the design at work as a step of Undo, or of Redo."""
    ss = st.session_state
    ss[history] = [*ss[history], {**ss.doc, "word": word}][-LONGEST_HISTORY:]


def _place(document: dict[str, Any]) -> None:
    """Put a changed document to work; the draft is written."""
    st.session_state.doc = {**document, "changed": True}
    _keep_draft()


@mishap.answered
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


def reference(item: Item) -> dict[str, str]:
    """What a design says of a thing it uses: its kind, its id and the revision."""
    return {"kind": item.kind, "id": item.id, "rev": item.rev}


def at(path: str) -> Any:
    """Value at a dotted path of the design dict."""
    target = st.session_state.doc["design"]
    for step in path.split("."):
        target = target[int(step)] if isinstance(target, list) else target[step]
    return target


@mishap.answered
def undo() -> None:
    """Take the last change back."""
    _step("past", "future")


@mishap.answered
def redo() -> None:
    """Make the change that was taken back again."""
    _step("future", "past")


def _step(source: str, target: str) -> None:
    ss = st.session_state
    if ss[source]:
        *ss[source], step = ss[source]
        _remember(step["word"], target)
        _put_back(step)


def _put_back(kept: Mapping[str, Any]) -> None:
    """Put a document of before in place; as the same design it stays the card it is by now."""
    ss = st.session_state
    document = {key: value for key, value in kept.items() if key != "word"}
    if document["design"]["id"] == ss.doc["design"]["id"]:
        document |= {key: ss.doc[key] for key in documents.CARD}
    ss.bad, ss.last, ss.said = {}, ("", 0.0), None
    _place(document)


def drawn(page: str) -> None:
    """Remember that a page could be drawn with the design at work."""
    ss = st.session_state
    if ss.drawn.get(page) is not ss.doc:
        others = {path: document for path, document in ss.drawn.items() if path != page}
        ss.drawn = {**others, page: ss.doc}


def drawn_before(page: str) -> dict[str, Any] | None:
    """The last other design that the page, or else any page, could be drawn with."""
    ss = st.session_state
    latest = [ss.drawn.get(page), *reversed(ss.drawn.values())]
    return next((known for known in latest if known and known["design"] != ss.doc["design"]), None)


@mishap.answered
def step_back(page: str) -> None:
    """Go back to the last design that could be drawn; the one at work stays one Undo away."""
    if known := drawn_before(page):
        _remember(words.UNDO_STEP_BACK)
        st.session_state.future = []
        _put_back(known)


def open_card(card_id: str) -> None:
    """Open a saved card on the bench; one of a newer version as a design of its own, to look at."""
    card, seen = store.open_card(folder(), card_id)
    if card.newer:
        open_design(card.known_part, card.embedded, None, None, None)
        st.session_state.said = {"text": words.NEWER_CARD.format(name=card.design.name), "fresh": False}
        return
    open_design(card.design, card.embedded, card_id, seen, card.saved_at)


def open_design(
    opened: Design, carried: tuple[Item, ...], card: str | None, seen: str | None, saved: str | None
) -> None:
    """Put another design on the bench with a history of its own."""
    ss = st.session_state
    ss.update(past=[], future=[], bad={}, said=None, clash=None, last=("", 0.0), open_tone=None)
    ss.doc = documents.document(opened, carried, card, seen, saved)
    _keep_draft()


def new_design() -> None:
    """Start from an undyed jar."""
    made, carried = first_visit.blank_design(memo.shelf())
    open_design(made, carried, None, None, None)


@mishap.answered
def fresh_demo() -> None:
    """Show the demo again; what was at work stays one Undo away."""
    ss = st.session_state
    left = {**ss.doc, "word": words.UNDO_DEMO}
    made, carried = first_visit.demo_design(memo.shelf())
    open_design(made, carried, None, None, None)
    ss.past = [left]
    ss.said = {"text": words.DEMO, "fresh": False, "bench": True}


@mishap.answered
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
    ss.doc = documents.document(saved.design, saved.embedded, saved.id, seen, saved.saved_at)
    ss.clash = None
    ss.said = {
        "text": words.SAVED.format(time=clock(saved.saved_at), card=f"cards/{saved.id}"),
        "fresh": False,
    }
    _keep_draft()


def _keep_draft() -> None:
    """Write the draft, and beside it the last design that could be drawn."""
    ss = st.session_state
    draft = documents.to_draft(ss.doc, next(reversed(ss.drawn.values()), None))
    try:
        store.save_draft(folder(), draft)
    except BlendlabError as problem:
        ss.said = {"text": str(problem), "fresh": False}


def draft_kept() -> bool:
    """Whether the draft on the disk is the design at work."""
    draft, _ = store.load_draft(folder())
    return draft is not None and draft["design"] == st.session_state.doc["design"]


@mishap.answered
def open_theirs() -> None:
    """Open the card as it stands in the folder; her own stays as a step of Undo."""
    ss = st.session_state
    mine = {**ss.doc, "word": words.UNDO_MINE}
    open_card(ss.doc["card"])
    ss.past = [mine]


def clock(saved_at: str) -> str:
    """Hour and minute of a moment in ISO form; what is no moment is given back as it stands."""
    try:
        return datetime.fromisoformat(saved_at).astimezone().strftime("%H:%M")
    except (ValueError, OverflowError):
        return saved_at


def today() -> date:
    """The day everything is judged on."""
    return date.today()
