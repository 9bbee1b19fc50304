"""The two forms of the Shelf: a pigment, an oil."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Any

import streamlit as st

from blendlab import units
from blendlab.codec import encode
from blendlab.errors import BlendlabError
from blendlab.shelf import PIGMENT_CLASSES, Item, Oil
from blendlab.studio import adding
from blendlab.ui import memo, parts, state, words

WAYS = {"mix": "A mix of pigments", "colour": "A colour", "picture": "A picture"}
MOST_PARTS = 3


def pigment() -> None:
    """Add a pigment: its name, what it is made of or what a swatch of it looks like."""
    parts.heading("Add a pigment")
    st.text_input("Name", key="new-name", max_chars=80)
    st.selectbox(
        "What it is",
        [one for one in PIGMENT_CLASSES],
        format_func=words.GROUPS.__getitem__,
        key="new-group",
        index=4,
    )
    way = st.segmented_control(
        "Known from",
        list(WAYS),
        format_func=WAYS.__getitem__,
        required=True,
        default="mix",
        key="new-way",
        width="stretch",
    )
    if way == "mix":
        _parts()
    else:
        st.text_input("Colour index numbers of its sheet", key="new-ci", placeholder="77019, 77491")
        if way == "colour":
            _colour()
        else:
            _picture()
        st.text_input("Percent of pigment in that swatch", key="new-pct", placeholder="0.3")
        parts.small(
            "From a screen colour or a plain picture this is an estimate: hue roughly, strength loosely."
        )
    st.text_input(
        "Highest use, percent of the finished portion",
        key="new-cap",
        placeholder="from its sheet; 2 for a mica",
    )
    _answers("pigment")
    _put("pigment", adding.add_pigment)


def _parts() -> None:
    options = {"": "none", **{one.id: one.name for one in memo.shelf().of("pigment")}}
    for position in range(MOST_PARTS):
        which, share = st.columns([3, 1.2], gap="small", wrap=False)
        which.selectbox(
            f"Part {position + 1}", list(options), format_func=options.__getitem__, key=f"new-part-{position}"
        )
        share.text_input("Percent", key=f"new-share-{position}", placeholder="95" if position == 0 else "5")
    parts.small(
        "A dyed mica: white mica 95 %, and the lake or oxide on it 5 %. Its sheet names the colour index numbers."
    )


def _colour() -> None:
    picked, typed = st.columns([1, 2], gap="small", wrap=False, vertical_alignment="bottom")
    picked.color_picker("Colour", "#C8A27A", key="new-picked", on_change=_picked)
    typed.text_input("Hex of a swatch in the white base", key="new-hex", placeholder="#c8a27a")


def _picked() -> None:
    st.session_state["new-hex"] = st.session_state["new-picked"]


def _picture() -> None:
    upload = st.file_uploader(
        "Picture of one swatch, filling the middle",
        type=["jpg", "jpeg", "png", "webp"],
        key="new-picture",
        max_upload_size=20,
    )
    if upload is None:
        return
    try:
        found = adding.picture_colour(upload.getvalue())
    except BlendlabError as problem:
        st.html(f'<p class="bl-bad" role="alert">{escape(str(problem))}</p>')
        return
    st.session_state["new-hex"] = found.hex
    st.html(parts.swatch("middle of the picture", found.hex, found.hex, found.hex, None))
    parts.small(f"Middle of the picture: {found.hex}. {found.note}")


def oil() -> None:
    """Add an oil: its name and what its supplier's sheet says."""
    parts.heading("Add an oil")
    st.text_input("Name", key="new-name", max_chars=80)
    kind, library = st.columns(2, gap="small")
    kind.selectbox(
        "What it is", list(words.OIL_GROUPS), format_func=words.OIL_GROUPS.__getitem__, key="new-group"
    )
    known = {"": "not in the library", **adding.library_names()}
    library.selectbox("Plant it comes from", list(known), format_func=known.__getitem__, key="new-library")
    amendment, issued, received = st.columns(3, gap="small")
    amendment.text_input("Amendment of its sheet", key="new-amendment", placeholder="51")
    issued.text_input("Sheet issued", key="new-issued", placeholder="2026-02-14")
    received.text_input("Oil received", key="new-received", placeholder="2026-03-01")
    limits, declared = st.columns(2, gap="small")
    limits.text_area(
        "Highest percent by category", key="new-limits", height=130, placeholder="5A 1,2\n9 4.6\n12 100"
    )
    declared.text_area(
        "Declared allergens",
        key="new-declared",
        height=130,
        placeholder="Linalool 12,5\n106-24-1 0.8\nCoumarin <0.01",
    )
    unit, names = st.columns(2, gap="small")
    unit.selectbox(
        "Declared figures are", ["%", "ppm"], key="new-unit", format_func=lambda one: f"{one} of the oil"
    )
    names.selectbox(
        "Declared by", ["new81", "old26"], key="new-names", format_func=adding.LIST_NAMES.__getitem__
    )
    st.checkbox("Every name of that list was looked for", key="new-complete")
    flash, vanillin, lot, expiry = st.columns(4, gap="small")
    flash.text_input("Flash point, C", key="new-flash")
    vanillin.text_input("Vanillin, %", key="new-vanillin")
    lot.text_input("Lot", key="new-lot", max_chars=40)
    expiry.text_input("Use by", key="new-expiry", placeholder="2027-12-01")
    top, middle, base = st.columns(3, gap="small")
    top.text_input("Top note, %", key="new-top")
    middle.text_input("Middle note, %", key="new-middle")
    base.text_input("Base note, %", key="new-base")
    _answers("oil")
    _put("oil", adding.add_oil)


