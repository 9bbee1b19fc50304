"""How the tones sit: small pictures to choose from, their figures, and what the jar then holds."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

import streamlit as st

from blendlab import jar as jars
from blendlab.assess import Assessment
from blendlab.codec import canonical
from blendlab.recipe import Arrangement
from blendlab.show import thumbnails
from blendlab.ui import echoes, memo, parts, state, words

SEEN_APART = "What is seen is not what is weighed: price and label use the weight."
BAG = "Side by side in one piping bag"
LIES = "covers about {covered:.0f} % of the top, about {plates:.0f} plates a square millimetre (estimate)"
WIDER = "its middle looks {wider:.0f} % wider than it is"
ROPE = "Rope of a jar"
TURNS_OF_TIP = "Turns of a {tip:g} mm tip: {turns:.1f}"

SHARES_OF = {
    "by weight": "weight_pct",
    "on the wall": "wall_pct",
    "in this view": "picture_pct",
    "from above": "above_pct",
    "wall and top": "seen_pct",
}
"""Head of a column -> share of a portion."""

KINDS = {kind: rule.word for kind, rule in jars.RULES.items()}
"""Arrangement -> its name on the page."""

_thumbs = memo.Kept[dict[str, bytes]](12)


def arrangement_picker(assessed: Assessment) -> None:
    """Arrangements as small pictures of this very design; a press takes one and a turn that flatters none."""
    _picker("arrangement.kind", KINDS, assessed, thumbnails.arrangements, take_arrangement)


def top_picker(assessed: Assessment) -> None:
    """Tops as small pictures of this very design."""
    _picker("top.kind", words.TOPS, assessed, thumbnails.tops, _take_top)


def _picker(path: str, names: dict[str, str], assessed: Assessment, draw: Any, take: Any) -> None:
    if assessed.layout is None:
        return
    shelf, current = state.shelf(), state.at(path)
    key = (path, canonical(assessed.design), tuple(item.ref.key for item in shelf.embedded))
    drawn = _thumbs.get_or_make(key, lambda: draw(assessed))
    with st.container(key=f"pick-{'-'.join(path.split('.'))}", horizontal=True, gap="xsmall"):
        for kind, name in names.items():
            with st.container(key=f"thumb-{path.split('.')[0]}-{kind}", width=68, gap=None):
                st.image(drawn[kind], width=68, output_format="PNG", alt=f"This design as {name.lower()}")
                st.button(
                    name,
                    key=f"take-{path}-{kind}",
                    type="primary" if kind == current else "tertiary",
                    width="stretch",
                    on_click=take,
                    args=(kind, assessed),
                )


def take_arrangement(kind: str, assessed: Assessment) -> None:
    """Take an arrangement, and the turn at which it flatters no tone."""
    turn = thumbnails.turn_of(assessed, kind)
    state.assign({"arrangement.kind": kind, "view.turn_deg": turn}, f"Arrangement: {KINDS[kind]}")


def _take_top(kind: str, _: Assessment) -> None:
    state.assign(
        {"top.kind": kind, "top.height_mm": None, "top.headspace_mm": None}, f"Top: {words.TOPS[kind]}"
    )


def arrangement_details(assessed: Assessment) -> None:
    """The figures of the arrangement at work."""
    rule = jars.RULES[state.at("arrangement.kind")]
    beside = [asked for asked in rule.asked if not asked.press]
    columns = st.columns(max(len(beside), 1), gap="small", wrap=False)
    for column, asked in zip(columns, beside, strict=False):
        with column:
            _asked(asked.label, asked.name)
    for asked in rule.asked:
        if asked.press:
            st.button(
                asked.label,
                key=f"press-{asked.name}",
                type="tertiary",
                on_click=_next,
                args=(asked.label, asked.name),
            )
    if rule.piped and len(state.at("tones")) > 1:
        _bag(assessed, rule)


def _asked(label: str, name: str) -> None:
    """A figure or a choice of the arrangement, within what the design can hold."""
    holds, path = _holds(name), f"arrangement.{name}"
    if "options" in holds:
        parts.pick(label, {option: option for option in holds["options"]}, path)
    else:
        parts.number_field(label, path, holds["unit"], holds["low"], holds["high"], hide_label=False)


def _next(label: str, name: str) -> None:
    path = f"arrangement.{name}"
    state.assign({path: (state.at(path) + 1) % (_holds(name)["high"] + 1)}, label)


def _holds(name: str) -> Mapping[str, Any]:
    """Bounds and unit, or the options, of a figure of an arrangement."""
    return Arrangement.__dataclass_fields__[name].metadata


def _bag(assessed: Assessment, rule: jars.Rule) -> None:
    key = "c.arrangement.one_bag"
    echoes.put(key, state.at("arrangement.one_bag"))
    st.checkbox(
        BAG,
        key=key,
        on_change=echoes.edited(
            key, lambda: state.assign({"arrangement.one_bag": st.session_state[key]}, BAG)
        ),
    )
    if not state.at("arrangement.one_bag") or assessed.layout is None:
        return
    tip, takes = st.columns(2, gap="small")
    with tip:
        parts.number_field("Width of the tip, mm", "arrangement.tip_mm", "mm", 4, 40, hide_label=False)
    with takes:
        parts.number_field("One bag takes, ml", "arrangement.bag_ml", "ml", 50, 5000, hide_label=False)
    design = assessed.design
    found = jars.bags(
        assessed.layout, design.arrangement.bag_ml, design.batch.jars, design.batch.overfill_pct or 0.0
    )
    parts.rows(
        [
            ("Bags", f"{found.count} for {design.batch.jars} jars, {found.bag_g:.0f} g each"),
            *((side.name, _side(side)) for side in found.sides),
            (ROPE, f"{jars.rope_mm(found.jar_ml, design.arrangement.tip_mm):.0f} mm"),
        ]
    )
    if any(asked.name == "turns" for asked in rule.asked):
        wound = jars.rope_turns(assessed.layout.fill_mm, design.arrangement.tip_mm)
        turns = min(_holds("turns")["high"], round(wound, 1))
        label = TURNS_OF_TIP.format(tip=design.arrangement.tip_mm, turns=turns)
        st.button(
            f"{label} →",
            key="rope-turns",
            type="tertiary",
            disabled=abs(turns - design.arrangement.turns) < 0.05,
            on_click=state.assign,
            args=({"arrangement.turns": turns}, label),
        )


def _side(side: jars.Side) -> str:
    return f"{side.bag_g:.0f} g a bag, {side.jar_g:.1f} g a jar, {side.angle_deg:.0f}° of the bag"


def top_details(assessed: Assessment) -> None:
    """The figures of the top at work; what is not set shows what is drawn."""
    kind, layout = state.at("top.kind"), assessed.layout
    if layout is None:
        return
    fields: list[tuple[str, str, str, float, float, float]] = []
    if kind != "flat":
        fields.append(("Height, mm", "top.height_mm", "mm", 0, 60, layout.peak_mm))
    fields.append(("Headspace, mm", "top.headspace_mm", "mm", 0, 100, layout.headspace_mm))
    if state.at("top.dust"):
        dose = state.at("top.dust.mg_per_cm2")
        fields.append(("Dust, mg/cm2", "top.dust.mg_per_cm2", "mg/cm2", 0, 5, dose))
    columns = st.columns(len(fields) + (kind == "star"), gap="small", wrap=False)
    for column, (label, path, unit, low, high, shown) in zip(columns, fields, strict=False):
        with column:
            parts.number_field(label, path, unit, low, high, hide_label=False, value=round(shown, 1))
    if kind == "star":
        with columns[-1]:
            parts.number_field("Points", "top.points", "points", 4, 16, hide_label=False, write=_points)


def _points(figure: float) -> None:
    state.assign({"top.points": round(figure)}, f"{figure:.0f} points")


def holds(assessed: Assessment) -> None:
    """Volumes, grams per tone, net weight, the jar's name against it, overfill; shares that differ."""
    layout = assessed.layout
    if layout is None:
        return
    named = jars.named(layout, assessed.design.batch.overfill_pct or 0.0)
    rows = [(tone.name, f"{tone.grams:.1f} g, {tone.ml:.1f} ml") for tone in layout.tones]
    if layout.top_ml:
        rows.append(("Top", f"{layout.top_ml:.1f} ml of it stand above the edge of the filling"))
    rows += [
        ("Net weight", _net(layout, named)),
        ("Name of the jar", _gap(named)),
    ]
    if assessed.design.batch.overfill_pct:
        rows.append(("With the overfill", f"{named.overfilled_g:.1f} g to put in"))
    if layout.dust_mg_per_cm2:
        covered, plates = jars.lying(layout.dust_mg_per_cm2)
        rows.append(("Dust", LIES.format(covered=100 * covered, plates=plates)))
    rows.append(("Through the wall", WIDER.format(wider=100 * (layout.magnification - 1))))
    parts.rows(rows)
    shares(layout)


