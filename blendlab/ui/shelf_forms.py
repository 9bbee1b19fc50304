"""What the forms of the Shelf share: answers to what was typed, putting on, leaving, taking off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.forms import on_shelf
from blendlab.shelf import Item, Shelf
from blendlab.ui import memo, mishap, parts, state
from blendlab.ui.words import shelf as say

Add = Callable[[store.Folder, Shelf, Mapping[str, Any]], on_shelf.Added]
"""What makes an item of what was typed."""
FIELDS = "new-"
"""What the keys of the fields of a form begin with."""


def asked_name() -> str:
    """What the names in the list must hold, ready to compare."""
    return str(st.session_state.get("shelf-find") or "").casefold()


@mishap.answered
def open_form(kind: str) -> None:
    """Open the form of a kind."""
    st.session_state.adding = kind


@mishap.answered
def show(item_id: str) -> None:
    """Show one thing of the list beside it."""
    st.session_state.update(adding=None, thing=item_id)


def answers(kind: str) -> None:
    """What was wrong with the last try."""
    said = st.session_state.get("answers", {})
    if said.get("kind") == kind:
        for answer in said["texts"]:
            parts.alert(answer)


def put(kind: str, add: Add) -> None:
    """The buttons at the end of a form."""
    with st.container(horizontal=True):
        st.button(say.PUT_ON, type="primary", key=f"put-{kind}", on_click=_try, args=(kind, add))
        st.button(say.LEAVE, type="tertiary", key=f"leave-{kind}", on_click=leave)


@mishap.answered
def _try(kind: str, add: Add) -> None:
    ss = st.session_state
    typed = {key.removeprefix(FIELDS): ss[key] for key in _keys()}
    typed.pop("picture", None)
    made, wrong, told = add(state.folder(), memo.shelf(), typed)
    if made is None:
        ss.answers = {"kind": kind, "texts": wrong}
        return
    leave()
    ss.thing = made.id
    parts.tell(" ".join([say.PUT.format(name=made.name), *told]))


def _keys() -> list[str]:
    return [key for key in st.session_state if isinstance(key, str) and key.startswith(FIELDS)]


@mishap.answered
def leave() -> None:
    """Close the form and forget what was typed."""
    ss = st.session_state
    ss.adding, ss.answers = None, {}
    for key in _keys():
        del ss[key]


def take_off(item: Item) -> None:
    """The button that takes a thing off the shelf."""
    st.button(say.TAKE_OFF, key=f"off-{item.id}", type="tertiary", on_click=_take_off, args=(item,))


@mishap.answered
def _take_off(item: Item) -> None:
    on_shelf.take_off(state.folder(), item)
    parts.tell(say.TAKEN_OFF.format(name=item.name))
