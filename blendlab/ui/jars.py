"""Jars of her own on the Shelf: measured, filled with water, looked at, fitted from a photo."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab import jar as jars
from blendlab import photo
from blendlab.codec import canonical
from blendlab.errors import BlendlabError
from blendlab.forms import jars as glasses
from blendlab.forms import on_shelf
from blendlab.shelf import Jar
from blendlab.show import shelf_pictures
from blendlab.ui import memo, parts, state

FORM = "glass-"
ADD = "Add a jar"
MATERIALS = {
    "glass": "glass",
    "polyester": "clear polyester",
    "acrylic": "acrylic",
    "polystyrene": "polystyrene",
    "polypropylene": "polypropylene, hazy",
}
SHAPES = {"straight": "Straight", "taper": "Tapered", "shoulder": "With a shoulder"}
LIDS = {"flat": "flat", "domed": "domed, clear"}
UNITS = {"ml": "ml", "fl oz": "fl oz"}
SCOPE = "Round clear jars only: frosted, tinted, faceted and square ones are not drawn."
WATER = (
    "Fill it to the brim with water on the scale: 1 g is 1 ml. Volumes then follow the water, whatever the "
    "caliper says."
)
CONTACT = (
    "Where foam lies wet on the wall a tone looks deeper than in the open. One photo of her jar tells how "
    "far: the open top and the wall of the same tone, in the same light."
)
NOT_FITTED = "not known; walls are drawn like the open surface"

_plain = memo.Kept(24)


def form(old: Jar | None = None) -> None:
    """Measure a jar: caliper, water, shape, lid; `old` is measured again."""
    parts.heading(f"Measure {old.name}" if old else ADD)
    _begin(old)
    st.text_input("Name", key=f"{FORM}name", max_chars=80, placeholder="120 ml from the glassworks")
    sold, unit = st.columns([2, 1], gap="small", wrap=False)
    sold.text_input("Sold as", key=f"{FORM}nominal", placeholder="120")
    unit.selectbox("Unit", list(UNITS), format_func=UNITS.__getitem__, key=f"{FORM}unit")
    shape = st.segmented_control(
        "Shape",
        list(SHAPES),
        format_func=SHAPES.__getitem__,
        required=True,
        key=f"{FORM}shape",
        width="stretch",
    )
    _measures(
        ("outer", "Outside diameter, mm", "71"),
        ("inner", "Inside diameter, mm", "67,5"),
        ("height", "Inside height, mm", "37"),
    )
    if shape == "taper":
        _measures(("bottom", "Inside diameter at the bottom, mm", "60"))
    if shape == "shoulder":
        _measures(("shoulder", "Radius of the shoulder, mm", "6"), ("neck", "Height of the neck, mm", "9"))
    _measures(
        ("water", "Water to the brim, g", "132"), ("base", "Bottom, mm", "3"), ("corner", "Corner, mm", "0")
    )
    parts.small(WATER)
    made_of, lid = st.columns(2, gap="small")
    made_of.selectbox("Wall", list(MATERIALS), format_func=MATERIALS.__getitem__, key=f"{FORM}material")
    lid.selectbox("Lid", list(LIDS), format_func=LIDS.__getitem__, key=f"{FORM}lid")
    _measures(("lid_inner", "Height inside the lid, mm", "6"), ("headspace", "Headspace, mm", "4"))
    parts.small(SCOPE)
    for one in st.session_state.get(f"{FORM}answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    _preview(old)
    with st.container(horizontal=True):
        st.button("Put on the shelf", type="primary", key="put-jar", on_click=_put, args=(old,))
        st.button("Leave", type="tertiary", key="leave-jar", on_click=_leave)


def _begin(old: Jar | None) -> None:
    """Show the measures of a jar that is measured again, once."""
    ss = st.session_state
    key = old.ref.key if old else "new"
    if ss.get(f"{FORM}for") == key:
        return
    _forget()
    ss[f"{FORM}for"] = key
    ss[f"{FORM}shape"], ss[f"{FORM}material"] = "straight", "glass"
    if old is None:
        return
    ss[f"{FORM}shape"] = (
        "shoulder" if old.shoulder_mm else "taper" if old.bottom_inner_mm is not None else "straight"
    )
    ss[f"{FORM}name"], ss[f"{FORM}material"], ss[f"{FORM}lid"] = old.name, old.material, old.lid
    shown = {
        "nominal": old.nominal_ml, "outer": old.outer_mm, "inner": old.inner_mm, "height": old.height_mm,
        "water": old.water_g, "base": old.base_mm, "corner": old.corner_mm, "headspace": old.headspace_mm,
        "lid_inner": old.lid_inner_mm, "bottom": old.bottom_inner_mm, "shoulder": old.shoulder_mm,
        "neck": old.neck_mm,
    }  # fmt: skip
    for name, value in shown.items():
        if value is not None:
            ss[f"{FORM}{name}"] = f"{round(value, 2):g}"


def _measures(*fields: tuple[str, str, str]) -> None:
    for column, (name, label, example) in zip(st.columns(len(fields), gap="small"), fields, strict=True):
        column.text_input(label, key=f"{FORM}{name}", placeholder=example)


def _typed() -> dict[str, Any]:
    ss = st.session_state
    return {key.removeprefix(FORM): ss[key] for key in ss if isinstance(key, str) and key.startswith(FORM)}


def _preview(old: Jar | None) -> None:
    """The jar as it is measured so far, and what water and caliper say of each other."""
    typed = _typed()
    if not typed.get("height"):
        return
    made, _, told = glasses.made(memo.shelf(), {**typed, "name": typed.get("name") or "this jar"}, old)
    if made is not None:
        _drawn(made)
        for one in told:
            parts.small(one)


def _drawn(glass: Jar) -> None:
    picture, said = _plain.get_or_make(canonical(glass), lambda: shelf_pictures.plain_jar(glass))
    with st.container(key=f"plain-{glass.id}"):
        st.image(picture, width=320, output_format="PNG", alt=said)


def _put(old: Jar | None) -> None:
    ss = st.session_state
    made, answers, told = glasses.made(memo.shelf(), _typed(), old)
    if made is None:
        ss[f"{FORM}answers"] = answers
        return
    try:
        on_shelf.put(state.folder(), made, new=old is None)
    except BlendlabError as problem:
        ss[f"{FORM}answers"] = [str(problem)]
        return
    _leave()
    ss.thing = made.id
    ss.said = {"text": " ".join([f"{made.name} is on the shelf.", *told]), "fresh": False}


def _leave() -> None:
    st.session_state.adding = None
    _forget()


def _forget() -> None:
    for key in [one for one in st.session_state if isinstance(one, str) and one.startswith(FORM)]:
        del st.session_state[key]


def detail(glass: Jar) -> None:
    """One jar of the shelf: its picture, its measures, its contact with what is in it."""
    _drawn(glass)
    factor = jars.scale_factor(glass)
    nominal = f"{glass.nominal_ml:.0f} ml"
    shape = "straight"
    if glass.shoulder_mm:
        shape = f"shoulder of {glass.shoulder_mm:g} mm, neck {glass.neck_mm:g} mm high"
    elif glass.bottom_inner_mm is not None:
        shape = f"tapered, {glass.bottom_inner_mm:g} mm inside at the bottom"
    parts.rows(
        [
            ("Sold as", nominal),
            ("Takes to the rim", f"{glasses.brim_ml(glass):.0f} ml"),
            (
                "Water weighed",
                "" if glass.water_g is None else f"{glass.water_g:g} g, {factor:.3f} of the measures",
            ),
            ("Outside, inside", f"{glass.outer_mm:g} mm, {glass.inner_mm:g} mm"),
            ("Inside height", f"{glass.height_mm:g} mm, bottom {glass.base_mm:g} mm thick"),
            ("Shape", shape),
            ("Corner", f"{glass.corner_mm:g} mm" if glass.corner_mm else "none measured"),
            ("Headspace", f"{glass.headspace_mm:g} mm"),
            ("Wall", MATERIALS[glass.material]),
            ("Lid", f"{LIDS[glass.lid]}, {glass.lid_inner_mm:g} mm inside"),
            ("Contact with the wall", _contact_words(glass)),
            ("Known from", glass.basis),
        ]
    )
    st.button(
        "Measure it again", key=f"measure-{glass.id}", type="tertiary", on_click=_measure, args=(glass.id,)
    )
    contact(glass)


def _contact_words(glass: Jar) -> str:
    return NOT_FITTED if glass.wall_contact is None else f"{100 * glass.wall_contact:.0f} % of it wetted"


def _measure(glass_id: str) -> None:
    _forget()
    st.session_state.adding = f"jar:{glass_id}"


def form_open(glass: Jar | None) -> bool:
    """Whether the form is open for a new jar (None) or for this one."""
    adding = st.session_state.get("adding")
    return adding == ("jar" if glass is None else f"jar:{glass.id}")


def contact(glass: Jar) -> None:
    """Fit the contact of a jar from a photo of it, with a tone of the design at work in it."""
    parts.heading("Contact with the wall")
    parts.small(CONTACT)
    upload = st.file_uploader(
        f"Photo of {glass.name}",
        type=["jpg", "jpeg", "png", "webp"],
        key=f"contact-{glass.id}",
        max_upload_size=20,
    )
    if upload is None:
        return
    assessed = state.assessed()
    tones = {each.tone.id: each.tone.name for each in assessed.tones}
    tone = st.selectbox(
        "Tone in the photo", list(tones), format_func=tones.__getitem__, key=f"contact-tone-{glass.id}"
    )
    top = box(f"contact-top-{glass.id}", "Open top", (40, 60), (12, 22))
    wall = box(f"contact-wall-{glass.id}", "Wall", (40, 60), (45, 70))
    try:
        shown = photo.open_picture(upload.getvalue())
        st.image(
            photo.outlined(shown, {"open top": top, "wall": wall}),
            width="stretch",
            alt="The photo with both marks",
        )
        found = glasses.contact_on_photo(assessed, upload.getvalue(), {tone: (top, wall)})
    except BlendlabError as problem:
        st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
        return
    parts.small(_fitted(found))
    st.button(
        f"Take {100 * found.wall_contact:.0f} % →",
        key=f"contact-take-{glass.id}",
        on_click=_take_contact,
        args=(glass.id, found.wall_contact),
    )


def _fitted(found: jars.Contact) -> str:
    said = f"{100 * found.wall_contact:.0f} % of the wall is wetted; "
    said += f"the fit misses by {found.misfit_pct:.0f} % of the light."
    if not 0 <= found.raw <= 1:
        said += f" The photo alone says {100 * found.raw:.0f} %: look for a shadow or a reflection in a mark."
    if found.reach_pct < 10:
        said += " This tone hardly changes behind a wall; a deeper one tells more."
    return said


def _take_contact(glass_id: str, value: float) -> None:
    glass = memo.shelf().today("jar", glass_id)
    try:
        glasses.with_contact(state.folder(), glass, value)
    except BlendlabError as problem:
        st.session_state.said = {"text": str(problem), "fresh": False}
        return
    st.session_state.said = {"text": f"{glass.name}: {100 * value:.0f} % of the wall wetted.", "fresh": False}


def box(key: str, name: str, across: tuple[int, int], down: tuple[int, int]) -> photo.Box:
    """A rectangle on a photo, by two sliders in percent of its width and height."""
    left, right = st.columns(2, gap="small", wrap=False)
    x = left.slider(f"{name}, across", 0, 100, across, key=f"{key}-x", format="%d %%")
    y = right.slider(f"{name}, down", 0, 100, down, key=f"{key}-y", format="%d %%")
    return photo.Box(
        min(x[0], 99) / 100, min(y[0], 99) / 100, max(x[1] - x[0], 1) / 100, max(y[1] - y[0], 1) / 100
    )
