"""The form of a jar of her own: caliper, water, shape, lid, and the jar as it is measured so far."""

from __future__ import annotations

from typing import Any

import streamlit as st

from blendlab.codec import canonical
from blendlab.forms import jars, on_shelf
from blendlab.shelf import Jar
from blendlab.show import shelf_pictures
from blendlab.ui import memo, mishap, parts, state
from blendlab.ui.words import jars as say

FORM = "glass-"
"""What the keys of its fields begin with."""
HINTS = {
    "outer": "71", "inner": "67,5", "height": "37", "bottom": "60", "shoulder": "6", "neck": "9",
    "water": "132", "base": "3", "corner": "0", "lid_inner": "6", "headspace": "4",
}  # fmt: skip
MEASURES = {
    "nominal": "nominal_ml", "outer": "outer_mm", "inner": "inner_mm", "height": "height_mm",
    "water": "water_g", "base": "base_mm", "corner": "corner_mm", "headspace": "headspace_mm",
    "lid_inner": "lid_inner_mm", "bottom": "bottom_inner_mm", "shoulder": "shoulder_mm", "neck": "neck_mm",
}  # fmt: skip
"""Field of the form -> field of a jar."""

_plain = memo.Kept[tuple[bytes, str]](24)


def is_open(glass: Jar | None) -> bool:
    """Whether the form is open for a new jar (None) or for this one."""
    adding = st.session_state.get("adding")
    return bool(adding == ("jar" if glass is None else f"jar:{glass.id}"))


@mishap.answered
def measure(glass_id: str) -> None:
    """Open the form for a jar that is measured again."""
    _forget()
    st.session_state.adding = f"jar:{glass_id}"


def form(old: Jar | None = None) -> None:
    """Measure a jar; `old` is measured again."""
    parts.heading(say.MEASURE.format(name=old.name) if old else say.ADD)
    _begin(old)
    st.text_input(say.NAME, key=f"{FORM}name", max_chars=80, placeholder=say.NAME_HINT)
    sold, unit = st.columns([2, 1], gap="small", wrap=False)
    sold.text_input(say.NOMINAL, key=f"{FORM}nominal", placeholder="120")
    unit.selectbox(say.UNIT, list(say.UNITS), format_func=say.UNITS.__getitem__, key=f"{FORM}unit")
    shape = st.segmented_control(
        say.SHAPE,
        list(say.SHAPES),
        format_func=say.SHAPES.__getitem__,
        required=True,
        key=f"{FORM}shape",
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
    wall.selectbox(
        say.WALL, list(say.MATERIALS), format_func=say.MATERIALS.__getitem__, key=f"{FORM}material"
    )
    lid.selectbox(say.LID, list(say.LIDS), format_func=say.LIDS.__getitem__, key=f"{FORM}lid")
    _measures(say.CLOSED)
    parts.small(say.SCOPE)
    _end(old)


def _end(old: Jar | None) -> None:
    """What was wrong with the last try, the jar so far, the buttons."""
    for answer in st.session_state.get(f"{FORM}answers", []):
        parts.alert(answer)
    _preview(old)
    with st.container(horizontal=True):
        st.button(say.PUT_ON, type="primary", key="put-jar", on_click=_put, args=(old,))
        st.button(say.LEAVE, type="tertiary", key="leave-jar", on_click=_leave)


def _begin(old: Jar | None) -> None:
    """Show the measures of a jar that is measured again, once."""
    ss = st.session_state
    key = old.ref.key if old else "new"
    if ss.get(f"{FORM}for") == key:
        return
    _forget()
    ss[f"{FORM}for"] = key
    ss[f"{FORM}shape"], ss[f"{FORM}material"] = "straight", "glass"
    if old is None:
        return
    ss[f"{FORM}shape"] = (
        "shoulder" if old.shoulder_mm else "taper" if old.bottom_inner_mm is not None else "straight"
    )
    ss[f"{FORM}name"], ss[f"{FORM}material"], ss[f"{FORM}lid"] = old.name, old.material, old.lid
    for name, leaf in MEASURES.items():
        value: float | None = getattr(old, leaf)
        if value is not None:
            ss[f"{FORM}{name}"] = f"{round(value, 2):g}"


def _measures(fields: dict[str, str]) -> None:
    for column, (name, label) in zip(st.columns(len(fields), gap="small"), fields.items(), strict=True):
        column.text_input(label, key=f"{FORM}{name}", placeholder=HINTS[name])


def _keys() -> list[str]:
    return [key for key in st.session_state if isinstance(key, str) and key.startswith(FORM)]


def _typed() -> dict[str, Any]:
    return {key.removeprefix(FORM): st.session_state[key] for key in _keys()}


def _forget() -> None:
    for key in _keys():
        del st.session_state[key]


def _preview(old: Jar | None) -> None:
    """The jar as it is measured so far, and what water and caliper say of each other."""
    typed = _typed()
    if not typed.get("height"):
        return
    made, _, told = jars.made(memo.shelf(), {**typed, "name": typed.get("name") or say.UNNAMED}, old)
    if made is not None:
        draw(made)
        for sentence in told:
            parts.small(sentence)


def draw(glass: Jar) -> None:
    """A jar filled with plain white."""
    picture, said = _plain.get_or_make(canonical(glass), lambda: shelf_pictures.plain_jar(glass))
    with st.container(key=f"plain-{glass.id}"):
        st.image(picture, width=320, output_format="PNG", alt=said)


@mishap.answered
def _put(old: Jar | None) -> None:
    ss = st.session_state
    made, answers, told = jars.made(memo.shelf(), _typed(), old)
    if made is not None:
        problem = on_shelf.save(state.folder(), made, new=old is None)
        answers = [problem] if problem else []
    if made is None or answers:
        ss[f"{FORM}answers"] = answers
        return
    _leave()
    ss.thing = made.id
    parts.tell(" ".join([say.PUT.format(name=made.name), *told]))


@mishap.answered
def _leave() -> None:
    st.session_state.adding = None
    _forget()
