"""Swatches on the Shelf: measure a pigment or a base, see what the fit makes of it, keep it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from html import escape
from typing import Any

import streamlit as st

from blendlab import photo, store
from blendlab.errors import BlendlabError
from blendlab.forms import calibrations, on_shelf, swatches
from blendlab.shelf import SURFACES, Base, Item, Pigment, Swatch
from blendlab.tint.next_swatch import Suggestion
from blendlab.tint.readings import GEOMETRIES, SCALES
from blendlab.tint.swatches import SURFACE_WORDS
from blendlab.ui import broken, colours, memo, mishap, parts, state, typed
from blendlab.ui.words import swatches as say

FORM = "sw"
FIRST = {"aim": "white", "surface": "open", "geometry": list(GEOMETRIES)[2]}
"""What stands in the fields at first."""
_next = memo.Kept[tuple[Suggestion, ...]](2)

Measured = Pigment | Base


def _keys() -> str:
    return colours.prefix_of(FORM)


def _key(name: str) -> str:
    return typed.key(f"{_keys()}-", name)


def panel(item: Measured) -> None:
    """Everything about the swatches of one pigment or base; called by the Shelf for the item shown."""
    parts.heading(say.HEADING)
    for line in calibrations.history(item):
        parts.small(line)
    colours.begin(FORM, f"swatch:{item.kind}:{item.id}:{item.matter}", FIRST)
    st.session_state.setdefault(_key("kept"), [])
    st.fragment(_part)(item, st.session_state.said)


def _part(item: Measured, said: dict[str, Any] | None) -> None:
    """The part that is drawn again by itself; `said` is what stood above the page when it was drawn."""
    if st.session_state.said is not said:
        st.rerun()
    with broken.answered(say.HEADING, st.container(), lambda: None):
        _form(item)


def _form(item: Measured) -> None:
    base = item if isinstance(item, Base) else _base()
    aim = _aim() if isinstance(item, Base) else "white"
    kept = [swatches.noun(plain) for plain in st.session_state[f"{_keys()}-kept"]]
    _listed(item, kept)
    colour, words, error = _entry(item, base)
    colours.answers(st.session_state.get(f"{_keys()}-answers", []))
    for told in st.session_state.get(f"{_keys()}-told", []):
        parts.small(told)
    st.button(say.ADD, key="sw.add", on_click=_add, args=(item, base, colour, words, error))
    if not kept:
        parts.small(say.FIRST)
    elif isinstance(item, Base) and aim != "white":
        _law(item, kept, aim)
    else:
        _fit(item, base, kept)


def _base() -> Base:
    at_work = state.design().base.id
    bases = sorted(memo.shelf().of("base"), key=lambda base: base.id != at_work)
    if not bases:
        return swatches.base_of(memo.shelf(), "")
    chosen = parts.one_of(say.MADE_IN, {base.id: base.name for base in bases}, _key("base"))
    found = swatches.base_of(memo.shelf(), chosen)
    if found.known == "estimate":
        parts.small(say.BASE_FIRST)
    return found


def _aim() -> str:
    aim: str = st.segmented_control(
        say.AIM,
        list(say.AIMS),
        format_func=say.AIMS.__getitem__,
        required=True,
        key=_key("aim"),
        width="stretch",
    )
    return aim


def _entry(item: Measured, base: Base) -> colours.Seen:
    if isinstance(item, Pigment):
        typed = st.text_input(say.PERCENT, key=_key("pct"), placeholder="0,3")
        parts.small(swatches.weights(typed or ""))
    found = colours.entry(_keys(), base, say.WAYS)
    if st.session_state[_key("way")] == "spectrum":
        _spectrum()
    st.segmented_control(
        say.SEEN,
        list(SURFACES),
        format_func=SURFACE_WORDS.__getitem__,
        required=True,
        key=_key("surface"),
        width="stretch",
    )
    return found


def _spectrum() -> None:
    upload = st.file_uploader(
        say.FILE, type=["csv", "txt", "cgats"], key=f"{_keys()}-file", max_upload_size=20
    )
    if upload is not None and st.session_state.get(f"{_keys()}-read") != upload.file_id:
        st.session_state[f"{_keys()}-text"] = upload.getvalue().decode("utf-8", "replace")
        st.session_state[f"{_keys()}-read"] = upload.file_id
    text = st.text_area(say.PASTE, key=_key("text"), height=120, placeholder=say.PASTE_HINT)
    scales = {"": say.RECOGNISED, **SCALES}
    values, geometry, specular = st.columns(3, gap="small")
    scale = values.selectbox(say.VALUES, list(scales), format_func=scales.__getitem__, key=_key("scale"))
    geometry.selectbox(
        say.GEOMETRY,
        list(GEOMETRIES),
        format_func=GEOMETRIES.__getitem__,
        key=_key("geometry"),
    )
    specular.selectbox(
        say.SPECULAR,
        list(say.SPECULAR_IS),
        format_func=say.SPECULAR_IS.__getitem__,
        key=_key("specular"),
    )
    found = swatches.samples(text, scale or None) if text else []
    if len(found) > 1:
        st.selectbox(say.SAMPLE, range(len(found)), format_func=found.__getitem__, key=_key("sample"))
    elif found:
        parts.small(found[0])


@mishap.answered
def _add(item: Measured, base: Base, colour: photo.Colour | None, words: str, error: float) -> None:
    ss = st.session_state
    made, answers, told = swatches.swatch(colours.given(FORM), item, base, colour, words, error)
    ss[f"{_keys()}-answers"], ss[f"{_keys()}-told"] = answers, told
    if made is not None:
        ss[f"{_keys()}-kept"] = [*ss[f"{_keys()}-kept"], swatches.plain(made)]


@mishap.answered
def _drop(at: int) -> None:
    kept = st.session_state[f"{_keys()}-kept"]
    st.session_state[f"{_keys()}-kept"] = [*kept[:at], *kept[at + 1 :]]


def _listed(item: Measured, kept: list[Swatch]) -> None:
    for at, swatch in enumerate(kept):
        said, dose = swatch.words, swatch.doses.get(item.id)
        if dose is not None:
            said = say.OF_PCT.format(pct=dose, words=said)
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"sw-row-{at}"
        ):
            st.html(f'<p class="bl-tone"><small>{escape(said)}</small></p>')
            st.button(say.LEAVE_OUT, key=f"sw.drop.{at}", type="tertiary", on_click=_drop, args=(at,))


def _fit(item: Measured, base: Base, kept: list[Swatch]) -> None:
    lot = st.text_input(say.LOT, key=_key("lot"), max_chars=40)
    same = isinstance(item, Pigment) and st.checkbox(say.SAME_KIND, key=_key("same"))
    try:
        made = calibrations.preview(item, base, kept, lot, state.today(), same)
    except BlendlabError as problem:
        colours.answers([str(problem)])
        return
    _rows(made.rows)
    for line in made.lines:
        parts.small(line)
    parts.findings(made.findings, "swatches")
    _use(made.made, partial(calibrations.keep, state.folder(), made), bool(made.refused))


def _law(base: Base, kept: list[Swatch], aim: str) -> None:
    """How foam or age change a base, from its swatches before and after."""
    if aim == "whip":
        st.text_input(say.OVERRUN, key=_key("overrun"), placeholder="75")
        made, answers, told = calibrations.whip(base, kept, colours.given(FORM))
    else:
        vanillin, weeks = st.columns(2, gap="small", wrap=False)
        vanillin.text_input(say.VANILLIN, key=_key("vanillin"), placeholder="0,1")
        weeks.text_input(say.WEEKS, key=_key("weeks"), placeholder="4")
        made, answers, told = calibrations.aged(base, kept, colours.given(FORM))
    colours.answers(answers)
    for sentence in told:
        parts.small(sentence)
    if made is not None:
        _use(made, partial(on_shelf.save, state.folder(), made))


def _use(made: Item, put: Callable[[], str], refused: bool = False) -> None:
    st.button(say.USE, key="sw.use", type="primary", disabled=refused, on_click=_keep, args=(made, put))


def _rows(rows: Iterable[calibrations.Row]) -> None:
    """Each swatch touching what the fit makes of it, on the one grey."""
    shown = "".join(
        f'<div><i style="background:linear-gradient(90deg,{row.measured} 50%,{row.fitted} 50%)"></i>'
        f"{escape(row.words.split(' · ')[0])}<br>{_apart(row.apart)}</div>"
        for row in rows
    )
    st.html(f'<div class="bl-ladder" role="img" aria-label="{say.SIDES}">{shown}</div>')
    parts.small(say.SIDES)


def _apart(apart: float | None) -> str:
    return say.NOT_CHECKABLE if apart is None else say.APART.format(apart=apart)


@mishap.answered
def _keep(made: Item, put: Callable[[], str]) -> None:
    problem = put()
    if problem:
        st.session_state[f"{_keys()}-answers"] = [problem]
        return
    colours.forget(FORM)
    parts.tell(say.KEPT.format(name=parts.capital(made.name)))


def next_swatch() -> None:
    """The swatch that would narrow her saved cards most, as one sentence; for the head of the Shelf."""
    saved, shelf = store.listing(state.folder()), memo.shelf()
    key = (tuple(entry.digest for entry in saved), shelf.revisions)
    found = _next.get_or_make(key, lambda: calibrations.suggestions(saved, shelf))
    if found:
        parts.heading(say.NEXT)
        for suggestion in found:
            parts.small(suggestion.words)
