"""The form of a jar of her own: caliper, water, shape, lid, and the jar as it is measured so far."""

from __future__ import annotations

import streamlit as st

from blendlab.codec import canonical
from blendlab.forms import jars
from blendlab.shelf import Item, Jar
from blendlab.show import shelf_pictures
from blendlab.ui import memo, parts, shelf_forms, typed
from blendlab.ui.words import jars as say

HINTS = {
    "outer": "71", "inner": "67,5", "height": "37", "bottom": "60", "shoulder": "6", "neck": "9",
    "water": "132", "base": "3", "corner": "0", "lid_inner": "6", "headspace": "4",
}  # fmt: skip
FIRST = {"shape": "straight", "material": "glass"}
"""What stands in the fields of a new one."""

_plain = memo.Kept[tuple[bytes, str]](24)


def form(old: Item | None = None) -> None:
    """Measure a jar; `old` is measured again."""
    shelf_forms.begin("jar", old, jars.typed_of(old) if isinstance(old, Jar) else FIRST)
    st.text_input(say.NAME, key=_key("name"), max_chars=80, placeholder=say.NAME_HINT)
    sold, unit = st.columns([2, 1], gap="small", wrap=False)
    sold.text_input(say.NOMINAL, key=_key("nominal"), placeholder="120")
    unit.selectbox(say.UNIT, list(say.UNITS), format_func=say.UNITS.__getitem__, key=_key("unit"))
    shape = st.segmented_control(
        say.SHAPE,
        list(say.SHAPES),
        format_func=say.SHAPES.__getitem__,
        required=True,
        key=_key("shape"),
        width="stretch",
    )
    _measures(say.OUTLINE)
    if shape == "taper":
        _measures(say.TAPER)
    if shape == "shoulder":
        _measures(say.SHOULDER)
    _measures(say.INSIDE)
    parts.small(say.WATER)
    wall, lid = st.columns(2, gap="small")
    wall.selectbox(say.WALL, list(say.MATERIALS), format_func=say.MATERIALS.__getitem__, key=_key("material"))
    lid.selectbox(say.LID, list(say.LIDS), format_func=say.LIDS.__getitem__, key=_key("lid"))
    _measures(say.CLOSED)
    parts.small(say.SCOPE)
    _end(old)


def _end(old: Item | None) -> None:
    """What was wrong with the last try, the jar so far, the buttons."""
    shelf_forms.answers("jar")
    _preview(old if isinstance(old, Jar) else None)
    shelf_forms.put("jar", jars.add_jar, old)


def _key(name: str) -> str:
    return shelf_forms.field("jar", name)


def _measures(fields: dict[str, str]) -> None:
    for column, (name, label) in zip(st.columns(len(fields), gap="small"), fields.items(), strict=True):
        column.text_input(label, key=_key(name), placeholder=HINTS[name])


def _preview(old: Jar | None) -> None:
    """The jar as it is measured so far, and what water and caliper say of each other."""
    given = typed.fields(shelf_forms.prefix("jar"))
    if not given.get("height"):
        return
    made, _, told = jars.made(memo.shelf(), {**given, "name": say.UNNAMED}, old)
    if made is not None:
        draw(made)
        for sentence in told:
            parts.small(sentence)


def draw(glass: Jar) -> None:
    """A jar filled with plain white."""
    picture, said = _plain.get_or_make(canonical(glass), lambda: shelf_pictures.plain_jar(glass))
    with st.container(key=f"plain-{glass.id}"):
        st.image(picture, width=320, output_format="PNG", alt=said)
