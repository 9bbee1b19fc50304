"""The tones under five lamps and to four eyes, as touching strips on the one grey."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.assess import Assessment
from blendlab.show import lamps
from blendlab.ui import parts

TITLE = "Lamps and eyes"
LAMPS_SAID = "As it looks to an eye that has got used to the lamp; the figures are the change from daylight."
EYES_SAID = "For an eye without one kind of cones; the figure is between the two tones that are nearest."


def button(assessed: Assessment) -> None:
    """A button that shows the tones under every lamp and to every eye; for the view of Look."""
    if st.button(TITLE, key="lamps", type="tertiary"):
        _dialog(assessed)


@st.dialog(TITLE, width="large")
def _dialog(assessed: Assessment) -> None:
    panel(assessed)


def panel(assessed: Assessment) -> None:
    """Both tables."""
    st.html(_table("Lamp", lamps.lamps(assessed)))
    parts.small(LAMPS_SAID)
    st.html(_table("Eye", lamps.eyes(assessed)))
    parts.small(EYES_SAID)


def _table(head: str, strips: tuple[lamps.Strip, ...]) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(one.words)}</th><td style="width:45%">{_strip(one)}</td>'
        f"<td>{_changes(one)}</td><td>{escape(_least(one))}</td></tr>"
        for one in strips
    )
    heads = f'<th scope="col">{head}</th><th scope="col">Tones</th><th scope="col">Change</th>'
    return (
        f'<table class="bl-table"><thead><tr>{heads}<th scope="col">Nearest two</th></tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def _strip(one: lamps.Strip) -> str:
    bands = "".join(f'<span style="flex:1;background:{shade}"></span>' for shade in one.hexes)
    said = f"{one.words}: {', '.join(one.hexes)}"
    return f'<div class="bl-strip" style="height:34px" role="img" aria-label="{escape(said)}">{bands}</div>'


def _changes(one: lamps.Strip) -> str:
    return "" if one.changes is None else "Delta E " + " · ".join(f"{change:.1f}" for change in one.changes)


def _least(one: lamps.Strip) -> str:
    if one.least is None:
        return ""
    apart, first, second = one.least
    return f"{first}, {second}: Delta E {apart:.1f}"