def _answers(kind: str) -> None:
    answers = st.session_state.get("answers", {})
    if answers.get("kind") == kind:
        for one in answers["texts"]:
            st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')


def _put(kind: str, add: Any) -> None:
    with st.container(horizontal=True):
        st.button("Put on the shelf", type="primary", key=f"put-{kind}", on_click=_try, args=(kind, add))
        st.button("Leave", type="tertiary", key=f"leave-{kind}", on_click=_leave)


def _try(kind: str, add: Any) -> None:
    ss = st.session_state
    typed = {
        key.removeprefix("new-"): ss[key] for key in ss if isinstance(key, str) and key.startswith("new-")
    }
    typed.pop("picture", None)
    made, answers, told = add(state.folder(), memo.shelf(), typed)
    if answers:
        ss.answers = {"kind": kind, "texts": answers}
        return
    _leave()
    ss.thing = made.id
    ss.said = {"text": " ".join([f"{made.name} is on the shelf.", *told]), "fresh": False}


def _leave() -> None:
    ss = st.session_state
    ss.adding, ss.answers = None, {}
    for key in [one for one in ss if isinstance(one, str) and one.startswith("new-")]:
        del ss[key]


def oil_facts(item: Oil) -> list[tuple[str, str]]:
    """What is known of an oil, as rows."""
    sheet = item.sheet
    figures = (
        ", ".join(f"{category}: {units.plain(pct)} %" for category, pct in sheet.limits.items())
        if sheet
        else ""
    )
    notes = item.notes and ", ".join(
        f"{name} {share * 100:.0f} %"
        for name, share in zip(("top", "middle", "base"), item.notes, strict=True)
    )
    return [
        ("Sheet", adding.sheet_words(item, state.today())),
        ("Highest percent by category", figures),
        (
            "Declared names",
            f"{len(item.declaration.rows)} ({adding.LIST_NAMES[item.declaration.names]})"
            if item.declaration
            else "no declaration",
        ),
        ("Notes", notes or "not entered"),
        ("Flash point", f"{item.flash_c:.0f} C" if item.flash_c is not None else "not known"),
        ("Vanillin", f"{units.plain(item.vanillin_pct)} %" if item.vanillin_pct is not None else "not known"),
        ("Own name on the label", item.label_name),
        ("Lot", item.lot),
        ("Use by", item.expiry.isoformat() if item.expiry else ""),
    ]


def plain_fields(item: Item) -> Iterator[tuple[str, Any]]:
    """Fields of an item that are one figure or one text."""
    for name, value in encode(item).items():
        if (
            name not in ("id", "name", "kind", "basis")
            and isinstance(value, str | int | float)
            and not isinstance(value, bool)
        ):
            yield name, value
