"""Pictures to take away: stills, with or without a ground or a lid; the turntable; a row of a line."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.assess import Assessment, assess
from blendlab.codec import canonical
from blendlab.errors import BlendlabError
from blendlab.jar import encode
from blendlab.recipe import slug
from blendlab.shelf import Shelf
from blendlab.show import jar_rows, pictures, tone_strips, views
from blendlab.ui import memo, parts, state

VIEWS = {"front": "Front", "wall": "Wall, rolled out", "above": "From above", "cut": "Cut open"}
SIZES = {1: "1x", 2: "2x", 3: "3x"}
GROUNDS = {"panel": "grey", "white": "white", "none": "transparent"}
ENDS = {"likely": "Likely", "weak": "Weak", "strong": "Strong"}
VARY = "Hand-made: colours vary a little from jar to jar."
DRY = "Shrunk from the wall, a film of air between"
TURNTABLE = "Make the turntable"
TURNS = "24 pictures, 3 seconds a turn."

_turning = memo.Kept[bytes](4)


def block(assessed: Assessment) -> None:
    """Everything to take away of the design at work, folded until it is opened."""
    if assessed.layout is None:
        return
    with st.expander("Pictures to take away", key="export", on_change="rerun") as opened:
        if not opened.open:
            return
        shelf = state.shelf()
        _still(assessed, shelf)
        _strip(assessed)
        _turntable(assessed, shelf)


def _still(assessed: Assessment, shelf: Shelf) -> None:
    view = st.segmented_control(
        "View", list(VIEWS), format_func=VIEWS.__getitem__, required=True, default="front", key="export-view"
    )
    size, ground = st.columns(2, gap="small")
    with size:
        times = st.segmented_control(
            "Size", list(SIZES), format_func=SIZES.__getitem__, required=True, default=2, key="export-size"
        )
    with ground:
        laid = st.segmented_control(
            "Ground",
            list(GROUNDS),
            format_func=GROUNDS.__getitem__,
            required=True,
            default="white",
            key="export-ground",
        )
    with st.container(horizontal=True, key="export-with"):
        bar = st.checkbox("Scale bar", key="export-bar")
        lid = st.checkbox("Lid on", key="export-lid", disabled=view != "front")
        dry = st.checkbox(DRY, key="export-dry", disabled=view != "front")
    how = {"ground": laid, "bar": bar, "lid": lid and view == "front", "dry": dry and view == "front"}
    width, height = views.SIDES[view]
    st.download_button(
        f"Picture, {width * times} x {height * times} (PNG)",
        data=lambda: views.still(assessed, shelf, view, times, **how)[0],
        file_name=f"{slug(assessed.design.name)}-{view}-{times}x.png",
        mime="image/png",
        on_click="ignore",
        key="export-png",
    )
    st.html(
        f'<p class="bl-small"><b>In words:</b> {escape(pictures.describe(assessed, shelf, view))} {VARY}</p>'
    )


def _strip(assessed: Assessment) -> None:
    st.download_button(
        "Weak, likely, strong (PNG)",
        data=lambda: encode(tone_strips.strip(assessed, 1400), "png", tone_strips.strip_words(assessed)),
        file_name=f"{slug(assessed.design.name)}-spread.png",
        mime="image/png",
        on_click="ignore",
        key="export-strip",
    )


def _turntable(assessed: Assessment, shelf: Shelf) -> None:
    key = (canonical(assessed.design), tuple(item.ref.key for item in shelf.embedded))
    if st.button(TURNTABLE, key="export-turn", disabled=_turning.get(key) is not None):
        told = st.progress(0.0, "Turning the jar")
        _turning.get_or_make(
            key,
            lambda: views.turntable(
                assessed, shelf, lambda done, all_: told.progress(done / all_, f"{done} of {all_} pictures")
            ),
        )
        told.empty()
    made = _turning.get(key)
    if made is None:
        parts.small(TURNS)
        return
    said = f"{pictures.describe(assessed, shelf)} The jar turns once in 3 seconds."
    with st.container(key="export-turntable"):
        st.html(_animated(made, said))
    st.download_button(
        f"Turntable, {len(made) / 1024:.0f} KiB (WebP)",
        data=made,
        file_name=f"{slug(assessed.design.name)}-turntable.webp",
        mime="image/webp",
        on_click="ignore",
        key="export-webp",
    )


def _animated(data: bytes, said: str) -> str:
    """An animated picture as it is: other ways of showing it would keep its first frame only."""
    import base64

    held = base64.b64encode(data).decode()
    return f'<img src="data:image/webp;base64,{held}" width="280" height="360" alt="{escape(said)}">'


def ends(assessed: Assessment) -> str:
    """A switch that shows every tone weak, likely or strong; gives which."""
    return st.segmented_control(
        "Show the tones",
        list(ENDS),
        format_func=ENDS.__getitem__,
        required=True,
        default="likely",
        key="view-end",
        help="The real colours lie between weak and strong four times out of five.",
    )


def shifted(assessed: Assessment, end: str, px: tuple[int, int]) -> bytes:
    """The front view at one end of the spread, for the screen."""
    return encode(views.shifted(assessed, state.shelf(), end, "front", px), "jpeg")


def line(name: str, card_ids: list[str]) -> None:
    """A line's jars in a row: looked at, taken away, in words. Called with cards that can be read."""
    try:
        judged = [opened(state.folder(), card_id) for card_id in card_ids]
        drawn = jar_rows.row(judged, 420)
    except BlendlabError as problem:
        st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
        return
    said = jar_rows.row_words(judged)
    with st.container(key="line-row"):
        st.image(drawn, output_format="PNG", width="stretch", alt=said)
    with st.container(horizontal=True):
        for word, ground in (("Row (PNG)", "white"), ("Row, transparent (PNG)", "none")):
            st.download_button(
                word,
                data=lambda ground=ground: encode(jar_rows.row(judged, 900, ground=ground), "png", said),
                file_name=f"{slug(name)}-{ground}.png",
                mime="image/png",
                on_click="ignore",
                type="tertiary",
                key=f"row-{ground}",
            )


def opened(folder: store.Folder, card_id: str) -> tuple[Assessment, Shelf]:
    """A saved card judged today on the revisions it carries."""
    card = store.open_card(folder, card_id).card
    shelf = memo.shelf().carrying(card.embedded)
    return assess(card.design, shelf, state.today()), shelf
