"""Fields by which a colour comes in: picked, as hex, as Lab, off a photo with a card."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab import photo
from blendlab.errors import BlendlabError
from blendlab.forms import swatches
from blendlab.recipe import LAMPS, OBSERVERS
from blendlab.tint.measured_items import base_reflectance
from blendlab.ui import parts
from blendlab.units import read_number

CARDS = {
    "grey": f"grey card, {100 * photo.CARDS['grey']:.0f} %",
    "white": f"white card, {100 * photo.CARDS['white']:.0f} %",
    "other": "another card",
    "chart": "chart of 24",
}
WAYS = {"hex": "Colour or hex", "lab": "Lab", "photo": "Photo"}
MARKS = {
    "card": ("Card", (5, 25), (30, 70)),
    "card2": ("Card again", (75, 95), (5, 25)),
    "chart": ("Chart", (5, 45), (10, 60)),
    "base": ("Base", (40, 60), (30, 70)),
    "swatch": ("Swatch", (70, 90), (30, 70)),
}
"""Mark on a photo -> its words, and where it lies at first across and down, percent."""
NO_PHOTO = "Put the card, the swatch and a swatch of the base side by side in daylight without sun."
FAR_LIGHT = "Mark the middle of each; a mark inside its edge is measured best."


def typed(prefix: str) -> dict[str, Any]:
    """What stands in the fields of a form."""
    start = f"{prefix}-"
    return {
        key.removeprefix(start): value
        for key, value in st.session_state.items()
        if isinstance(key, str) and key.startswith(start)
    }


def prefix_of(form: str) -> str:
    """What the keys of a form begin with now; another one after `forget`, so that its fields are new."""
    return f"{form}{st.session_state.get(f'{form}.times', 0)}"


def forget(form: str) -> None:
    """Empty the fields of a form."""
    start = f"{prefix_of(form)}-"
    for key in [one for one in st.session_state if isinstance(one, str) and one.startswith(start)]:
        del st.session_state[key]
    st.session_state[f"{form}.times"] = st.session_state.get(f"{form}.times", 0) + 1


def answers(texts: list[str]) -> None:
    """What could not be read, each under the form."""
    for one in texts:
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')


def entry(prefix: str, base: Any, ways: dict[str, str] | None = None) -> tuple[Any, str, float]:
    """Choice of a way and its fields; for a photo also the colour, its words and its error."""
    known = ways or WAYS
    way = st.segmented_control(
        "Known from",
        list(known),
        format_func=known.__getitem__,
        required=True,
        default=next(iter(known)),
        key=f"{prefix}-way",
        width="stretch",
        label_visibility="collapsed",
    )
    if way == "hex":
        hex_fields(prefix)
    elif way == "lab":
        lab_fields(prefix)
    elif way == "photo":
        return photo_fields(prefix, base)
    return None, "", 0.0


def hex_fields(prefix: str) -> None:
    """A picked or typed screen colour."""
    picked, code = st.columns([1, 2], gap="small", wrap=False, vertical_alignment="bottom")

    def take() -> None:
        st.session_state[f"{prefix}-hex"] = st.session_state[f"{prefix}-picked"]

    picked.color_picker("Colour", "#C8A27A", key=f"{prefix}-picked", on_change=take)
    code.text_input("Hex", key=f"{prefix}-hex", placeholder="#c8a27a", max_chars=9)


def lab_fields(prefix: str) -> None:
    """Lab with the lamp and the observer it was measured for."""
    for column, name in zip(st.columns(3, gap="small", wrap=False), ("L", "a", "b"), strict=True):
        column.text_input(f"{name}*", key=f"{prefix}-{name}")
    lamp, observer = st.columns(2, gap="small", wrap=False)
    lamp.selectbox("Lamp of the instrument", list(LAMPS), format_func=_lamp, key=f"{prefix}-lamp")
    observer.selectbox(
        "Observer", list(OBSERVERS), format_func=lambda one: f"{one} degrees", key=f"{prefix}-observer"
    )


def _lamp(lamp: str) -> str:
    return f"{lamp}, {LAMPS[lamp]}"


def photo_fields(prefix: str, base: Any) -> tuple[Any, str, float]:
    """A photo with its marks: the colour of the swatch, words and error; None while there is none."""
    upload = st.file_uploader(
        "Photo with a card and the swatch",
        type=["jpg", "jpeg", "png", "webp"],
        key=f"{prefix}-upload",
        max_upload_size=30,
    )
    if upload is None:
        parts.small(NO_PHOTO)
        return None, "", 0.0
    try:
        picture = swatches.picture(upload.getvalue())
        marks = _marks(prefix)
        found = photo.measure(picture, marks, base_reflectance(base))
    except photo.Refused as problem:
        answers(list(problem.reasons))
        return None, "", 0.0
    except BlendlabError as problem:
        answers([str(problem)])
        return None, "", 0.0
    colour = found.swatches["swatch"]
    st.html(parts.swatch("swatch on the photo", colour.hex, colour.hex, colour.hex, None))
    parts.small(f"{colour.hex}, uneven by {colour.uneven_pct:.1f} %, plus or minus Delta E {found.error:g}.")
    parts.small(" ".join(found.notes))
    return colour, found.words, found.error


def _marks(prefix: str) -> photo.Marks:
    """Marks set by sliders beside the picture; draws the picture with them."""
    kind = st.selectbox(
        "Card in the picture", list(CARDS), format_func=CARDS.__getitem__, key=f"{prefix}-card"
    )
    share = photo.CARDS.get(kind, photo.CARDS["grey"])
    if kind == "other":
        share = _share(prefix, share)
    second, with_base = st.columns(2, gap="small")
    two = kind != "chart" and second.checkbox("The card lies in it twice", key=f"{prefix}-two")
    based = with_base.checkbox("A swatch of the base lies in it", key=f"{prefix}-based")
    names = ["chart" if kind == "chart" else "card", *(["card2"] if two else [])]
    names += [*(["base"] if based else []), "swatch"]
    picture = swatches.picture(st.session_state[f"{prefix}-upload"].getvalue())
    place = st.container(key=f"{prefix}-photo")
    boxes = {name: _box(prefix, name) for name in names}
    with place:
        shown = {MARKS[name][0]: box for name, box in boxes.items()}
        st.image(photo.outlined(picture, shown), output_format="PNG", width="stretch")
    parts.small(FAR_LIGHT)
    return photo.Marks(
        {"swatch": boxes["swatch"]},
        card=boxes.get("card"),
        card_share=share,
        second_card=boxes.get("card2"),
        base=boxes.get("base"),
        chart=boxes.get("chart"),
    )


def _share(prefix: str, otherwise: float) -> float:
    text = st.text_input("Light it throws back, percent", key=f"{prefix}-share", placeholder="18")
    if not text:
        return otherwise
    try:
        return read_number(text, "%", 2, 100) / 100
    except BlendlabError as problem:
        answers([str(problem)])
        return otherwise


def _box(prefix: str, name: str) -> photo.Box:
    words, across, down = MARKS[name]
    left, right = st.columns(2, gap="small", wrap=False)
    x = left.slider(f"{words}, across", 0, 100, across, key=f"{prefix}-{name}-x", format="%d %%")
    y = right.slider(f"{words}, down", 0, 100, down, key=f"{prefix}-{name}-y", format="%d %%")
    return photo.Box(
        min(x[0], 99) / 100, min(y[0], 99) / 100, max(x[1] - x[0], 1) / 100, max(y[1] - y[0], 1) / 100
    )
