"""What the shelf reaches round a colour: swatches by hue and lightness, nearest first, in chunks."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

import streamlit as st

from blendlab.forms import targets
from blendlab.recipe import Design
from blendlab.show import reach_map
from blendlab.ui import memo, parts

WORKING = "Working out what the shelf reaches"
EMPTY = "No pigment on the shelf."
_maps = memo.Kept[reach_map.Map](6)
AROUND = "Lighter above, darker below, the hue turns from left to right; the middle is the wanted colour."
SCREEN = "Hold a jar of the undyed base beside this patch in daylight."
SAME = "If both look alike, the screen shows pale colours as they are; if not, trust the numbers."


def panel(wanted: targets.Target, design: Design, take: Callable[[reach_map.Place], None]) -> None:
    """The map round a wanted colour; the nearest may be taken."""
    bar, place = st.empty(), st.empty()
    pigments = tuple(one.ref.key for one in memo.shelf().of("pigment"))
    if not pigments:
        parts.small(EMPTY)
        return
    key = (wanted, design.base.key, pigments)
    shown = _maps.get_or_make(key, lambda: _work_out(wanted, design, bar, place))
    bar.empty()
    place.html(_grid(shown))
    nearest = shown.nearest
    told = f"Nearest you can reach: Delta E {nearest.delta_e:.1f}, {nearest.words}."
    st.html(f'<p class="bl-said">{escape(told)}</p>')
    parts.small(AROUND)
    places = [one for row in shown.rows for one in row]
    middle = places.index(nearest) if nearest in places else len(places) // 2
    chosen = st.selectbox(
        "Take another one",
        range(len(places)),
        index=middle,
        format_func=lambda at: places[at].words,
        key="rc.place",
    )
    if st.button("Take this colour", key="rc.take"):
        take(places[chosen])
        st.rerun()


def _work_out(wanted: targets.Target, design: Design, bar: Any, place: Any) -> reach_map.Map:
    """The map, shown as far as it is done; a page that is left or changed meanwhile ends the work."""
    shown = None
    for shown in reach_map.reached(wanted, design, memo.shelf()):
        bar.progress(min(shown.done, 1.0), WORKING)
        place.html(_grid(shown))
    assert shown is not None
    return shown


def _grid(shown: reach_map.Map) -> str:
    def block(one: reach_map.Place) -> str:
        return f'<span style="flex:1;background:{one.hex}" title="{escape(one.words)}"></span>'

    rows = "".join(
        f'<div style="display:flex;height:44px">{"".join(map(block, row))}</div>' for row in shown.rows
    )
    said = "Colours the shelf reaches, nearest " + shown.nearest.hex
    style = "background:#B8B8B8;padding:8px;forced-color-adjust:none"
    return f'<div role="img" aria-label="{escape(said)}" style="{style}">{rows}</div>'


def screen_check(design: Design) -> None:
    """A patch of the undyed base to hold her base jar against; for the view of Look or the Guide."""
    shelf = memo.shelf()
    base = shelf.find(design.base) if shelf.has(design.base) else next(iter(shelf.of("base")), None)
    if base is None:
        return
    shade, said = reach_map.base_seen(base)
    block = f'<i style="display:block;height:160px;background:{shade}"></i>'
    st.html(f'<div style="background:#B8B8B8;padding:24px;forced-color-adjust:none">{block}</div>')
    parts.small(f"{said}. {SCREEN} {SAME}")
