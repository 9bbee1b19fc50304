"""Fields by which a colour comes in: picked, as hex, as Lab, off a photo with a card."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from blendlab import photo
from blendlab.errors import BlendlabError
from blendlab.forms import swatches
from blendlab.recipe import LAMPS, OBSERVERS
from blendlab.shelf import Base
from blendlab.tint.measured_items import base_reflectance
from blendlab.ui import mishap, parts, typed
from blendlab.ui.words import look as say
from blendlab.units import read_number

CARDS = {
    "grey": say.GREY_CARD_OF.format(pct=100 * photo.CARDS["grey"]),
    "white": say.WHITE_CARD_OF.format(pct=100 * photo.CARDS["white"]),
    "other": say.OTHER_CARD,
    "chart": say.CHART_CARD,
}
PLACES = {
    "card": ((5, 25), (30, 70)),
    "card2": ((75, 95), (5, 25)),
    "chart": ((5, 45), (10, 60)),
    "base": ((40, 60), (30, 70)),
    "swatch": ((70, 90), (30, 70)),
}
"""Mark on a photo -> where it lies at first across and down, percent."""
PICTURES = ["jpg", "jpeg", "png", "webp"]

Seen = tuple[photo.Colour | None, str, float]
"""The colour read off a photo, or None; its words; the CIEDE2000 that this way of measuring adds."""
NOT_SEEN: Seen = (None, "", 0.0)


def prefix_of(form: str) -> str:
    """What the keys of a form begin with now; another one for another thing, so that its fields are new."""
    return f"{form}{st.session_state.get(f'{form}.times', 0)}"


def begin(form: str, of: str, first: Mapping[str, Any] | None = None) -> None:
    """Say that the fields of a form are drawn next, about one thing: they stand as they were left.

    of     what it is about
    first  what stands in them at first, by their names
    """
    ss = st.session_state
    if ss.get(f"{form}.of") != of:
        _turn(form)
        ss[f"{form}.of"] = of
    typed.hold(of, f"{prefix_of(form)}-", first)


def forget(form: str) -> None:
    """Empty the fields of a form: it was saved or thrown away."""
    typed.forget(st.session_state.get(f"{form}.of", ""), f"{prefix_of(form)}-")
    _turn(form)


def _turn(form: str) -> None:
    ss = st.session_state
    typed.close(f"{prefix_of(form)}-")
    ss[f"{form}.times"] = ss.get(f"{form}.times", 0) + 1


def given(form: str) -> dict[str, Any]:
    """What stands in the fields of a form."""
    return typed.fields(f"{prefix_of(form)}-")


def _key(prefix: str, name: str, first: Any = None) -> str:
    """Key of a field that is drawn now; `first` is what it begins with."""
    whole = typed.key(f"{prefix}-", name)
    if first is not None:
        st.session_state.setdefault(whole, first)
    return whole


def answers(texts: list[str]) -> None:
    """What could not be read, each under the form."""
    for text in texts:
        parts.alert(text)


def entry(prefix: str, base: Base, ways: dict[str, str] | None = None) -> Seen:
    """Choice of a way and its fields; for a photo also the colour, its words and its error."""
    known = ways or say.WAYS
    way = st.segmented_control(
        say.KNOWN_FROM,
        list(known),
        format_func=known.__getitem__,
        required=True,
        key=_key(prefix, "way", next(iter(known))),
        width="stretch",
        label_visibility="collapsed",
    )
    if way == "hex":
        hex_fields(prefix)
    elif way == "lab":
        lab_fields(prefix)
    elif way == "photo":
        return photo_fields(prefix, base)
    return NOT_SEEN


def hex_fields(prefix: str) -> None:
    """A picked or typed screen colour."""
    picked, code = st.columns([1, 2], gap="small", wrap=False, vertical_alignment="bottom")

    @mishap.answered
    def take() -> None:
        st.session_state[f"{prefix}-hex"] = st.session_state[f"{prefix}-picked"]

    picked.color_picker(say.COLOUR, key=_key(prefix, "picked", "#C8A27A"), on_change=take)
    code.text_input(say.HEX, key=_key(prefix, "hex"), placeholder="#c8a27a", max_chars=9)


def lab_fields(prefix: str) -> None:
    """Lab with the lamp and the observer it was measured for."""
    for column, name in zip(st.columns(3, gap="small", wrap=False), ("L", "a", "b"), strict=True):
        column.text_input(f"{name}*", key=_key(prefix, name))
    lamp, observer = st.columns(2, gap="small", wrap=False)
    lamp.selectbox(say.INSTRUMENT_LAMP, list(LAMPS), format_func=_lamp, key=_key(prefix, "lamp"))
    observer.selectbox(say.OBSERVER, list(OBSERVERS), format_func=_observer, key=_key(prefix, "observer"))


def _lamp(lamp: str) -> str:
    return say.INSTRUMENT_OF.format(lamp=lamp, name=LAMPS[lamp])


def _observer(degrees: int) -> str:
    return say.DEGREES.format(degrees=degrees)


def photo_fields(prefix: str, base: Base) -> Seen:
    """A photo with its marks: the colour of the swatch, words and error; None while there is none."""
    upload = parts.chosen_file(say.PHOTO_WITH_CARD, PICTURES, f"{prefix}-upload", 30)
    if upload is None:
        parts.small(say.NO_PHOTO)
        return NOT_SEEN
    try:
        picture = swatches.picture(upload.getvalue())
        marks = _marks(prefix)
        found = photo.measure(picture, marks, base_reflectance(base))
    except photo.Refused as problem:
        answers(list(problem.reasons))
        return NOT_SEEN
    except BlendlabError as problem:
        answers([str(problem)])
        return NOT_SEEN
    colour = found.swatches["swatch"]
    st.html(parts.swatch(say.SWATCH_ON_PHOTO, colour.hex, colour.hex, colour.hex, None))
    parts.small(say.MEASURED_OFF.format(colour=colour.hex, uneven=colour.uneven_pct, error=found.error))
    parts.small(" ".join(found.notes))
    return colour, found.words, found.error


def _marks(prefix: str) -> photo.Marks:
    """Marks set by sliders beside the picture; draws the picture with them."""
    kind = st.selectbox(
        say.CARD_IN_PICTURE, list(CARDS), format_func=CARDS.__getitem__, key=_key(prefix, "card")
    )
    share = photo.CARDS.get(kind, photo.CARDS["grey"])
    if kind == "other":
        share = _share(prefix, share)
    second, with_base = st.columns(2, gap="small")
    two = kind != "chart" and second.checkbox(say.CARD_TWICE, key=_key(prefix, "two"))
    based = with_base.checkbox(say.BASE_IN_IT, key=_key(prefix, "based"))
    names = ["chart" if kind == "chart" else "card", *(["card2"] if two else [])]
    names += [*(["base"] if based else []), "swatch"]
    picture = swatches.picture(st.session_state[f"{prefix}-upload"].getvalue())
    place = st.container(key=f"{prefix}-photo")
    boxes = {name: box(f"{prefix}-{name}", say.MARKS[name], *PLACES[name]) for name in names}
    with place:
        shown = {say.MARKS[name]: box for name, box in boxes.items()}
        st.image(photo.outlined(picture, shown), output_format="PNG", width="stretch")
    parts.small(say.MARK_MIDDLE)
    return photo.Marks(
        {"swatch": boxes["swatch"]},
        card=boxes.get("card"),
        card_share=share,
        second_card=boxes.get("card2"),
        base=boxes.get("base"),
        chart=boxes.get("chart"),
    )


def _share(prefix: str, otherwise: float) -> float:
    text = st.text_input(say.CARD_SHARE, key=_key(prefix, "share"), placeholder="18")
    if not text:
        return otherwise
    try:
        return read_number(text, "%", 2, 100) / 100
    except BlendlabError as problem:
        answers([str(problem)])
        return otherwise


def box(key: str, name: str, across: tuple[int, int], down: tuple[int, int]) -> photo.Box:
    """A rectangle on a photo, by two sliders in percent of its width and height."""
    left, right = st.columns(2, gap="small", wrap=False)
    x = left.slider(say.ACROSS.format(mark=name), 0, 100, across, key=f"{key}-x", format="%d %%")
    y = right.slider(say.DOWN.format(mark=name), 0, 100, down, key=f"{key}-y", format="%d %%")
    return photo.Box(
        min(x[0], 99) / 100, min(y[0], 99) / 100, max(x[1] - x[0], 1) / 100, max(y[1] - y[0], 1) / 100
    )
