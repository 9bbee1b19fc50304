"""Find a mix for a wanted colour: the colour beside three mixes, touching, one sentence each."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab.assess import Assessment
from blendlab.codec import canonical
from blendlab.forms import targets
from blendlab.show import mixes
from blendlab.ui import colours, memo, parts, reach, state

FORM = "mx"
SHOW = {"mixes": "Three mixes", "reach": "What the shelf reaches"}
FIND = "Find a mix"
_found = memo.Kept[mixes.Mixes](8)
MODEL = "True in the model: strengths on your shelf decide how near the jar comes."


def _keys() -> str:
    return colours.prefix_of(FORM)


def button(assessed: Assessment, position: int) -> None:
    """The button of one tone that opens the search; called among the acts of an open tone."""
    tone_id = assessed.tones[position].tone.id
    if st.button(FIND, key=f"mix-{tone_id}", type="tertiary"):
        colours.forget(FORM)
        _dialog(assessed, position)


@st.dialog("Find a mix", width="large")
def _dialog(assessed: Assessment, position: int) -> None:
    panel(assessed, position)


def panel(assessed: Assessment, position: int) -> None:
    """The search for one tone: the wanted colour, then mixes or the map of what the shelf reaches."""
    judged = assessed.tones[position]
    base = state.shelf().find(assessed.design.base)
    st.html(f'<p class="bl-small">For {escape(judged.tone.name)}, as an open surface in daylight.</p>')
    colour, words, error = colours.entry(_keys(), base)
    wanted, answers = targets.target(colours.typed(_keys()), base, colour, words, error)
    nothing = (
        not st.session_state.get(f"{_keys()}-hex") and st.session_state.get(f"{_keys()}-way", "hex") == "hex"
    )
    if nothing:
        wanted = targets.tone_target(assessed, judged.tone.id)
    else:
        colours.answers(answers)
    if wanted is None:
        return
    shown = st.segmented_control(
        "Show", list(SHOW), format_func=SHOW.__getitem__, required=True, default="mixes",
        key=f"{_keys()}-shown", width="stretch", label_visibility="collapsed",
    )  # fmt: skip
    if shown == "reach":
        reach.panel(
            wanted, assessed.design, lambda place: take(position, place.doses, f"Colour: {place.words}")
        )
    else:
        _mixes(wanted, assessed, position)


def _mixes(wanted: targets.Target, assessed: Assessment, position: int) -> None:
    tone = assessed.tones[position].tone
    most = st.segmented_control(
        "Pigments at most", [1, 2, 3], required=True, default=3, key=f"{_keys()}-most"
    )
    pigments = tuple(one.ref.key for one in memo.shelf().of("pigment"))
    if not pigments:
        parts.small(reach.EMPTY)
        return
    found = _found.get_or_make(
        (wanted, canonical(assessed.design), pigments, tone.id, most),
        lambda: mixes.mixes(wanted, assessed, memo.shelf(), tone.id, most),
    )
    st.html(touching(wanted.hex, [mix.hexes[1] for mix in found.mixes]))
    if found.obstacle:
        st.html(f'<p class="bl-said">{escape(found.obstacle)}</p>')
    for at, mix in enumerate(found.mixes):
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"mx-row-{at}"
        ):
            st.html(parts.swatch(f"Mix {at + 1}", *mix.hexes, None), width="content")
            st.html(f'<p class="bl-tone"><b>Mix {at + 1}</b> {escape(mix.sentence)}</p>')
            if st.button(f"Take mix {at + 1}", key=f"mx.take.{at}", width="content"):
                take(position, mix.doses, f"Mix {at + 1} for {tone.name}")
                st.rerun()
    parts.small(MODEL)


def touching(wanted: str, hexes: list[str]) -> str:
    """The wanted colour and the mixes as touching blocks on the panel grey, with their words below."""
    blocks = [("wanted", wanted), *((f"mix {at}", one) for at, one in enumerate(hexes, start=1))]
    shown = "".join(f'<div><i style="background:{one}"></i>{name}</div>' for name, one in blocks)
    said = ", ".join(f"{name} {one}" for name, one in blocks)
    return f'<div class="bl-ladder" role="img" aria-label="{escape(said)}">{shown}</div>'


def take(position: int, doses: Any, word: str) -> None:
    """Put a mix in the place of a tone's doses, as one step of Undo."""

    def edit(design: dict) -> None:
        design["tones"][position]["doses"] = [
            {"pigment": dict(one["pigment"]), "pct": one["pct"]} for one in doses
        ]

    state.change(word, edit)
