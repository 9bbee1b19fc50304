"""The form of an oil: one by its sheet; the choice between one oil and a table of many."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.forms import oil_texts
from blendlab.forms import oils as oil_forms
from blendlab.shelf import Item, Oil
from blendlab.show import oil_state
from blendlab.ui import oil_table, parts, shelf_forms, words
from blendlab.ui.words import oils as say

HINTS = {
    "cas": "8000-28-0",
    "received": "2026-03-01",
    "opened": "2026-04-01",
    "expiry": "2027-12-01",
    "measured": "2026-04-01",
}


def form(old: Item | None) -> None:
    """Add oils, one by its sheet or many from a table; or change one: a new lot, a new sheet."""
    shelf_forms.begin("oil", old, oil_texts.typed_of(old) if isinstance(old, Oil) else {"how": "one"})
    if old is None:
        st.segmented_control(
            say.HOW_MANY,
            list(say.WAYS),
            format_func=say.WAYS.__getitem__,
            required=True,
            key=_key("how"),
            width="stretch",
            label_visibility="collapsed",
        )
    if old is None and st.session_state[_key("how")] == "many":
        oil_table.form()
    else:
        _single(old)


def _key(name: str) -> str:
    return shelf_forms.field("oil", name)


def _single(old: Item | None) -> None:
    st.text_input(say.NAME, key=_key("name"), max_chars=80)
    kind, library, part = st.columns(3, gap="small")
    kind.selectbox(
        say.WHAT_IT_IS, list(words.OIL_GROUPS), format_func=words.OIL_GROUPS.__getitem__, key=_key("group")
    )
    known = {"": say.NOT_IN_LIBRARY, **oil_state.library_names()}
    library.selectbox(say.PLANT, list(known), format_func=known.__getitem__, key=_key("library"))
    plant = {"": say.NOT_ENTERED} | {name: name.replace("_", " ") for name in oil_state.parts_of_plants()}
    part.selectbox(say.PLANT_PART, list(plant), format_func=plant.__getitem__, key=_key("part"))
    _sheet()
    st.text_area(say.DECLARED, key=_key("declared"), height=110, placeholder=say.DECLARED_HINT)
    oil_table.declared_by()
    _understood()
    _figures()
    shelf_forms.answers("oil")
    shelf_forms.put("oil", oil_forms.add_oil, old)


def _sheet() -> None:
    amendment, issued, document = st.columns([2, 3, 3], gap="small")
    amendment.text_input(say.AMENDMENT, key=_key("amendment"), placeholder="51", help=say.AMENDMENT_HELP)
    issued.text_input(say.ISSUED, key=_key("issued"), placeholder="2026-02-14")
    document.text_input(say.DOCUMENT, key=_key("document"), max_chars=120)
    st.text_area(say.LIMITS, key=_key("limits"), height=110, placeholder=say.LIMITS_HINT)


def _understood() -> None:
    """What every pasted line was read as."""
    typed = {key: st.session_state.get(_key(key)) for key in ("limits", "declared", "unit")}
    lines = oil_forms.preview(typed)
    if not lines:
        return
    wrong = sum(bool(line.problem) for line in lines)
    with st.expander(say.READ.format(understood=len(lines) - wrong, wrong=wrong), expanded=wrong > 0):
        rows = "".join(
            f"<tr><td>{escape(line.text)}</td>"
            f"<td>{oil_table.bad(line.problem) or escape(line.read)}</td></tr>"
            for line in lines
        )
        st.html(f'<table class="bl-table bl-read"><tbody>{rows}</tbody></table>')


def _figures() -> None:
    for fields in say.FIGURES:
        for place, (key, label) in zip(st.columns(4, gap="small"), fields.items(), strict=True):
            label = label.format(currency=parts.currency())
            place.text_input(label, key=_key(key), placeholder=HINTS.get(key), max_chars=40)
    st.text_input(say.SOLVENT_FIELD, key=_key("solvent"), max_chars=200)
