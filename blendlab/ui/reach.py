"""What the shelf reaches round a colour: swatches by hue and lightness, nearest first, in chunks."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from blendlab.forms import targets
from blendlab.shelf import Base
from blendlab.show import reach_map
from blendlab.ui import memo, parts
from blendlab.ui.words import look as say

PANEL = "background:#B8B8B8;forced-color-adjust:none"
_maps = memo.Kept[reach_map.Map](6)


def panel(wanted: targets.Target, base: Base, take: Callable[[reach_map.Place], None]) -> None:
    """The map round a wanted colour; the nearest may be taken."""
    bar, place = st.empty(), st.empty()
    pigments = tuple(pigment.ref.key for pigment in memo.shelf().of("pigment"))
    if not pigments:
        parts.small(say.EMPTY_SHELF)
        return
    key = (wanted, base.ref.key, pigments)
    shown = _maps.get_or_make(key, lambda: _made(wanted, base, bar, place))
    bar.empty()
    place.html(_grid(shown))
    nearest = shown.nearest
    told = say.NEAREST.format(delta_e=nearest.delta_e, colour=nearest.words)
    st.html(f'<p class="bl-said">{escape(told)}</p>')
    parts.small(say.AROUND)
    places = [place for row in shown.rows for place in row]
    middle = places.index(nearest) if nearest in places else len(places) // 2
    chosen = st.selectbox(
        say.TAKE_ANOTHER,
        range(len(places)),
        index=middle,
        format_func=lambda at: places[at].words,
        key="rc.place",
    )
    if st.button(say.TAKE_COLOUR, key="rc.take"):
        take(places[chosen])
        st.rerun()


def _made(wanted: targets.Target, base: Base, bar: DeltaGenerator, place: DeltaGenerator) -> reach_map.Map:
    """The map, shown as far as it is done; a page that is left or changed meanwhile ends the work."""
    shown = None
    for shown in reach_map.reached(wanted, base, memo.shelf().of("pigment")):
        bar.progress(min(shown.done, 1.0), say.REACH_AT_WORK)
        place.html(_grid(shown))
    assert shown is not None
    return shown


def _grid(shown: reach_map.Map) -> str:
    def block(place: reach_map.Place) -> str:
        return f'<span style="flex:1;background:{place.hex}" title="{escape(place.words)}"></span>'

    rows = "".join(
        f'<div style="display:flex;height:44px">{"".join(map(block, row))}</div>' for row in shown.rows
    )
    said = say.REACHED.format(nearest=shown.nearest.hex)
    return f'<div role="img" aria-label="{escape(said)}" style="{PANEL};padding:8px">{rows}</div>'


def screen_check(base: Base) -> None:
    """A patch of the undyed base to hold her base jar against."""
    shade, said = reach_map.base_seen(base)
    block = f'<i style="display:block;height:160px;background:{shade}"></i>'
    st.html(f'<div style="{PANEL};padding:24px">{block}</div>')
    parts.small(say.SCREEN.format(base=said, alike=say.ALIKE))
