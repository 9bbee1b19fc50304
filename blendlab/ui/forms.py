"""The form of a pigment, and what the forms of the Shelf share."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Any

import streamlit as st

from blendlab.codec import encode
from blendlab.errors import BlendlabError
from blendlab.forms import pigments
from blendlab.shelf import PIGMENT_CLASSES, Item
from blendlab.ui import memo, parts, state, words

WAYS = {"mix": "A mix of pigments", "colour": "A colour", "picture": "A picture"}
MOST_PARTS = 3


def pigment() -> None:
    """Add a pigment: its name, what it is made of or what a swatch of it looks like."""
    parts.heading("Add a pigment")
    st.text_input("Name", key="new-name", max_chars=80)
    st.selectbox(
        "What it is",
        list(PIGMENT_CLASSES),
        format_func=words.GROUPS.__getitem__,
        key="new-group",
        index=4,
    )
    way = st.segmented_control(
        "Known from",
        list(WAYS),
        format_func=WAYS.__getitem__,
        required=True,
        default="mix",
        key="new-way",
        width="stretch",
    )
    if way == "mix":
        _parts()
    else:
        st.text_input("Colour index numbers of its sheet", key="new-ci", placeholder="77019, 77491")
        if way == "colour":
            _colour()
        else:
            _picture()
        st.text_input("Percent of pigment in that swatch", key="new-pct", placeholder="0.3")
        parts.small(
            "From a screen colour or a plain picture this is an estimate: hue roughly, strength loosely."
        )
    st.text_input(
        "Highest use, percent of the finished portion",
        key="new-cap",
        placeholder="from its sheet; 2 for a mica",
    )
    answers("pigment")
    put("pigment", pigments.add_pigment)


def _parts() -> None:
    options = {"": "none", **{one.id: one.name for one in memo.shelf().of("pigment")}}
    for position in range(MOST_PARTS):
        which, share = st.columns([3, 1.2], gap="small", wrap=False)
        which.selectbox(
            f"Part {position + 1}", list(options), format_func=options.__getitem__, key=f"new-part-{position}"
        )
        share.text_input("Percent", key=f"new-share-{position}", placeholder="95" if position == 0 else "5")
    parts.small(
        "A dyed mica: white mica 95 %, and the lake or oxide on it 5 %. "
        "Its sheet names the colour index numbers."
    )


def _colour() -> None:
    picked, typed = st.columns([1, 2], gap="small", wrap=False, vertical_alignment="bottom")
    picked.color_picker("Colour", "#C8A27A", key="new-picked", on_change=_picked)
    typed.text_input("Hex of a swatch in the white base", key="new-hex", placeholder="#c8a27a")


def _picked() -> None:
    st.session_state["new-hex"] = st.session_state["new-picked"]


def _picture() -> None:
    upload = st.file_uploader(
        "Picture of one swatch, filling the middle",
        type=["jpg", "jpeg", "png", "webp"],
        key="new-picture",
        max_upload_size=20,
    )
    if upload is None:
        return
    try:
        found = pigments.picture_colour(upload.getvalue())
    except BlendlabError as problem:
        st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
        return
    st.session_state["new-hex"] = found.hex
    st.html(parts.swatch("middle of the picture", found.hex, found.hex, found.hex, None))
    parts.small(f"Middle of the picture: {found.hex}. {found.note}")


def answers(kind: str) -> None:
    """What was wrong with the last try."""
    said = st.session_state.get("answers", {})
    if said.get("kind") == kind:
        for one in said["texts"]:
            st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')


def put(kind: str, add: Any) -> None:
    """The buttons at the end of a form."""
    with st.container(horizontal=True):
        st.button("Put on the shelf", type="primary", key=f"put-{kind}", on_click=_try, args=(kind, add))
        st.button("Leave", type="tertiary", key=f"leave-{kind}", on_click=leave)


def _try(kind: str, add: Any) -> None:
    ss = st.session_state
    typed = {
        key.removeprefix("new-"): ss[key] for key in ss if isinstance(key, str) and key.startswith("new-")
    }
    typed.pop("picture", None)
    made, wrong, told = add(state.folder(), memo.shelf(), typed)
    if wrong:
        ss.answers = {"kind": kind, "texts": wrong}
        return
    leave()
    ss.thing = made.id
    ss.said = {"text": " ".join([f"{made.name} is on the shelf.", *told]), "fresh": False}


def leave() -> None:
    """Close the form and forget what was typed."""
    ss = st.session_state
    ss.adding, ss.answers = None, {}
    for key in [one for one in ss if isinstance(one, str) and one.startswith("new-")]:
        del ss[key]


def plain_fields(item: Item) -> Iterator[tuple[str, Any]]:
    """Fields of an item that are one figure or one text."""
    for name, value in encode(item).items():
        if (
            name not in ("id", "name", "kind", "basis", "format")
            and isinstance(value, str | int | float)
            and not isinstance(value, bool)
        ):
            yield name, value
