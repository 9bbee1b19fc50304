"""Shelf: raw materials and scales."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.production import line_words, settings
from blendlab.shelf import Ingredient, Scale
from blendlab.ui import material_forms, memo, parts, shelf_forms, state, tables
from blendlab.ui.words import shelf as say
from blendlab.units import degrees

Material = Ingredient | Scale
FORMS = {"ingredient": material_forms.ingredient, "scale": material_forms.scale}


def page(kind: str) -> None:
    """The things of a kind: list left, what is open right."""
    known: list[Material] = list(memo.shelf().of(kind))
    left, right = st.columns([7, 5], gap="medium")
    with left:
        for material in known:
            if shelf_forms.asked_name() in material.name.casefold():
                _row(material)
        if kind == "ingredient":
            tables.ingredients()
    with right, st.container(border=True, key="thing"):
        if shelf_forms.opened(kind, FORMS[kind]):
            return
        if known:
            wanted = st.session_state.get("thing")
            _thing(next((material for material in known if material.id == wanted), known[0]))
        else:
            parts.small(say.NOTHING_HERE)


def _row(material: Material) -> None:
    key = f"{material.kind}-{material.id}"
    with st.container(key=f"own-{key}", horizontal=True, vertical_alignment="center", gap="small"):
        st.html(
            f'<p class="bl-tone"><b>{escape(material.name)}</b><br>'
            f"<small>{escape(_line(material))}</small></p>"
        )
        st.button(
            say.SHOW,
            key=f"show-{key}",
            type="tertiary",
            on_click=shelf_forms.show,
            args=(material.kind, material.id),
        )


def _line(material: Material) -> str:
    if isinstance(material, Scale):
        return say.SCALE_LINE.format(step=material.step_g, most=material.capacity_g)
    inci = ", ".join(component.inci for component in material.components)
    return say.INGREDIENT_LINE.format(function=material.function, inci=inci)


def _thing(material: Material) -> None:
    parts.heading(material.name)
    parts.rows(_scale_rows(material) if isinstance(material, Scale) else _ingredient_rows(material))
    shelf_forms.change(material)
    shelf_forms.take_off(material)


def _scale_rows(scale: Scale) -> list[tuple[str, str]]:
    small, careful = line_words.least(scale)
    checked, error = line_words.least_usp41(scale)
    return [
        (say.SCALE_STEP, say.GRAMS.format(grams=scale.step_g)),
        (say.CARRIES, say.CARRIES_GRAMS.format(grams=scale.capacity_g)),
        (say.LEAST, say.GRAMS.format(grams=small)),
        (say.LEAST_CAREFUL, say.GRAMS.format(grams=careful)),
        (say.LEAST_CHECKED.format(pct=error), say.GRAMS.format(grams=checked)),
    ]


def _ingredient_rows(ingredient: Ingredient) -> list[tuple[str, str]]:
    inside = (
        say.COMPONENT.format(inci=component.inci, low=component.low_pct, high=component.high_pct)
        for component in ingredient.components
    )
    water, density, below = ingredient.water_pct, ingredient.density_g_ml, ingredient.add_below_c
    heat_in = settings.settings(state.folder()).heat_in
    return [
        (say.FUNCTION, ingredient.function),
        (say.PHASE, ingredient.phase),
        (say.COMPONENTS, "; ".join(inside)),
        (say.WATER, say.NOT_KNOWN if water is None else f"{water:g} %"),
        (say.ACTIVE, f"{ingredient.active_pct:g} %" if ingredient.active_pct else ""),
        (say.CHARGE, ingredient.charge),
        (say.ASKS, _asked(ingredient)),
        (say.BELOW, "" if below is None else degrees(below, heat_in)),
        (say.DENSITY, say.NOT_KNOWN if density is None else say.DENSITY_OF.format(density=density)),
        (say.MIND, ingredient.care),
        (say.SUPPLIER, ingredient.supplier),
    ]


def _asked(ingredient: Ingredient) -> str:
    """What its sheet asks for, or ""."""
    low, high = ingredient.low_pct, ingredient.high_pct
    if low is not None and high is not None:
        return say.ASKS_RANGE.format(low=low, high=high)
    known = low if low is not None else high
    return "" if known is None else say.ASKS_PCT.format(pct=known)
