"""How the tones sit: small pictures to choose from, and the figures of the arrangement at work."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from blendlab import jar as jars
from blendlab.assess import Assessment
from blendlab.codec import canonical
from blendlab.recipe import Arrangement
from blendlab.show import thumbnails
from blendlab.ui import echoes, memo, mishap, parts, state
from blendlab.ui.words import look as say

KINDS = {kind: rule.word for kind, rule in jars.RULES.items()}
"""Arrangement -> its name on the page."""

_thumbs = memo.Kept[dict[str, bytes]](12)


def arrangement_choice(assessed: Assessment) -> None:
    """The names of the arrangements, side by side."""
    parts.pick(
        say.ARRANGEMENT,
        KINDS,
        "arrangement.kind",
        segments=True,
        write=lambda kind: _take_arrangement(kind, assessed),
    )


def arrangement_picker(assessed: Assessment) -> None:
    """Arrangements as small pictures of this very design; a press takes one and a turn that flatters none."""
    picker("arrangement.kind", KINDS, assessed, thumbnails.arrangements, _take_arrangement)


def picker(
    path: str,
    names: Mapping[str, str],
    assessed: Assessment,
    draw: Callable[[Assessment], dict[str, bytes]],
    take: Callable[[str, Assessment], None],
) -> None:
    """Small pictures of this very design in each of some ways (kind -> name), a button under each."""
    if assessed.layout is None:
        return
    shelf, current = state.shelf(), state.at(path)
    key = (path, canonical(assessed.design), tuple(item.ref.key for item in shelf.embedded))
    drawn = _thumbs.get_or_make(key, lambda: draw(assessed))
    with st.container(key=f"pick-{'-'.join(path.split('.'))}", horizontal=True, gap="xsmall"):
        for kind, name in names.items():
            with st.container(key=f"thumb-{path.split('.')[0]}-{kind}", width=68, gap=None):
                st.image(
                    drawn[kind], width=68, output_format="PNG", alt=say.DESIGN_AS.format(name=name.lower())
                )
                st.button(
                    name,
                    key=f"take-{path}-{kind}",
                    type="primary" if kind == current else "tertiary",
                    width="stretch",
                    on_click=mishap.answered(take),
                    args=(kind, assessed),
                )


def _take_arrangement(kind: str, assessed: Assessment) -> None:
    """Take an arrangement, and the turn at which it flatters no tone."""
    turn = thumbnails.turn_of(assessed, kind)
    done = say.DONE_ARRANGEMENT.format(name=KINDS[kind])
    state.assign({"arrangement.kind": kind, "view.turn_deg": turn}, done)


def arrangement_details(assessed: Assessment) -> None:
    """The figures of the arrangement at work."""
    rule = jars.RULES[state.at("arrangement.kind")]
    beside = [asked for asked in rule.asked if not asked.press]
    columns = st.columns(max(len(beside), 1), gap="small", wrap=len(beside) > 2)
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


@mishap.answered
def _next(label: str, name: str) -> None:
    path = f"arrangement.{name}"
    state.assign({path: (state.at(path) + 1) % (_holds(name)["high"] + 1)}, label)


def _holds(name: str) -> Mapping[str, Any]:
    """Bounds and unit, or the options, of a figure of an arrangement."""
    return Arrangement.__dataclass_fields__[name].metadata


def _bag(assessed: Assessment, rule: jars.Rule) -> None:
    key = "c.arrangement.one_bag"
    echoes.put(key, state.at("arrangement.one_bag"))

    def ticked() -> None:
        state.assign({"arrangement.one_bag": st.session_state[key]}, say.BAG)

    st.checkbox(say.BAG, key=key, on_change=echoes.edited(key, ticked))
    if not state.at("arrangement.one_bag") or assessed.layout is None:
        return
    tip, takes = st.columns(2, gap="small")
    with tip:
        parts.number_field(say.TIP, "arrangement.tip_mm", "mm", 4, 40, hide_label=False)
    with takes:
        parts.number_field(say.BAG_TAKES, "arrangement.bag_ml", "ml", 50, 5000, hide_label=False)
    design = assessed.design
    overfill = design.batch.overfill_pct or 0.0
    found = jars.bags(assessed.layout, design.arrangement.bag_ml, design.batch.jars, overfill)
    told = say.BAGS_FOR.format(bags=found.count, jars=design.batch.jars, grams=found.bag_g)
    rope = say.MM.format(mm=jars.rope_mm(found.jar_ml, design.arrangement.tip_mm))
    parts.rows([(say.BAGS, told), *((side.name, _side(side)) for side in found.sides), (say.ROPE, rope)])
    if any(asked.name == "turns" for asked in rule.asked):
        _rope(assessed.layout, design.arrangement)


def _rope(layout: jars.Layout, arrangement: Arrangement) -> None:
    """The turns that a rope of the tip's width makes in this jar, to be taken."""
    wound = jars.rope_turns(layout.fill_mm, arrangement.tip_mm)
    turns = min(_holds("turns")["high"], round(wound, 1))
    label = say.TURNS_OF_TIP.format(tip=arrangement.tip_mm, turns=turns)
    st.button(
        f"{label} →",
        key="rope-turns",
        type="tertiary",
        disabled=abs(turns - arrangement.turns) < 0.05,
        on_click=state.assign,
        args=({"arrangement.turns": turns}, label),
    )


def _side(side: jars.Side) -> str:
    return say.SIDE_OF_BAG.format(bag=side.bag_g, jar=side.jar_g, angle=side.angle_deg)
