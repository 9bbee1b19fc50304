"""A jar on the Shelf: its measures, and its contact with what is in it, fitted from a photo."""

from __future__ import annotations

import streamlit as st

from blendlab import jar as jar_room
from blendlab import photo
from blendlab.errors import BlendlabError
from blendlab.forms import jars
from blendlab.shelf import Jar
from blendlab.ui import colours, jar_form, memo, mishap, parts, shelf_forms, state
from blendlab.ui.words import jars as say

LITTLE_REACH_PCT = 10
"""Below it a tone changes too little behind a wall to tell much; common practice."""
PLACES = {"top": ((40, 60), (12, 22)), "wall": ((40, 60), (45, 70))}
"""Mark on a photo -> where it lies at first across and down, percent."""


def detail(glass: Jar) -> None:
    """One jar of the shelf: its picture, its measures, its contact with what is in it."""
    jar_form.draw(glass)
    parts.rows(_rows(glass))
    shelf_forms.change(glass, say.AGAIN)
    contact(glass)


def _rows(glass: Jar) -> list[tuple[str, str]]:
    water, wetted = "", say.NOT_FITTED
    if glass.water_g is not None:
        water = say.WATER_SAYS.format(grams=glass.water_g, factor=jar_room.scale_factor(glass))
    if glass.wall_contact is not None:
        wetted = say.WETTED.format(pct=100 * glass.wall_contact)
    return [
        (say.NOMINAL, say.ML.format(ml=glass.nominal_ml)),
        (say.TO_THE_RIM, say.ML.format(ml=jars.brim_ml(glass))),
        (say.WATER_WEIGHED, water),
        (say.WIDTHS, say.WIDTHS_MM.format(outer=glass.outer_mm, inner=glass.inner_mm)),
        (say.HEIGHT, say.HEIGHT_MM.format(height=glass.height_mm, bottom=glass.base_mm)),
        (say.SHAPE, _shape(glass)),
        (say.CORNER, say.MM.format(mm=glass.corner_mm) if glass.corner_mm else say.NO_CORNER),
        (say.HEADSPACE, say.MM.format(mm=glass.headspace_mm)),
        (say.WALL, say.MATERIALS[glass.material]),
        (say.LID, say.LID_MM.format(lid=say.LIDS[glass.lid], mm=glass.lid_inner_mm)),
        (say.CONTACT, wetted),
        (say.KNOWN_FROM, glass.basis),
    ]


def _shape(glass: Jar) -> str:
    if glass.shoulder_mm:
        return say.HAS_SHOULDER.format(radius=glass.shoulder_mm, neck=glass.neck_mm)
    if glass.bottom_inner_mm is not None:
        return say.IS_TAPERED.format(bottom=glass.bottom_inner_mm)
    return say.IS_STRAIGHT


def contact(glass: Jar) -> None:
    """Fit the contact of a jar from a photo of it, with a tone of the design at work in it."""
    parts.heading(say.CONTACT)
    parts.small(say.CONTACT_WHY)
    upload = parts.chosen_file(say.PHOTO.format(name=glass.name), colours.PICTURES, f"contact-{glass.id}", 20)
    if upload is None:
        return
    assessed = state.assessed()
    tones = {judged.tone.id: judged.tone.name for judged in assessed.tones}
    tone = parts.one_of(say.TONE, tones, f"contact-tone-{glass.id}")
    top, wall = (colours.box(f"contact-{name}-{glass.id}", say.MARKS[name], *PLACES[name]) for name in PLACES)
    drawn = {say.DRAWN_MARKS["top"]: top, say.DRAWN_MARKS["wall"]: wall}
    try:
        picture = photo.open_picture(upload.getvalue())
        st.image(photo.outlined(picture, drawn), width="stretch", alt=say.BOTH_MARKS)
        found = jars.contact_on_photo(assessed, upload.getvalue(), {tone: (top, wall)})
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    parts.small(_fitted(found))
    st.button(
        say.TAKE.format(pct=100 * found.wall_contact),
        key=f"contact-take-{glass.id}",
        on_click=_take_contact,
        args=(glass.id, found.wall_contact),
    )


def _fitted(found: jar_room.Contact) -> str:
    said = [say.FITTED.format(pct=100 * found.wall_contact, misfit=found.misfit_pct)]
    if not 0 <= found.raw <= 1:
        said.append(say.BEYOND.format(pct=100 * found.raw))
    if found.reach_pct < LITTLE_REACH_PCT:
        said.append(say.HARDLY)
    return " ".join(said)


@mishap.answered
def _take_contact(glass_id: str, share: float) -> None:
    glass = memo.on_shelf(Jar, glass_id)
    jars.with_contact(state.folder(), glass, share)
    parts.tell(say.TAKEN.format(name=glass.name, pct=100 * share))
