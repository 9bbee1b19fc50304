"""The tones under five lamps and to four eyes, as touching strips on the one grey."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.assess import Assessment
from blendlab.show import lamps
from blendlab.ui import broken, parts
from blendlab.ui.words import look as say


def button(assessed: Assessment) -> None:
    """A button that shows the tones under every lamp and to every eye; for the view of Look."""
    if st.button(say.LAMPS_AND_EYES, key="lamps", type="tertiary"):
        _window(assessed)


@broken.window(say.LAMPS_AND_EYES)
def _window(assessed: Assessment) -> None:
    panel(assessed)


def panel(assessed: Assessment) -> None:
    """Both tables."""
    st.html(_table(say.LAMP, lamps.lamps(assessed)))
    parts.small(say.LAMPS_SAID)
    st.html(_table(say.EYE, lamps.eyes(assessed)))
    parts.small(say.EYES_SAID)


def _table(head: str, strips: tuple[lamps.Strip, ...]) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(strip.words)}</th><td style="width:45%">{_bands(strip)}</td>'
        f"<td>{escape(_changes(strip))}</td><td>{escape(_least(strip))}</td></tr>"
        for strip in strips
    )
    named = (head, say.STRIP_TONES, say.STRIP_CHANGE, say.STRIP_NEAREST)
    heads = "".join(f'<th scope="col">{escape(name)}</th>' for name in named)
    return f'<table class="bl-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _bands(strip: lamps.Strip) -> str:
    bands = "".join(f'<span style="flex:1;background:{shade}"></span>' for shade in strip.hexes)
    said = say.STRIP.format(name=strip.words, colours=", ".join(strip.hexes))
    return f'<div class="bl-strip" style="height:34px" role="img" aria-label="{escape(said)}">{bands}</div>'


def _changes(strip: lamps.Strip) -> str:
    if strip.changes is None:
        return ""
    return say.CHANGES.format(figures=" · ".join(f"{change:.1f}" for change in strip.changes))


def _least(strip: lamps.Strip) -> str:
    if strip.least is None:
        return ""
    apart, first, second = strip.least
    return say.LEAST.format(first=first, second=second, apart=apart)
