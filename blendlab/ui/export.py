"""Pictures to take away: stills, with or without a ground or a lid; the turntable; a row of a line."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from functools import partial
from html import escape
from typing import TypeVar

import streamlit as st

from blendlab.assess import Assessment
from blendlab.codec import canonical
from blendlab.errors import BlendlabError
from blendlab.jar import encode
from blendlab.recipe import slug
from blendlab.shelf import Shelf
from blendlab.show import jar_rows, pictures, tone_strips, views
from blendlab.ui import memo, parts, state
from blendlab.ui.words import look as say

PNG, WEBP = "image/png", "image/webp"
STRIP_WIDTH = 1400
SHOWN_HEIGHT, ROW_HEIGHT = 420, 900
Choice = TypeVar("Choice", str, int)

_turning = memo.Kept[bytes](4)


def block(assessed: Assessment) -> None:
    """Everything to take away of the design at work, folded until it is opened."""
    if assessed.layout is None:
        return
    with st.expander(say.PICTURES, key="export", on_change="rerun") as opened:
        if not opened.open:
            return
        shelf = state.shelf()
        _still(assessed)
        _strip(assessed)
        _turntable(assessed, shelf)


def _switch(label: str, options: Mapping[Choice, str], default: Choice, key: str) -> Choice:
    """One of some options, side by side."""
    chosen: Choice = st.segmented_control(
        label, list(options), format_func=options.__getitem__, required=True, default=default, key=key
    )
    return chosen


def _still(assessed: Assessment) -> None:
    view = _switch(say.VIEW, say.VIEWS, "front", "export-view")
    size, ground = st.columns(2, gap="small")
    with size:
        times = _switch(say.SIZE, say.SIZES, 2, "export-size")
    with ground:
        laid = _switch(say.GROUND, say.GROUNDS, "white", "export-ground")
    with st.container(horizontal=True, key="export-with"):
        bar = st.checkbox(say.SCALE_BAR, key="export-bar", persist_state="session")
        lid = st.checkbox(say.LID_ON, key="export-lid", persist_state="session", disabled=view != "front")
        dry = st.checkbox(say.SHRUNK, key="export-dry", persist_state="session", disabled=view != "front")
    how = {"ground": laid, "bar": bar, "lid": lid and view == "front", "dry": dry and view == "front"}
    width, height = views.SIDES[view]
    st.download_button(
        say.PICTURE_FILE.format(width=width * times, height=height * times),
        data=lambda: views.still(assessed, view, times, **how)[0],
        file_name=f"{slug(assessed.design.name)}-{view}-{times}x.png",
        mime=PNG,
        on_click="ignore",
        key="export-png",
    )
    said = escape(pictures.describe(assessed, view))
    st.html(f'<p class="bl-small"><b>{escape(say.IN_WORDS)}</b> {said} {escape(say.VARY)}</p>')


def _strip(assessed: Assessment) -> None:
    st.download_button(
        say.SPREAD_FILE,
        data=lambda: encode(
            tone_strips.strip(assessed, STRIP_WIDTH), "png", tone_strips.strip_words(assessed)
        ),
        file_name=f"{slug(assessed.design.name)}-spread.png",
        mime=PNG,
        on_click="ignore",
        key="export-strip",
    )


def _turntable(assessed: Assessment, shelf: Shelf) -> None:
    key = (canonical(assessed.design), shelf.revisions)
    if st.button(say.TURNTABLE, key="export-turn", disabled=_turning.get(key) is not None):
        _turning.get_or_make(key, lambda: _turned(assessed))
    made = _turning.get(key)
    if made is None:
        parts.small(say.TURNS)
        return
    with st.container(key="export-turntable"):
        st.html(_animated(made, say.TURNS_ONCE.format(jar=pictures.describe(assessed))))
    st.download_button(
        say.TURNTABLE_FILE.format(size=len(made) / 1024),
        data=made,
        file_name=f"{slug(assessed.design.name)}-turntable.webp",
        mime=WEBP,
        on_click="ignore",
        key="export-webp",
    )


def _turned(assessed: Assessment) -> bytes:
    """The turntable, its progress shown while it is made."""
    told = st.progress(0.0, say.TURNED)

    def so_far(done: int, total: int) -> None:
        told.progress(done / total, say.TURNED_SO_FAR.format(done=done, total=total))

    made = views.turntable(assessed, so_far)
    told.empty()
    return made


def _animated(data: bytes, said: str) -> str:
    """An animated picture as it is: other ways of showing it would keep its first frame only."""
    held = base64.b64encode(data).decode()
    return f'<img src="data:image/webp;base64,{held}" width="280" height="360" alt="{escape(said)}">'


def ends() -> str:
    """A switch that shows every tone weak, likely or strong; gives which."""
    end: str = st.segmented_control(
        say.SHOW_TONES,
        list(say.ENDS),
        format_func=say.ENDS.__getitem__,
        required=True,
        default="likely",
        key="view-end",
        help=say.ENDS_HELP,
    )
    return end


def shifted(assessed: Assessment, end: str, px: tuple[int, int]) -> bytes:
    """The front view at one end of the spread, for the screen."""
    return encode(views.shifted(assessed, end, "front", px), "jpeg")


def line(name: str, card_ids: list[str]) -> None:
    """A line's jars in a row: looked at, taken away, in words. Called with cards that can be read."""
    there = state.stock()
    try:
        judged = [state.judged_card(card_id, there) for card_id in card_ids]
        drawn = jar_rows.row(judged, SHOWN_HEIGHT)
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    said = jar_rows.row_words(judged)
    with st.container(key="line-row"):
        st.image(drawn, output_format="PNG", width="stretch", alt=said)
    with st.container(horizontal=True):
        for ground, label in say.ROW_FILES.items():
            st.download_button(
                label,
                data=partial(_row, judged, ground, said),
                file_name=f"{slug(name)}-{ground}.png",
                mime=PNG,
                on_click="ignore",
                type="tertiary",
                key=f"row-{ground}",
            )


def _row(judged: list[Assessment], ground: str, said: str) -> bytes:
    return encode(jar_rows.row(judged, ROW_HEIGHT, ground=ground), "png", said)
