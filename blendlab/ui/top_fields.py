"""The top of the jar: its form, its dust, its figures; and what the jar then holds."""

from __future__ import annotations

from html import escape
from typing import NamedTuple

import streamlit as st

from blendlab import jar as jars
from blendlab.assess import Assessment
from blendlab.recipe import Dust
from blendlab.shelf import Pigment
from blendlab.show import thumbnails
from blendlab.ui import arrangement_fields, memo, parts, state, words
from blendlab.ui.words import look as say

NONE = "none"
APART_POINTS = 5

SHARES = {
    "weight_pct": say.BY_WEIGHT,
    "wall_pct": say.ON_WALL,
    "picture_pct": say.IN_VIEW,
    "above_pct": say.FROM_ABOVE,
    "seen_pct": say.WALL_AND_TOP,
}
"""Share of a portion -> head of its column."""


def top_picker(assessed: Assessment) -> None:
    """Tops as small pictures of this very design."""
    arrangement_fields.picker("top.kind", say.TOPS, assessed, thumbnails.tops, _take_top)


def _take_top(kind: str, _: Assessment) -> None:
    changes = {"top.kind": kind, "top.height_mm": None, "top.headspace_mm": None}
    state.assign(changes, say.DONE_TOP.format(name=say.TOPS[kind]))


def dust() -> None:
    """The choice of a mica that is dusted on the top."""
    micas = {pigment.id: pigment.name for pigment in memo.shelf().of("pigment") if _is_mica(pigment)}
    current = state.at("top.dust")
    value = current["pigment"]["id"] if current else NONE
    parts.pick(say.DUST, {NONE: say.NO_DUST, **micas}, "top.dust", value=value, write=_take_dust)


def _is_mica(pigment: Pigment) -> bool:
    return "pearl" in pigment.group or pigment.group == "interference"


def _take_dust(chosen: str) -> None:
    if chosen == NONE:
        state.assign({"top.dust": None}, say.DONE_NO_DUST)
        return
    mica, current = memo.on_shelf(Pigment, chosen), state.at("top.dust")
    dose = current["mg_per_cm2"] if current else Dust(pigment=mica.ref).mg_per_cm2
    dusted = {"pigment": state.reference(mica), "mg_per_cm2": dose}
    state.assign({"top.dust": dusted}, say.DONE_DUST.format(mica=mica.name))


class Field(NamedTuple):
    """A figure of the top: its label, its path in the design, unit, most, and what is drawn while unset."""

    label: str
    path: str
    unit: str
    high: float
    drawn: float


def top_details(assessed: Assessment) -> None:
    """The figures of the top at work; what is not set shows what is drawn."""
    kind, layout = state.at("top.kind"), assessed.layout
    if layout is None:
        return
    fields = [Field(say.HEADSPACE, "top.headspace_mm", "mm", 100, layout.headspace_mm)]
    if kind != "flat":
        fields.insert(0, Field(say.HEIGHT, "top.height_mm", "mm", 60, layout.peak_mm))
    if state.at("top.dust"):
        dose = state.at("top.dust.mg_per_cm2")
        fields.append(Field(say.DUST_DOSE, "top.dust.mg_per_cm2", "mg/cm2", 5, dose))
    columns = st.columns(len(fields) + (kind == "star"), gap="small", wrap=False)
    for column, field in zip(columns, fields, strict=False):
        with column:
            shown = round(field.drawn, 1)
            parts.number_field(
                field.label, field.path, field.unit, 0, field.high, hide_label=False, value=shown
            )
    if kind == "star":
        with columns[-1]:
            parts.number_field(say.POINTS, "top.points", "points", 4, 16, hide_label=False, write=_points)


def _points(figure: float) -> None:
    count = round(figure)
    state.assign({"top.points": count}, words.plural(count, *say.DONE_POINTS))


def sunk() -> None:
    """How far her own jars had sunk after the weeks that are shown; offered once there are weeks."""
    if state.at("weeks"):
        parts.number_field(say.SUNK, "view.sunk_mm", "mm", 0, 60, hide_label=False)


def holds(assessed: Assessment) -> None:
    """Volumes, grams per tone, net weight, the jar's name against it, overfill; shares that differ."""
    layout = assessed.layout
    if layout is None:
        return
    overfill = assessed.plan.overfill_pct if assessed.plan is not None else 0.0
    named = jars.named(layout, overfill)
    rows = [(tone.name, say.GRAMS_ML.format(grams=tone.grams, ml=tone.ml)) for tone in layout.tones]
    if layout.top_ml:
        rows.append((say.TOP, say.ABOVE_EDGE.format(ml=layout.top_ml)))
    rows += [(say.NET, _net(layout, named)), (say.NAME_OF_JAR, _gap(named))]
    if overfill:
        rows.append((say.OVERFILL, say.TO_PUT_IN.format(grams=named.overfilled_g)))
    if layout.dust_mg_per_cm2:
        covered, plates = jars.lying(layout.dust_mg_per_cm2)
        rows.append((say.DUST, say.LIES.format(covered=100 * covered, plates=plates)))
    rows.append((say.THROUGH_WALL, say.WIDER.format(wider=100 * (layout.magnification - 1))))
    parts.rows(rows)
    _shares(layout)


def _net(layout: jars.Layout, named: jars.Named) -> str:
    if layout.net_range_g is None:
        return say.NET_WEIGHED.format(grams=named.net_g, density=named.density)
    low, high = layout.net_range_g
    return say.NET_RANGE.format(low=low, high=high, grams=named.net_g, density=named.density)


def _gap(named: jars.Named) -> str:
    """How far the weight in ounces lies from the ounces that the jar is named by."""
    form = say.LESS_THAN_NAME if named.short_pct >= 0 else say.MORE_THAN_NAME
    return form.format(ml=named.ml, ounces=named.ounces, weight=named.net_oz, pct=abs(named.short_pct))


def _shares(layout: jars.Layout) -> None:
    """Shares by weight, on the wall and in this view, where they differ by more than some points."""
    apart = max(
        abs(seen - tone.weight_pct) for tone in layout.tones for seen in (tone.wall_pct, tone.picture_pct)
    )
    if apart <= APART_POINTS or len(layout.tones) < 2:
        return
    body = "".join(
        f"<tr><th scope='row'>{escape(tone.name)}</th>{_cells(tone)}</tr>" for tone in layout.tones
    )
    head = "".join(f"<th scope='col'>{escape(word)}</th>" for word in (say.TONE, *SHARES.values()))
    st.html(
        f'<table class="bl-table bl-shares"><caption>{escape(say.SEEN_APART)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def _cells(tone: jars.JarTone) -> str:
    return "".join(f"<td>{getattr(tone, share):.0f} %</td>" for share in SHARES)
