"""The form of a pigment: what it is made of, or what a swatch of it looks like."""

from __future__ import annotations

import streamlit as st

from blendlab.errors import BlendlabError
from blendlab.forms import pigments
from blendlab.shelf import PIGMENT_CLASSES
from blendlab.ui import memo, mishap, parts, shelf_forms, words
from blendlab.ui.words import shelf as say

MOST_PARTS = 3


def form() -> None:
    """Add a pigment."""
    parts.heading(say.ADD["pigment"])
    st.text_input(say.NAME, key="new-name", max_chars=80)
    st.selectbox(
        say.WHAT_IT_IS,
        list(PIGMENT_CLASSES),
        format_func=words.GROUPS.__getitem__,
        key="new-group",
        index=4,
    )
    way = st.segmented_control(
        say.KNOWN_FROM,
        list(say.PIGMENT_WAYS),
        format_func=say.PIGMENT_WAYS.__getitem__,
        required=True,
        default="mix",
        key="new-way",
        width="stretch",
    )
    if way == "mix":
        _parts()
    else:
        st.text_input(say.CI_OF_SHEET, key="new-ci", placeholder="77019, 77491")
        if way == "colour":
            _colour()
        else:
            _picture()
        st.text_input(say.PCT_IN_SWATCH, key="new-pct", placeholder="0.3")
        parts.small(say.ROUGH)
    st.text_input(say.CAP, key="new-cap", placeholder=say.CAP_HINT)
    shelf_forms.answers("pigment")
    shelf_forms.put("pigment", pigments.add_pigment)


def _parts() -> None:
    options = {"": say.NONE, **{pigment.id: pigment.name for pigment in memo.shelf().of("pigment")}}
    for position in range(MOST_PARTS):
        which, share = st.columns([3, 1.2], gap="small", wrap=False)
        which.selectbox(
            say.PART.format(number=position + 1),
            list(options),
            format_func=options.__getitem__,
            key=f"new-part-{position}",
        )
        hint = "95" if position == 0 else "5"
        share.text_input(say.PERCENT, key=f"new-share-{position}", placeholder=hint)
    parts.small(say.DYED_MICA)


def _colour() -> None:
    picked, typed = st.columns([1, 2], gap="small", wrap=False, vertical_alignment="bottom")
    picked.color_picker(say.COLOUR, "#C8A27A", key="new-picked", on_change=_picked)
    typed.text_input(say.HEX, key="new-hex", placeholder="#c8a27a")


@mishap.answered
def _picked() -> None:
    st.session_state["new-hex"] = st.session_state["new-picked"]


def _picture() -> None:
    upload = st.file_uploader(
        say.PICTURE, type=["jpg", "jpeg", "png", "webp"], key="new-picture", max_upload_size=20
    )
    if upload is None:
        return
    try:
        found = pigments.picture_colour(upload.getvalue())
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    st.session_state["new-hex"] = found.hex
    st.html(parts.swatch(say.MIDDLE, found.hex, found.hex, found.hex, None))
    parts.small(say.MIDDLE_IS.format(hex=found.hex, note=found.note))
