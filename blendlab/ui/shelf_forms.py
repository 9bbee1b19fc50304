"""What the forms of the Shelf share: opening, what was typed, answers to it, saving, leaving, taking off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.forms import on_shelf
from blendlab.shelf import Item, Shelf
from blendlab.ui import memo, mishap, parts, state, typed, words
from blendlab.ui.words import shelf as say

Add = Callable[[store.Folder, Shelf, Mapping[str, Any]], on_shelf.Added]
"""What makes an item of what was typed; with an id under `edit` a new revision of that item."""
SEEN = "form-seen"
"""Form -> revision of the item it changes as it stood when the form was opened."""
Draw = Callable[[Item | None], None]
"""Draws the form of a new item (None), or of one that is changed."""


def asked_name() -> str:
    """What the names in the list must hold, ready to compare."""
    return str(st.session_state.get("shelf-find") or "").casefold()


def prefix(kind: str) -> str:
    """What the keys of the fields of a kind begin with."""
    return f"new-{kind}-"


def field(kind: str, name: str) -> str:
    """Key of a field of the form of a kind that is drawn now."""
    return typed.key(prefix(kind), name)


def _form(kind: str, item_id: str) -> str:
    return f"{kind}:{item_id}"


def _adding() -> dict[str, str]:
    """Kind -> id of the item whose form is open, "" for a new one."""
    return st.session_state.get("adding") or {}


@mishap.answered
def open_form(kind: str, item_id: str = "") -> None:
    """Open the form of a kind: of a new thing, or of one that is changed."""
    if item_id and memo.shelf().today(kind, item_id) is None:
        raise BlendlabError(words.GONE.format(item=item_id))
    st.session_state.update(adding={**_adding(), kind: item_id}, answers={})
    _see(kind, item_id)


def _see(kind: str, item_id: str) -> bool:
    """Remember what a form that opens is a change of; whether that is as it was remembered."""
    ss, old = st.session_state, memo.shelf().today(kind, item_id)
    seen, form = ss.get(SEEN, {}), _form(kind, item_id)
    rev = old.rev if old else ""
    ss[SEEN] = {**seen, form: rev}
    return bool(seen.get(form) == rev)


def opened(kind: str, draw: Draw) -> bool:
    """Draw the form of a kind if it is open; whether it was."""
    item_id = _adding().get(kind)
    old = memo.shelf().today(kind, item_id) if item_id else None
    if item_id is None or (item_id and old is None):
        return False
    draw(old)
    return True


@mishap.answered
def show(kind: str, item_id: str) -> None:
    """Show one thing of the list beside it; a form that was open keeps what was typed."""
    _close(kind)
    st.session_state.update(thing=item_id, said=None)


def _close(kind: str) -> None:
    adding = {other: item_id for other, item_id in _adding().items() if other != kind}
    st.session_state.update(adding=adding, answers={})


def begin(kind: str, old: Item | None, first: Mapping[str, Any] | None = None) -> None:
    """The head of a form and what stands in its fields: as they were left, else at first as `first` says."""
    parts.heading(say.CHANGE.format(name=parts.capital(old.name)) if old else say.ADD[kind])
    typed.hold(_form(kind, old.id if old else ""), prefix(kind), first)


def answers(kind: str) -> None:
    """What was wrong with the last try."""
    said = st.session_state.get("answers", {})
    if said.get("kind") == kind:
        for answer in said["texts"]:
            parts.alert(answer)


def put(kind: str, add: Add, old: Item | None = None) -> None:
    """The buttons at the end of a form."""
    item_id = old.id if old else ""
    with st.container(horizontal=True):
        label = say.KEEP_CHANGE if old else say.PUT_ON
        st.button(label, type="primary", key=f"put-{kind}", on_click=_try, args=(kind, add, item_id))
        st.button(say.LEAVE, type="tertiary", key=f"leave-{kind}", on_click=leave, args=(kind, item_id))


@mishap.answered
def _try(kind: str, add: Add, item_id: str) -> None:
    ss = st.session_state
    given = {**typed.fields(prefix(kind)), "edit": item_id}
    old = memo.shelf().today(kind, item_id)
    if old is not None and not _see(kind, item_id):
        ss.answers = {"kind": kind, "texts": [say.CHANGED_MEANWHILE.format(name=old.name)]}
        return
    made, wrong, told = add(state.folder(), memo.shelf(), given)
    if made is None:
        ss.answers = {"kind": kind, "texts": wrong}
        return
    leave(kind, item_id)
    ss.thing = made.id
    done = say.PUT if old is None else say.UNCHANGED if made.rev == old.rev else say.CHANGED
    parts.tell(" ".join([done.format(name=made.name), *told]))


@mishap.answered
def leave(kind: str, item_id: str = "") -> None:
    """Close a form and forget what was typed."""
    _close(kind)
    typed.forget(_form(kind, item_id), prefix(kind))


def change(item: Item, label: str = say.CHANGE_IT) -> None:
    """The button that opens the form of a thing that is there."""
    st.button(label, key=f"edit-{item.id}", on_click=open_form, args=(item.kind, item.id))


def take_off(item: Item) -> None:
    """The button that takes a thing off the shelf."""
    st.button(say.TAKE_OFF, key=f"off-{item.id}", type="tertiary", on_click=_take_off, args=(item,))


@mishap.answered
def _take_off(item: Item) -> None:
    on_shelf.take_off(state.folder(), item)
    parts.tell(say.TAKEN_OFF.format(name=item.name))
