"""Look: the tones, how they sit in the jar, and the jar itself, always in sight."""

from __future__ import annotations

from html import escape

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from blendlab import renew
from blendlab.assess import Assessment
from blendlab.errors import NO_REFERENCE, PLANNING
from blendlab.jar import Layout
from blendlab.recipe import SHARED
from blendlab.shelf import Jar, Resolved
from blendlab.show import pictures
from blendlab.ui import (
    arrangement_fields,
    base_choice,
    compare,
    export,
    lamps,
    memo,
    parts,
    reach,
    shelf_changes,
    state,
    tone_fields,
    top_fields,
    words,
)
from blendlab.ui.words import look as say

FRONT_PX = (760, 700)
CHECK_PX = (420, 360)
ABOVE_PX = (300, 300)
WALL_PX = (420, 170)
WEEKS = (0.0, 26.0)


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    left, right = st.columns([5, 7], gap="medium")
    with right, st.container(key="sight"):  # first: the picture is on its way while the rest is built
        _panel(assessed)
        below = st.container(key="below")
    with left, st.container(key="bench"):
        tone_fields.tones(assessed)
        _in_the_jar(assessed)
    with below:
        with st.container(key="viewbar"):
            _view()
        found = [finding for finding in assessed.findings if finding.id != renew.NEWER]
        parts.findings(found, "look", words.CLEAR, shelf_changes.beside)
        parts.small(f"{PLANNING} {NO_REFERENCE}")
        export.block(assessed)
        with _folded(say.BESIDE, "beside") as opened:
            if opened.open:
                compare.with_before(assessed)
                compare.photo_of(assessed)
        with _folded(say.ENDS_FOLD, "ends") as opened:
            if opened.open and assessed.resolved is not None:
                _ends(assessed, assessed.resolved)
        parts.onward(say.NEXT, "scent")


def _ends(assessed: Assessment, resolved: Resolved) -> None:
    end = export.ends()
    said = say.SHOWN_AT.format(jar=pictures.describe(assessed), end=end)
    st.image(export.shifted(assessed, end, CHECK_PX), width=CHECK_PX[0], alt=said)
    reach.screen_check(resolved.base)


def _in_the_jar(assessed: Assessment) -> None:
    parts.heading(say.IN_THE_JAR)
    arrangement_fields.arrangement_choice(assessed)
    arrangement_fields.arrangement_details(assessed)
    top, dust = st.columns([5, 6], gap="small")
    with top:
        parts.pick(say.TOP, say.TOPS, "top.kind", segments=True)
    with dust:
        top_fields.dust()
    jar, tone = st.columns([6, 5], gap="small")
    with jar:
        known = {jar.id: jar.name for jar in memo.shelf().of("jar")}
        parts.pick(say.JAR, known, "jar.id", write=_take_jar)
    with tone:
        named = {SHARED: say.ALL_TONES, **{tone["id"]: tone["name"] for tone in state.at("tones")}}
        parts.pick(say.TONE_OF_TOP, named, "top.tone")
    base_choice.choose(assessed)
    with _folded(say.BY_PICTURE, "by-picture") as opened:
        if opened.open:
            arrangement_fields.arrangement_picker(assessed)
            top_fields.top_picker(assessed)
    with _folded(say.HOLDS, "holds") as opened:
        if opened.open:
            top_fields.top_details(assessed)
            top_fields.sunk()
            top_fields.holds(assessed)


def _take_jar(jar_id: str) -> None:
    jar = memo.on_shelf(Jar, jar_id)
    state.assign({"jar": state.reference(jar)}, jar.name)


def _folded(label: str, key: str) -> DeltaGenerator:
    """A fold whose inside is built only while it is open."""
    return st.expander(label, key=f"fold-{key}", on_change="rerun")


def _view() -> None:
    turn, lamp, eye, weeks, light = st.columns([5, 5, 5, 5, 4], gap="small")
    with turn:
        parts.slide(say.TURN, "view.turn_deg", 0.0, 355.0, 5.0, "°", hide_label=False)
    with lamp:
        parts.pick(say.LAMP, say.LAMPS, "view.lamp")
    with eye:
        parts.pick(say.EYE, say.EYES, "view.eye")
    with weeks:
        parts.slide(say.WEEKS, "weeks", *WEEKS, 1.0, say.WEEKS_UNIT, hide_label=False)
    with light:
        parts.pick(say.LIGHT, say.MODES, "view.mode")


def _panel(assessed: Assessment) -> None:
    if assessed.layout is None:
        parts.small(say.NOTHING_TO_DRAW)
        return
    with st.container(key="panel", horizontal=True, gap=None):
        with st.container(key="front"):
            _picture(assessed, "front", FRONT_PX)
        with st.container(key="side"):
            _side(assessed, assessed.layout)
    with st.container(key="caption", horizontal=True, vertical_alignment="center"):
        parts.small(pictures.caption(assessed))
        lamps.button(assessed)


def _side(assessed: Assessment, layout: Layout) -> None:
    lower = "cut" if layout.solid.rule.inside else "wall"
    for view, px in (("above", ABOVE_PX), (lower, WALL_PX)):
        _picture(assessed, view, px)
        st.html(f'<p class="bl-caption">{escape(say.SIDES[view])}</p>')


def _picture(assessed: Assessment, view: str, px: tuple[int, int]) -> None:
    shelf = state.shelf()
    said = pictures.describe(assessed, view)
    st.image(memo.picture(assessed, shelf, view, px), width="stretch", alt=said)
