"""Compare: two to four designs in one light, and the predicted jar against a photo of the real one."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab import photo, store
from blendlab.assess import Assessment
from blendlab.errors import BlendlabError
from blendlab.show import comparison, jar_rows, photo_halves, pictures
from blendlab.ui import colours, memo, parts, state, words
from blendlab.ui.words import look as say

BENCH, BEFORE = "*bench", "*before"
NAMES = {BENCH: say.BENCH, BEFORE: say.BEFORE}
MOST = 4
HEIGHT = 760
LEFT = "text-align:left;white-space:normal;vertical-align:top"


def page(ids: list[str]) -> None:
    """Two to four of: card ids, the design on the bench, what it was before the last change."""
    found = _judged(ids)
    if len(found) < 2:
        parts.small(say.CHOOSE_CARDS)
        return
    names, judged = [name for name, _ in found], [design for _, design in found]
    drawn = jar_rows.side_by_side(judged, HEIGHT)
    with st.container(key="compare-panel"):
        st.image(drawn, output_format="PNG", width="stretch", alt=jar_rows.row_words(judged))
    parts.small(say.ONE_LIGHT)
    _table(judged, names)
    apart = [
        say.APART.format(tones=tones, delta_e=delta_e)
        for tones, delta_e in comparison.closest_tones(judged, names)
    ]
    parts.small(" · ".join(apart))


def choose(known: dict[str, str], first: list[str]) -> list[str]:
    """A choice of two to four cards out of id -> name; the design at work can be one of them."""
    at_work = NAMES if _before() else {BENCH: say.BENCH}
    options = parts.apart({**known, **at_work})
    chosen: list[str] = st.multiselect(
        say.COMPARE,
        list(options),
        default=[card_id for card_id in first if card_id in options],
        format_func=options.__getitem__,
        max_selections=MOST,
        key="compare-ids",
    )
    return chosen


def with_before(assessed: Assessment) -> None:
    """The design at work beside what it was before the last change; for Look."""
    if _before() and assessed.layout is not None:
        page([BEFORE, BENCH])


def _before() -> dict[str, Any] | None:
    """The design before the last change; none where that could not be drawn and was stepped back from."""
    past = st.session_state.past
    return past[-1] if past and past[-1]["word"] != words.UNDO_STEP_BACK else None


def _judged(ids: list[str]) -> list[tuple[str, Assessment]]:
    found = []
    for which in ids[:MOST]:
        try:
            judged = _opened(which)
            pictures.drawable(judged)
        except BlendlabError as problem:
            parts.alert(str(problem))
            continue
        found.append((NAMES.get(which, judged.design.name), judged))
    return found


def _opened(which: str) -> Assessment:
    if which == BENCH:
        return state.assessed()
    if which == BEFORE and (before := _before()):
        shelf = memo.carried(before["embedded"])
        return state.judged(memo.design(before["design"]), shelf)
    return state.judged_card(which, state.stock())


def _table(judged: list[Assessment], names: list[str]) -> None:
    rows = comparison.differences(judged)
    if not rows:
        parts.small(say.NO_DIFFERENCE)
        return
    head = "".join(f"<th scope='col' style='{LEFT}'>{escape(name)}</th>" for name in names)
    body = "".join(
        f"<tr><th scope='row'>{escape(name)}</th>"
        + "".join(f"<td style='{LEFT}'>{escape(value)}</td>" for value in values)
        + "</tr>"
        for name, values in rows
    )
    caption = f"<caption>{escape(say.DIFFERENT)}</caption>"
    st.html(
        f'<div class="bl-scroll"><table class="bl-table bl-compare">{caption}'
        f"<thead><tr><th></th>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def photo_of(assessed: Assessment) -> None:
    """A wipe between the predicted jar and a photo of the real one."""
    if assessed.layout is None:
        return
    parts.heading(say.REAL_JAR)
    upload = parts.chosen_file(say.REAL_PHOTO, colours.PICTURES, "real-photo", 20)
    if upload is None:
        return
    parts.small(say.MARK_JAR)
    marked = colours.box("real-jar", say.JAR, (20, 80), (15, 90))
    has_card = st.checkbox(say.HAS_GREY_CARD, key="real-has-card", persist_state="session")
    card = colours.box("real-card", say.GREY_CARD, (2, 14), (40, 60)) if has_card else None
    share = st.slider(say.WIPE, 0, 100, 50, key="real-wipe", format="%d %%")
    try:
        _wipe(assessed, upload.getvalue(), marked, card, share)
    except BlendlabError as problem:
        parts.alert(str(problem))


def _wipe(assessed: Assessment, data: bytes, marked: photo.Box, card: photo.Box | None, share: int) -> None:
    """The jar left of a line at `share` percent, the photo right of it; raises BlendlabError."""
    marks = {say.JAR_MARK: marked, **({say.GREY_CARD_MARK: card} if card else {})}
    drawn = photo_halves.beside_photo(assessed, data, marked, share / 100, card)
    outlined = photo.outlined(photo.open_picture(data), marks)
    with st.container(key="real-panel"):
        said = say.WIPED.format(pct=share, jar=pictures.describe(assessed))
        st.image(drawn, output_format="PNG", width="stretch", alt=said)
    if card is None:
        parts.small(say.NO_GREY_CARD)
    with st.expander(say.THE_MARKS, key="real-marks"):
        st.image(outlined, width=420, alt=say.MARKED)


def known_cards() -> dict[str, str]:
    """Card id -> name of every card that can be read."""
    return {entry.card_id: entry.name for entry in store.listing(state.folder()) if not entry.damaged}
