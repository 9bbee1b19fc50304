"""Swatches on the Shelf: measure a pigment or a base, see what the fit makes of it, keep it."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab.errors import BlendlabError
from blendlab.forms import calibrations, on_shelf, swatches
from blendlab.shelf import SURFACES, Base, Pigment
from blendlab.tint.readings import GEOMETRIES, SCALES
from blendlab.tint.swatches import SURFACE_WORDS
from blendlab.ui import colours, memo, parts, state

FORM = "sw"
WAYS = {"spectrum": "Spectrum", "lab": "Lab", "hex": "Hex", "photo": "Photo"}
AIMS = {"white": "Its white", "whip": "Unwhipped and whipped", "aged": "Fresh and aged"}
SPECULAR = {"out": "left out", "in": "taken in"}
RECOGNISED = "as recognised"
PASTE = "400 35,2\n410 36,0\n...\n700 81,4"
ADD = "Add this swatch"
USE = "Use these swatches"
KEPT = "{name} is measured now. Designs keep what they took until they take it again."
FIRST = "Weigh it into your own base, whip as always, fill a deep cup, strike the top smooth."
NEXT = "Calibrate next"
SIDES = "Each swatch left as measured, right as fitted."


def _keys() -> str:
    return colours.prefix_of(FORM)


def panel(item: Pigment | Base) -> None:
    """Everything about the swatches of one pigment or base; called by the Shelf for the item shown."""
    parts.heading("Swatches")
    for line in calibrations.history(item):
        parts.small(line)
    if st.session_state.get(f"{_keys()}-item") != item.ref.key:
        colours.forget(FORM)
        st.session_state[f"{_keys()}-item"] = item.ref.key
        st.session_state[f"{_keys()}-kept"] = []
    _form(item)


@st.fragment
def _form(item: Pigment | Base) -> None:
    if st.session_state.pop("sw.rerun", False):
        st.rerun()
    base = item if isinstance(item, Base) else _base()
    aim = _aim() if isinstance(item, Base) else "white"
    kept = [swatches.noun(one) for one in st.session_state[f"{_keys()}-kept"]]
    _listed(item, kept)
    colour, words, error = _entry(item, base)
    colours.answers(st.session_state.get(f"{_keys()}-answers", []))
    for told in st.session_state.get(f"{_keys()}-told", []):
        parts.small(told)
    st.button(ADD, key="sw.add", on_click=_add, args=(item, base, colour, words, error))
    if not kept:
        parts.small(FIRST)
        return
    if aim == "white":
        _fit(item, base, kept)
    else:
        _law(item, kept, aim)


def _base() -> Base:
    known = {one.id: one.name for one in memo.shelf().of("base")}
    if not known:
        return swatches.base_of(memo.shelf(), "")
    at_work = state.design().base.id
    index = list(known).index(at_work) if at_work in known else 0
    chosen = st.selectbox("Made in", list(known), index, format_func=known.__getitem__, key=f"{_keys()}-base")
    found = swatches.base_of(memo.shelf(), chosen)
    if found.known == "estimate":
        parts.small("This base is an estimate; measure its white first, every pigment rests on it.")
    return found


def _aim() -> str:
    return st.segmented_control(
        "What is measured",
        list(AIMS),
        format_func=AIMS.__getitem__,
        required=True,
        default="white",
        key=f"{_keys()}-aim",
        width="stretch",
    )


def _entry(item: Pigment | Base, base: Base) -> tuple[Any, str, float]:
    if isinstance(item, Pigment):
        typed = st.text_input("Percent of the pigment in the swatch", key=f"{_keys()}-pct", placeholder="0,3")
        if told := swatches.weights(typed or ""):
            parts.small(told)
    way = st.session_state.get(f"{_keys()}-way", "spectrum")
    found = colours.entry(_keys(), base, WAYS)
    if way == "spectrum":
        _spectrum()
    st.segmented_control(
        "Seen",
        list(SURFACES),
        format_func=SURFACE_WORDS.__getitem__,
        required=True,
        default="open",
        key=f"{_keys()}-surface",
        width="stretch",
    )
    return found


def _spectrum() -> None:
    upload = st.file_uploader("File of the instrument", type=["csv", "txt", "cgats"], key=f"{_keys()}-file")
    if upload is not None and st.session_state.get(f"{_keys()}-read") != upload.file_id:
        st.session_state[f"{_keys()}-text"] = upload.getvalue().decode("utf-8", "replace")
        st.session_state[f"{_keys()}-read"] = upload.file_id
    text = st.text_area("Or paste wavelength and value", key=f"{_keys()}-text", height=120, placeholder=PASTE)
    scale, geometry, specular = st.columns(3, gap="small")
    scale.selectbox("Values are", ["", *SCALES], format_func=_scale, key=f"{_keys()}-scale")
    geometry.selectbox(
        "Geometry", list(GEOMETRIES), index=2, format_func=GEOMETRIES.__getitem__, key=f"{_keys()}-geometry"
    )
    specular.selectbox(
        "Mirror reflection", list(SPECULAR), format_func=SPECULAR.__getitem__, key=f"{_keys()}-specular"
    )
    found = swatches.samples(text, st.session_state.get(f"{_keys()}-scale") or None) if text else []
    if len(found) > 1:
        st.selectbox("Sample", range(len(found)), format_func=found.__getitem__, key=f"{_keys()}-sample")
    elif found:
        parts.small(found[0])


def _scale(scale: str) -> str:
    return SCALES.get(scale, RECOGNISED)


def _add(item: Pigment | Base, base: Base, colour: Any, words: str, error: float) -> None:
    ss = st.session_state
    made, answers, told = swatches.swatch(colours.typed(_keys()), item, base, colour, words, error)
    ss[f"{_keys()}-answers"], ss[f"{_keys()}-told"] = answers, told
    if made is not None:
        ss[f"{_keys()}-kept"] = [*ss[f"{_keys()}-kept"], swatches.plain(made)]


def _drop(at: int) -> None:
    kept = st.session_state[f"{_keys()}-kept"]
    st.session_state[f"{_keys()}-kept"] = [*kept[:at], *kept[at + 1 :]]


def _listed(item: Pigment | Base, kept: list[Any]) -> None:
    for at, one in enumerate(kept):
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"sw-row-{at}"
        ):
            pct = f"{one.doses[item.id]:g} % · " if item.id in one.doses else ""
            st.html(f'<p class="bl-tone"><small>{escape(pct + one.words)}</small></p>')
            st.button("Leave out", key=f"sw.drop.{at}", type="tertiary", on_click=_drop, args=(at,))


def _fit(item: Pigment | Base, base: Base, kept: list[Any]) -> None:
    lot = st.text_input("Lot", key=f"{_keys()}-lot", max_chars=40)
    same = isinstance(item, Pigment) and st.checkbox(
        "Keep the spectrum of its kind, fit its strength only", key=f"{_keys()}-same"
    )
    try:
        made = calibrations.preview(item, base, kept, lot, state.today(), same)
    except BlendlabError as problem:
        colours.answers([str(problem)])
        return
    _rows(made.rows)
    for line in made.lines:
        parts.small(line)
    parts.findings(made.findings, "swatches")
    refused = any(one.level == "stop" for one in made.findings)
    st.button(USE, key="sw.use", type="primary", disabled=refused, on_click=_keep, args=(made.made,))


def _law(item: Base, kept: list[Any], aim: str) -> None:
    if aim == "whip":
        st.text_input("Overrun of the whipped swatch, percent", key=f"{_keys()}-overrun", placeholder="75")
        made, answers, told = calibrations.whip(item, kept, colours.typed(_keys()))
    else:
        vanillin, weeks = st.columns(2, gap="small", wrap=False)
        vanillin.text_input("Vanillin in the portion, percent", key=f"{_keys()}-vanillin", placeholder="0,1")
        weeks.text_input("Weeks between the two", key=f"{_keys()}-weeks", placeholder="4")
        made, answers, told = calibrations.aged(item, kept, colours.typed(_keys()))
    colours.answers(answers)
    for one in told:
        parts.small(one)
    if made is not None:
        st.button(USE, key="sw.use", type="primary", on_click=_keep, args=(made,))


def _rows(rows: Any) -> None:
    """Each swatch touching what the fit makes of it, on the one grey."""
    shown = "".join(
        f'<div><i style="background:linear-gradient(90deg,{one.measured} 50%,{one.fitted} 50%)"></i>'
        f"{escape(one.words.split(' · ')[0])}<br>{_apart(one.apart)}</div>"
        for one in rows
    )
    st.html(f'<div class="bl-ladder" role="img" aria-label="{SIDES}">{shown}</div>')
    parts.small(SIDES)


def _apart(apart: float | None) -> str:
    return "not checkable" if apart is None else f"Delta E {apart:.1f}"


def _keep(made: Pigment | Base) -> None:
    problem = on_shelf.save(state.folder(), made)
    if problem:
        st.session_state[f"{_keys()}-answers"] = [problem]
        return
    colours.forget(FORM)
    st.session_state.said = {"text": KEPT.format(name=parts.capital(made.name)), "fresh": False}
    st.session_state["sw.rerun"] = True


def next_swatch() -> None:
    """The swatch that would narrow her saved cards most, as one sentence; for the head of the Shelf."""
    found = calibrations.suggestions(state.folder(), memo.shelf())
    if found:
        parts.heading(NEXT)
        for one in found:
            parts.small(one.words)
