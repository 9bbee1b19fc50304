"""Forms of a scale, a raw material and a base."""

from __future__ import annotations

import streamlit as st

from blendlab.forms import materials
from blendlab.shelf import CHARGES, PHASES
from blendlab.ui import memo, parts, shelf_forms, words
from blendlab.ui.words import shelf as say


def scale() -> None:
    """Add a scale."""
    parts.heading(say.ADD["scale"])
    st.text_input(say.NAME, key="new-name", max_chars=80)
    step, most = st.columns(2, gap="small")
    step.text_input(say.STEP_FIELD, key="new-step", placeholder="0.01")
    most.text_input(say.MOST_FIELD, key="new-most", placeholder="500")
    shelf_forms.answers("scale")
    shelf_forms.put("scale", materials.add_scale)


def ingredient() -> None:
    """Add a raw material."""
    parts.heading(say.ADD["ingredient"])
    st.text_input(say.NAME, key="new-name", max_chars=80)
    what, phase, charge = st.columns(3, gap="small")
    what.selectbox(say.FUNCTION, materials.FUNCTIONS, key="new-function")
    phase.selectbox(say.PHASE, PHASES, key="new-phase")
    charge.selectbox(say.CHARGE, CHARGES, key="new-charge", format_func=lambda sign: sign or say.NONE)
    st.text_area(say.COMPONENTS_FIELD, key="new-components", height=100, placeholder=say.COMPONENTS_HINT)
    for fields in say.INGREDIENT_FIELDS:
        for place, (key, label) in zip(st.columns(3, gap="small"), fields.items(), strict=True):
            place.text_input(label, key=f"new-{key}", max_chars=80)
    shelf_forms.answers("ingredient")
    shelf_forms.put("ingredient", materials.add_ingredient)


def base() -> None:
    """Add a base of hers: bought, or to be cooked."""
    parts.heading(say.ADD["base"])
    st.text_input(say.NAME, key="new-name", max_chars=80)
    st.selectbox(say.FOR, list(words.PRODUCTS), format_func=words.PRODUCTS.__getitem__, key="new-product")
    mix, acid = st.columns(2, gap="small")
    mix.text_input(say.MIX_DENSITY, key="new-density", placeholder="1.06")
    acid.text_input(say.PH, key="new-ph", placeholder="6.2")
    kept = {"": say.NOT_KNOWN} | {
        material.id: material.name
        for material in memo.shelf().of("ingredient")
        if material.function == "preservative"
    }
    st.selectbox(say.PRESERVED_WITH, list(kept), format_func=kept.__getitem__, key="new-kept")
    low, high = st.columns(2, gap="small")
    low.text_input(say.KEPT_FROM, key="new-low", placeholder="0.8")
    high.text_input(say.KEPT_TO, key="new-high", placeholder="1.0")
    st.text_area(say.DECLARED_ORDER, key="new-declared", height=100)
    parts.small(say.WHITE_OF_KIND)
    shelf_forms.answers("base")
    shelf_forms.put("base", materials.add_base)
