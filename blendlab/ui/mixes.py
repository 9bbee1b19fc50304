"""Find a mix for a wanted colour: the colour beside three mixes, touching, one sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape
from typing import Any

import streamlit as st

from blendlab.assess import Assessment
from blendlab.codec import canonical
from blendlab.forms import targets
from blendlab.show import mixes, pictures, reach_map
from blendlab.ui import broken, colours, memo, parts, reach, state, typed
from blendlab.ui.words import look as say

FORM = "mx"
FIRST = {"shown": "mixes", "most": 3}
"""What stands in the fields at first."""
_found = memo.Kept[mixes.Mixes](8)


def _keys() -> str:
    return colours.prefix_of(FORM)


def button(assessed: Assessment, position: int) -> None:
    """The button of one tone that opens the search; called among the acts of an open tone."""
    tone_id = assessed.tones[position].tone.id
    if st.button(say.FIND_MIX, key=f"mix-{tone_id}", type="tertiary"):
        _window(assessed, position)


@broken.window(say.FIND_MIX)
def _window(assessed: Assessment, position: int) -> None:
    panel(assessed, position)


def panel(assessed: Assessment, position: int) -> None:
    """The search for one tone: the wanted colour, then mixes or the map of what the shelf reaches."""
    colours.begin(FORM, f"mix:{assessed.design.id}:{assessed.tones[position].tone.id}", FIRST)
    wanted = _wanted(assessed, position)
    if wanted is None:
        return
    shown = st.segmented_control(
        say.SHOW,
        list(say.MIXES_OR_REACH),
        format_func=say.MIXES_OR_REACH.__getitem__,
        required=True,
        key=typed.key(f"{_keys()}-", "shown"),
        width="stretch",
        label_visibility="collapsed",
    )
    if shown == "reach":
        reach.panel(wanted, pictures.in_place(assessed).base, lambda place: _take_place(position, place))
    else:
        _mixes(wanted, assessed, position)


def _wanted(assessed: Assessment, position: int) -> targets.Target | None:
    """The colour that is asked for; that of the tone as it is while nothing is typed."""
    if assessed.resolved is None:
        return None
    base, tone = assessed.resolved.base, assessed.tones[position].tone
    parts.small(say.FOR_TONE.format(tone=tone.name))
    seen = colours.entry(_keys(), base)
    given = colours.given(FORM)
    if not given.get("hex") and given.get("way", "hex") == "hex":
        return targets.tone_target(assessed, tone.id)
    wanted, answers = targets.target(given, base, *seen)
    colours.answers(answers)
    return wanted


def _mixes(wanted: targets.Target, assessed: Assessment, position: int) -> None:
    tone = assessed.tones[position].tone
    most = st.segmented_control(
        say.PIGMENTS_AT_MOST, [1, 2, 3], required=True, key=typed.key(f"{_keys()}-", "most")
    )
    pigments = tuple(pigment.ref.key for pigment in memo.shelf().of("pigment"))
    if not pigments:
        parts.small(say.EMPTY_SHELF)
        return
    found = _found.get_or_make(
        (wanted, canonical(assessed.design), pigments, tone.id, most),
        lambda: mixes.mixes(wanted, assessed, memo.shelf(), tone.id, most),
    )
    st.html(touching(wanted.hex, [mix.hexes[1] for mix in found.mixes]))
    if found.obstacle:
        st.html(f'<p class="bl-said">{escape(found.obstacle)}</p>')
    for number, mix in enumerate(found.mixes, start=1):
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"mx-row-{number}"
        ):
            name = say.MIX.format(number=number)
            st.html(parts.swatch(name, *mix.hexes, None), width="content")
            st.html(f'<p class="bl-tone"><b>{escape(name)}</b> {escape(mix.sentence)}</p>')
            if st.button(say.TAKE_MIX.format(number=number), key=f"mx.take.{number}", width="content"):
                _take(position, mix.doses, say.DONE_MIX.format(number=number, tone=tone.name))
                st.rerun()
    parts.small(say.MODEL)


def touching(wanted: str, hexes: list[str]) -> str:
    """The wanted colour and the mixes as touching blocks on the panel grey, with their words below."""
    named = [(say.MIX_BLOCK.format(number=number), shade) for number, shade in enumerate(hexes, start=1)]
    blocks = [(say.WANTED_BLOCK, wanted), *named]
    shown = "".join(f'<div><i style="background:{shade}"></i>{escape(name)}</div>' for name, shade in blocks)
    said = ", ".join(f"{name} {shade}" for name, shade in blocks)
    return f'<div class="bl-ladder" role="img" aria-label="{escape(said)}">{shown}</div>'


def _take_place(position: int, place: reach_map.Place) -> None:
    _take(position, place.doses, say.DONE_COLOUR.format(colour=place.words))


def _take(position: int, doses: Iterable[Mapping[str, Any]], done: str) -> None:
    """Put a mix in the place of a tone's doses, as one step of Undo."""

    def edit(design: dict[str, Any]) -> None:
        design["tones"][position]["doses"] = [
            {"pigment": dict(dose["pigment"]), "pct": dose["pct"]} for dose in doses
        ]

    state.change(done, edit)
    colours.forget(FORM)
