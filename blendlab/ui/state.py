"""The one design of a session as a plain dict: change, undo, redo, draft, open, save.

Session state holds plain dicts, texts and numbers only, so that an edit of the program's own files
or a restart never leaves objects of an older class behind; frozen nouns are rebuilt on each run.
"""

from __future__ import annotations

import copy
import time
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

import streamlit as st

from blendlab import recipe, store
from blendlab.assess import Assessment
from blendlab.codec import local_time
from blendlab.errors import BlendlabError
from blendlab.production import stock_lots
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, embedded
from blendlab.ui import documents, drafts, memo, mishap, words

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
        kept={},
    )
    draft, message = drafts.first()
    document, known, problem = documents.of_draft(draft)
    ss.drawn = {"": known} if known else {}
    if draft and not problem:
        document = drafts.own(document)
        ss.kept = {document["draft"]: draft.digest}
        offered = words.DRAFT_OFFERED if document["changed"] else words.CARD_OFFERED
        text = " ".join(filter(None, (offered.format(name=document["design"]["name"]), message)))
        ss.said = {"text": text, "fresh": True, "bench": True}
    else:
        ss.said = {"text": problem or message or words.DEMO, "fresh": False, "bench": True}
    if refused := drafts.refused():
        ss.said = {"text": f"{refused} {ss.said['text']}", "fresh": False}
    ss.doc = document


def design() -> Design:
    """The design of this session."""
    return memo.design(st.session_state.doc["design"])


def shelf() -> Shelf:
    """Her shelf with the revisions that the design carries."""
    return memo.carried(st.session_state.doc["embedded"])


def stock() -> stock_lots.InStock | None:
    """The lots of the book and which are taken; None while it cannot be opened (Batch, Book say why)."""
    try:
        return stock_lots.in_stock(memo.book(), st.session_state.lots, today())
    except BlendlabError:
        return None


def lots() -> Mapping[str, tuple[store.LotLine, ...]]:
    """The lots that are taken of each thing; none while the book cannot be opened."""
    there = stock()
    return there.taken if there is not None else {}


def assessed() -> Assessment:
    """The design of this session, judged: every page reads this one."""
    return judged(design(), shelf())


def judged(made: Design, carried: Shelf) -> Assessment:
    """A design judged today with the lots that are taken in this session: cards and drafts read this too."""
    return memo.assessment(made, carried, today(), stock())


def judged_card(card_id: str, there: stock_lots.InStock | None) -> Assessment:
    """A saved card judged today on the revisions it carries, with the lots of `stock`.

    Raises UnknownName, BadDocument.
    """
    card = store.open_card(folder(), card_id).card
    return memo.assessment(card.design, memo.shelf().carrying(card.embedded), today(), there)


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
    document = documents.document(made, carried, card, seen, saved, ss.doc["embedded"], ss.doc["draft"])
    now = time.monotonic()
    same = field and ss.last[0] == field and now - ss.last[1] < SAME_EDIT_SECONDS
    if not same:
        remember(word)
    ss.future, ss.last, ss.said = [], (field, now), None
    place(document)


def remember(word: str, history: str = "past") -> None:
    """Keep the design at work as a step of Undo, or of Redo."""
    ss = st.session_state
    ss[history] = [*ss[history], {**ss.doc, "word": word}][-LONGEST_HISTORY:]


def place(document: dict[str, Any], changed: bool = True) -> None:
    """Put a document to work; the draft is written."""
    st.session_state.doc = {**document, "changed": changed}
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
        remember(step["word"], target)
        _put_back(step)


def _put_back(kept: Mapping[str, Any]) -> None:
    """Put a document of before in place; as the same design it stays the card it is by now."""
    ss = st.session_state
    document = {key: value for key, value in kept.items() if key != "word"}
    changed = kept["changed"]
    if document["design"]["id"] == ss.doc["design"]["id"]:
        changed = changed or document["seen"] != ss.doc["seen"]
        document |= {key: ss.doc[key] for key in documents.CARD}
    if document["draft"] != ss.doc["draft"]:
        drafts.leave()
    ss.bad, ss.last, ss.said, ss.clash = {}, ("", 0.0), None, None
    place(document, changed)


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
        remember(words.UNDO_STEP_BACK)
        st.session_state.future = []
        _put_back(known)


def _keep_draft() -> None:
    """Write the draft, and beside it the last design that could be drawn."""
    ss = st.session_state
    problem = drafts.keep(next(reversed(ss.drawn.values()), None))
    if problem:
        ss.said = {"text": problem, "fresh": False}


def clock(saved_at: str) -> str:
    """Hour and minute of a moment in ISO form, the day too unless it is today; what is none as it stands."""
    return local_time(saved_at).removeprefix(f"{today()} ")


def today() -> date:
    """The day everything is judged on."""
    return date.today()
