"""The document at work as plain values: the design, the revisions it uses, the card it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blendlab import recipe, store
from blendlab.codec import encode
from blendlab.errors import BlendlabError
from blendlab.recipe import Design
from blendlab.shelf import Item, item_from_dict
from blendlab.show import first_visit
from blendlab.ui import memo, mishap, words

CARD = ("card", "seen", "saved")
"""What a document says of the card it is: its id, the digest of its file, when it was saved."""


def document(
    design: Design,
    embedded: tuple[Item, ...],
    card: str | None = None,
    seen: str | None = None,
    saved: str | None = None,
    known: Mapping[str, dict[str, Any]] | None = None,
    draft: str | None = None,
) -> dict[str, Any]:
    """A design and the revisions it uses as plain values, without a change in it yet.

    known  revisions that are plain already, by key: they are shared, not made again
    draft  id of the draft it is kept in; None = one of its own
    """
    known = known or {}
    items = {item.ref.key: known.get(item.ref.key) or encode(item) for item in embedded}
    of_card = dict(zip(CARD, (card, seen, saved), strict=True))
    return {
        "design": recipe.to_dict(design),
        "embedded": items,
        **of_card,
        "draft": draft or store.new_id(),
        "changed": False,
    }


def of_demo() -> dict[str, Any]:
    """The demo."""
    return document(*first_visit.demo_design(memo.shelf()))


def of_draft(draft: store.Draft | None) -> tuple[dict[str, Any], dict[str, Any] | None, str]:
    """The document of a draft, the last one drawn before it if it is known, a sentence.

    Whatever the file holds there is a document: where it is not the draft but the demo, the sentence
    says why.
    """
    if draft is None:
        return of_demo(), None, ""
    try:
        return _read(draft.plain, draft.id), _drawn(draft), ""
    except Exception as problem:  # of a file that anything may have written
        return of_demo(), None, f"{_set_aside(draft.id)} {mishap.in_words(problem, 'draft')}"


def _set_aside(draft_id: str) -> str:
    try:
        store.forget_draft(memo.folder(), draft_id)
    except OSError:
        return words.DRAFT_UNREADABLE
    return words.DRAFT_ASIDE


def _read(plain: Mapping[str, Any], draft: str, more: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """A document out of the draft of that id; `more` are revisions that stand elsewhere in the file."""
    items = {**(more or {}), **plain.get("embedded", {})}
    carried = tuple(item_from_dict(key.partition(":")[0], data) for key, data in items.items())
    card, seen, saved = (_text(plain.get(key)) for key in CARD)
    read = document(recipe.from_dict(plain["design"]), carried, card, seen, saved, draft=draft)
    return {**read, "changed": bool(plain.get("changed"))}


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _drawn(draft: store.Draft) -> dict[str, Any] | None:
    drawn = draft.plain.get("drawn")
    if not isinstance(drawn, Mapping):
        return None
    try:
        return _read(drawn, _text(drawn.get("draft")) or draft.id, draft.plain.get("embedded"))
    except BlendlabError:
        return None


def to_draft(doc: Mapping[str, Any], drawn: Mapping[str, Any] | None) -> dict[str, Any]:
    """What is written as the draft: the document, and the last one drawn with what it alone carries."""
    if drawn is None:
        return dict(doc)
    own = {key: item for key, item in drawn["embedded"].items() if key not in doc["embedded"]}
    return {**doc, "drawn": {**drawn, "embedded": own}}