def _net(layout: jars.Layout, named: jars.Named) -> str:
    if layout.net_range_g is None:
        return f"{named.net_g:.0f} g at {named.density:.2f} g/ml, weighed"
    low, high = layout.net_range_g
    return f"{low:.0f} to {high:.0f} g, about {named.net_g:.0f} g at {named.density:.2f} g/ml: not weighed"


def _gap(named: jars.Named) -> str:
    less = "less" if named.short_pct >= 0 else "more"
    return (
        f"{named.ml:.0f} ml, {named.ounces:.1f} fl oz; the weight is {named.net_oz:.1f} oz, "
        f"{abs(named.short_pct):.0f} % {less} than the name"
    )


def shares(layout: jars.Layout) -> None:
    """Shares by weight, on the wall and in this view, where they differ by more than 5 points."""
    apart = max(
        abs(seen - tone.weight_pct) for tone in layout.tones for seen in (tone.wall_pct, tone.picture_pct)
    )
    if apart <= 5 or len(layout.tones) < 2:
        return
    body = "".join(
        f"<tr><th scope='row'>{escape(tone.name)}</th>{_cells(tone)}</tr>" for tone in layout.tones
    )
    head = "".join(f"<th scope='col'>{word}</th>" for word in ("Tone", *SHARES_OF))
    st.html(
        f'<table class="bl-table bl-shares"><caption>{escape(SEEN_APART)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def _cells(tone: jars.Portion) -> str:
    return "".join(f"<td>{getattr(tone, share):.0f} %</td>" for share in SHARES_OF.values())


def sunk() -> None:
    """How far her own jars had sunk after the weeks that are shown; offered once there are weeks."""
    if state.at("weeks"):
        parts.number_field("Sunk by then, mm", "view.sunk_mm", "mm", 0, 60, hide_label=False)
