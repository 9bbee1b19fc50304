"""How much of the scent: the load in three ways of speaking, and by tone."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.production import line_words
from blendlab.recipe.tones import names
from blendlab.show import scents
from blendlab.ui import mishap, parts, scent_limits, state
from blendlab.ui.words import scent as say

MOST_PARTS = 10_000
LEAST_BATCH_G = 1e-9


def load(assessed: Assessment) -> None:
    """The load to feel and to type, and what it is in grams, money and drops."""
    said = scents.load(assessed)
    with st.container(key="load-row", horizontal=True, vertical_alignment="bottom", gap="small"):
        with st.container(key="load-feel"):
            parts.slide(say.LOAD, "scent.load_pct", 0.0, 3.0, 0.05, "%", hide_label=False)
        way: scents.Way = st.session_state.get("load-as", "pct")
        with st.container(key="load-exact"):
            _exact(way, said, assessed)
        with st.container(key="load-way"):
            st.selectbox(say.TYPED_AS, list(say.LOAD_AS), format_func=say.LOAD_AS.__getitem__, key="load-as")
    parts.small(" ".join(_sentences(said)))


def _sentences(said: scents.Load) -> list[str]:
    if said.batch_g and (said.grams or not said.pct):
        grams, batch = line_words.grams(said.grams, said.step_g), line_words.grams(said.batch_g, 1)
        found = [say.LOAD_SAID_OF_BATCH.format(pct=said.pct, parts=said.parts, grams=grams, batch=batch)]
    else:
        found = [say.LOAD_SAID.format(pct=said.pct, parts=said.parts)]
    if said.price is not None:
        found.append(say.OILS_COST.format(price=said.price, currency=parts.currency()))
    if said.drops is not None and said.jar_g > 0:
        few, many = said.drops
        found.append(say.DROPS.format(grams=units.digits(said.jar_g), few=few, many=many))
    return found


def _exact(way: scents.Way, said: scents.Load, assessed: Assessment) -> None:
    """The field for the exact figure, in the way of speaking that was chosen."""
    if way == "pct":
        parts.number_field(say.LOAD_EXACT, "scent.load_pct", "%", 0, 100, hide_label=False)
        return
    in_parts = way == "parts"
    parts.number_field(
        say.LOAD_PARTS if in_parts else say.LOAD_GRAMS,
        f"scent.load_as_{way}",
        "g",
        0,
        MOST_PARTS if in_parts else max(said.batch_g, LEAST_BATCH_G),
        hide_label=False,
        value=round(said.parts if in_parts else said.grams, 4),
        write=lambda typed: _write(way, typed, assessed),
    )


def _write(way: scents.Way, typed: float, assessed: Assessment) -> None:
    pct = scents.pct_from(way, typed, assessed)
    state.assign({"scent.load_pct": pct}, say.DONE_LOAD.format(pct=units.plain(pct)))


def by_tone(assessed: Assessment, market: str) -> None:
    """A load of its own for every tone, and what limits it."""
    loads = assessed.design.scent.tone_loads
    with st.expander(say.LOAD_BY_TONE, key="tone-loads", on_change="rerun") as box:
        if not box.open:
            return
        parts.small(say.LOAD_BY_TONE_WHY)
        for tone_id, name in names(assessed.design).items():
            told = scent_limits.tightest(assessed.portions.get(market, {}).get(tone_id))
            _tone(tone_id, name, loads.get(tone_id, assessed.design.scent.load_pct), told)
        if loads:
            st.button(say.SAME_LOADS, type="tertiary", on_click=_same_loads)


def _tone(tone_id: str, name: str, pct: float, told: str) -> None:
    with st.container(horizontal=True, wrap=False, vertical_alignment="center", gap="small"):
        st.html(f'<p class="bl-oil"><span>{escape(name)}</span><small>{escape(told)}</small></p>')
        parts.number_field(
            say.LOAD_OF_TONE.format(tone=name),
            f"scent.tone_loads.{tone_id}",
            "%",
            0,
            100,
            value=pct,
            write=lambda typed: _write_tone(tone_id, typed),
            width=110,
        )


def _write_tone(tone_id: str, pct: float) -> None:
    loads = {**state.at("scent.tone_loads"), tone_id: pct}
    state.assign({"scent.tone_loads": loads}, say.DONE_LOAD_OF_TONE.format(pct=units.plain(pct)))


@mishap.answered
def _same_loads() -> None:
    state.assign({"scent.tone_loads": {}}, say.SAME_LOADS)
