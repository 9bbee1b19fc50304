"""Forms of a scale, a raw material and a base."""

from __future__ import annotations

from functools import partial

import streamlit as st

from blendlab.forms import materials
from blendlab.shelf import CHARGES, PHASES, Base, Ingredient, Item, Scale
from blendlab.ui import memo, parts, shelf_forms, words
from blendlab.ui.words import shelf as say


def scale(old: Item | None) -> None:
    """Add a scale, or change one."""
    key = partial(shelf_forms.field, "scale")
    shelf_forms.begin("scale", old, materials.typed_of_scale(old) if isinstance(old, Scale) else None)
    st.text_input(say.NAME, key=key("name"), max_chars=80)
    step, most = st.columns(2, gap="small")
    step.text_input(say.STEP_FIELD, key=key("step"), placeholder="0.01")
    most.text_input(say.MOST_FIELD, key=key("most"), placeholder="500")
    shelf_forms.answers("scale")
    shelf_forms.put("scale", materials.add_scale, old)


def ingredient(old: Item | None) -> None:
    """Add a raw material, or change one."""
    key = partial(shelf_forms.field, "ingredient")
    known = materials.typed_of_ingredient(old) if isinstance(old, Ingredient) else {}
    shelf_forms.begin("ingredient", old, known)
    functions = dict.fromkeys((*materials.FUNCTIONS, known.get("function") or materials.FUNCTIONS[0]))
    st.text_input(say.NAME, key=key("name"), max_chars=80)
    what, phase, charge = st.columns(3, gap="small")
    what.selectbox(say.FUNCTION, list(functions), key=key("function"))
    phase.selectbox(say.PHASE, PHASES, key=key("phase"))
    charge.selectbox(say.CHARGE, CHARGES, key=key("charge"), format_func=lambda sign: sign or say.NONE)
    st.text_area(say.COMPONENTS_FIELD, key=key("components"), height=100, placeholder=say.COMPONENTS_HINT)
    for fields in say.INGREDIENT_FIELDS:
        for place, (name, label) in zip(st.columns(3, gap="small"), fields.items(), strict=True):
            place.text_input(label.format(currency=parts.currency()), key=key(name), max_chars=200)
    shelf_forms.answers("ingredient")
    shelf_forms.put("ingredient", materials.add_ingredient, old)


def base(old: Item | None) -> None:
    """Add a base of hers, bought or to be cooked, or change one."""
    key = partial(shelf_forms.field, "base")
    shelf_forms.begin("base", old, materials.typed_of_base(old) if isinstance(old, Base) else None)
    st.text_input(say.NAME, key=key("name"), max_chars=80)
    if old is None:
        st.selectbox(
            say.FOR, list(words.PRODUCTS), format_func=words.PRODUCTS.__getitem__, key=key("product")
        )
    mix, acid = st.columns(2, gap="small")
    mix.text_input(say.MIX_DENSITY, key=key("density"), placeholder="1.06")
    acid.text_input(say.PH, key=key("ph"), placeholder="6.2")
    kept = {"": say.NOT_KNOWN} | {
        material.id: material.name
        for material in memo.shelf().of("ingredient")
        if material.function == "preservative"
    }
    if isinstance(old, Base) and old.preservative is not None:
        kept.setdefault(old.preservative.id, old.preservative.id)
    st.selectbox(say.PRESERVED_WITH, list(kept), format_func=kept.__getitem__, key=key("kept"))
    low, high = st.columns(2, gap="small")
    low.text_input(say.KEPT_FROM, key=key("low"), placeholder="0.8")
    high.text_input(say.KEPT_TO, key=key("high"), placeholder="1.0")
    st.text_input(say.OWN_FRAGRANCE, key=key("own"), placeholder="0")
    st.text_area(say.DECLARED_ORDER, key=key("declared"), height=100)
    parts.small(say.WHITE_OF_KIND if old is None else say.SWATCH_CHANGES)
    shelf_forms.answers("base")
    shelf_forms.put("base", materials.add_base, old)
