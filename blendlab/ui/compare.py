"""Compare: two to four designs in one light, and the predicted jar against a photo of the real one."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import photo, recipe, store
from blendlab.assess import Assessment
from blendlab.errors import BlendlabError
from blendlab.shelf import Shelf
from blendlab.show import comparison, jar_rows, photo_halves, pictures
from blendlab.ui import export, jars, memo, parts, state

BENCH, BEFORE = "on the bench", "before the last change"
MOST = 4
HEIGHT = 760
SAME = "Nothing is different but the name."
LIGHT = "All in the lamp, the eye and the turn of the first, at one scale."
REAL = "The real jar"
MARK = "Mark the jar on the photo by its sides, its rim and its foot; a grey card gives the light."
NO_CARD = (
    "No grey card: the photo keeps its own light, so compare shapes and differences, not single colours."
)

LEFT = "text-align:left;white-space:normal;vertical-align:top"

Judged = tuple[Assessment, Shelf]


def page(ids: list[str]) -> None:
    """Two to four of: card ids, "on the bench", "before the last change"."""
    found = _judged(ids)
    names, judged = [name for name, _ in found], [one for _, one in found]
    if len(judged) < 2:
        parts.small("Choose two to four cards to compare.")
        return
    drawn = jar_rows.side_by_side(judged, HEIGHT)
    with st.container(key="compare-panel"):
        st.image(drawn, output_format="PNG", width="stretch", alt=jar_rows.row_words(judged))
    parts.small(LIGHT)
    _table(judged, names)
    apart = [f"{names}: Delta E {delta_e:.1f}" for names, delta_e in comparison.closest_tones(judged, names)]
    parts.small(" · ".join(apart))


def choose(known: dict[str, str], first: list[str]) -> list[str]:
    """A choice of two to four cards out of id -> name; the design at work can be one of them."""
    options = {**known, BENCH: BENCH, **({BEFORE: BEFORE} if st.session_state.past else {})}
    return st.multiselect(
        "Compare",
        list(options),
        default=[one for one in first if one in options],
        format_func=options.__getitem__,
        max_selections=MOST,
        key="compare-ids",
    )


def with_before(assessed: Assessment) -> None:
    """The design at work beside what it was before the last change; for Look."""
    if st.session_state.past and assessed.layout is not None:
        page([BEFORE, BENCH])


def _judged(ids: list[str]) -> list[tuple[str, Judged]]:
    found = []
    for one in ids[:MOST]:
        try:
            judged = _one(one)
            pictures.drawable(judged[0])
        except BlendlabError as problem:
            st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
            continue
        name = one if one in (BENCH, BEFORE) else judged[0].design.name
        found.append((name, judged))
    return found


def _one(which: str) -> Judged:
    if which == BENCH:
        return state.assessed(), state.shelf()
    if which == BEFORE:
        before = recipe.from_dict(st.session_state.past[-1]["design"])
        return memo.assessment(before, state.shelf(), state.today()), state.shelf()
    return export.opened(state.folder(), which)


def _table(judged: list[Judged], names: list[str]) -> None:
    rows = comparison.differences(judged)
    if not rows:
        parts.small(SAME)
        return
    head = "".join(f"<th scope='col' style='{LEFT}'>{escape(name)}</th>" for name in names)
    body = "".join(
        f"<tr><th scope='row'>{escape(name)}</th>"
        + "".join(f"<td style='{LEFT}'>{escape(value)}</td>" for value in values)
        + "</tr>"
        for name, values in rows
    )
    st.html(
        f'<div class="bl-scroll"><table class="bl-table bl-compare"><caption>What is different</caption>'
        f"<thead><tr><th></th>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def photo_of(assessed: Assessment) -> None:
    """A wipe between the predicted jar and a photo of the real one."""
    if assessed.layout is None:
        return
    parts.heading(REAL)
    upload = st.file_uploader(
        "Photo of the real jar", type=["jpg", "jpeg", "png", "webp"], key="real-photo", max_upload_size=20
    )
    if upload is None:
        return
    parts.small(MARK)
    marked = jars.box("real-jar", "Jar", (20, 80), (15, 90))
    has_card = st.checkbox("A grey card is in the photo", key="real-has-card")
    card = jars.box("real-card", "Grey card", (2, 14), (40, 60)) if has_card else None
    share = st.slider("Predicted left of the line, photo right", 0, 100, 50, key="real-wipe", format="%d %%")
    try:
        shown = photo.open_picture(upload.getvalue())
        marks = {"jar": marked, **({"grey card": card} if card else {})}
        drawn = photo_halves.beside_photo(
            assessed, state.shelf(), upload.getvalue(), marked, share / 100, card
        )
        outlined = photo.outlined(shown, marks)
    except BlendlabError as problem:
        st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
        return
    with st.container(key="real-panel"):
        said = f"Left {share} %: {pictures.describe(assessed, state.shelf())} Right of it the photo."
        st.image(drawn, output_format="PNG", width="stretch", alt=said)
    if card is None:
        parts.small(NO_CARD)
    with st.expander("The marks", key="real-marks"):
        st.image(outlined, width=420, alt="The photo with the marks on it")


def known_cards() -> dict[str, str]:
    """Card id -> name of every card that can be read."""
    return {one.card_id: one.name for one in store.listing(state.folder()) if not one.damaged}
