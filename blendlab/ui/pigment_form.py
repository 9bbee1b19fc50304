"""The form of a pigment: what it is made of, or what a swatch of it looks like."""

from __future__ import annotations

import streamlit as st

from blendlab.errors import BlendlabError
from blendlab.forms import pigments
from blendlab.shelf import PIGMENT_CLASSES, Item, Pigment
from blendlab.ui import memo, mishap, parts, shelf_forms, words
from blendlab.ui.words import shelf as say

MOST_PARTS = 3
FIRST = {"group": PIGMENT_CLASSES[4], "way": "mix", "picked": "#C8A27A"}
"""What stands in the fields of a new one."""


def form(old: Item | None) -> None:
    """Add a pigment, or change what stands on the sheet of one."""
    shelf_forms.begin("pigment", old, pigments.typed_of(old) if isinstance(old, Pigment) else FIRST)
    st.text_input(say.NAME, key=_key("name"), max_chars=80)
    st.selectbox(
        say.WHAT_IT_IS, list(PIGMENT_CLASSES), format_func=words.GROUPS.__getitem__, key=_key("group")
    )
    if old is None:
        _known_from()
    else:
        _sheet()
    st.text_input(say.CAP, key=_key("cap"), placeholder=say.CAP_HINT)
    shelf_forms.answers("pigment")
    shelf_forms.put("pigment", pigments.add_pigment, old)


def _key(name: str) -> str:
    return shelf_forms.field("pigment", name)


def _sheet() -> None:
    """What can be changed without a swatch."""
    st.text_input(say.CI_OF_SHEET, key=_key("ci"))
    st.text_input(say.SHEEN, key=_key("sheen"), max_chars=120)
    st.text_input(say.MIND, key=_key("caution"), max_chars=400)
    density, lot = st.columns(2, gap="small")
    density.text_input(say.POWDER_DENSITY, key=_key("density"))
    lot.text_input(say.LOT, key=_key("lot"), max_chars=40)
    parts.small(say.SWATCH_CHANGES)


def _known_from() -> None:
    way = st.segmented_control(
        say.KNOWN_FROM,
        list(say.PIGMENT_WAYS),
        format_func=say.PIGMENT_WAYS.__getitem__,
        required=True,
        key=_key("way"),
        width="stretch",
    )
    if way == "mix":
        _parts()
    else:
        st.text_input(say.CI_OF_SHEET, key=_key("ci"), placeholder="77019, 77491")
        if way == "colour":
            _colour()
        else:
            _picture()
        st.text_input(say.PCT_IN_SWATCH, key=_key("pct"), placeholder="0.3")
        parts.small(say.ROUGH)


def _parts() -> None:
    options = {"": say.NONE, **{pigment.id: pigment.name for pigment in memo.shelf().of("pigment")}}
    for position in range(MOST_PARTS):
        which, share = st.columns([3, 1.2], gap="small", wrap=False)
        which.selectbox(
            say.PART.format(number=position + 1),
            list(options),
            format_func=options.__getitem__,
            key=_key(f"part-{position}"),
        )
        hint = "95" if position == 0 else "5"
        share.text_input(say.PERCENT, key=_key(f"share-{position}"), placeholder=hint)
    parts.small(say.DYED_MICA)


def _colour() -> None:
    picked, typed = st.columns([1, 2], gap="small", wrap=False, vertical_alignment="bottom")
    picked.color_picker(say.COLOUR, key=_key("picked"), on_change=_picked)
    typed.text_input(say.HEX, key=_key("hex"), placeholder="#c8a27a")


@mishap.answered
def _picked() -> None:
    st.session_state[_key("hex")] = st.session_state[_key("picked")]


def _picture() -> None:
    upload = parts.chosen_file(say.PICTURE, ["jpg", "jpeg", "png", "webp"], _key("picture"), 20)
    if upload is None:
        return
    try:
        found = pigments.picture_colour(upload.getvalue())
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    st.session_state[_key("hex")] = found.hex
    st.html(parts.swatch(say.MIDDLE, found.hex, found.hex, found.hex, None))
    parts.small(say.MIDDLE_IS.format(hex=found.hex, note=found.note))
