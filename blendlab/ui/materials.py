"""Shelf: raw materials, scales and bases of hers."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.forms import materials, on_shelf
from blendlab.production import line_words, settings
from blendlab.shelf import CHARGES, PHASES, Ingredient, Scale
from blendlab.ui import forms, memo, parts, state, words
from blendlab.units import degrees


def items(kind: str) -> None:
    """Everything of one kind, a line each."""
    asked = st.session_state.get("shelf-find", "").casefold()
    for one in memo.shelf().of(kind):
        if asked not in one.name.casefold():
            continue
        with st.container(
            key=f"own-{kind}-{one.id}", horizontal=True, vertical_alignment="center", gap="small"
        ):
            st.html(
                f'<p class="bl-tone"><b>{escape(one.name)}</b><br><small>{escape(_line(one))}</small></p>'
            )
            st.button("Show", key=f"show-{kind}-{one.id}", type="tertiary", on_click=_show, args=(one.id,))


def _line(one) -> str:
    if isinstance(one, Scale):
        return f"steps of {one.step_g:g} g, carries {one.capacity_g:g} g"
    inci = ", ".join(part.inci for part in one.components)
    return f"{one.function} · {inci}"


def _show(item_id: str) -> None:
    st.session_state.update(adding=None, thing=item_id)


def item(kind: str) -> None:
    """The chosen one of a kind."""
    known = list(memo.shelf().of(kind))
    wanted = st.session_state.get("thing")
    chosen = next((one for one in known if one.id == wanted), known[0] if known else None)
    if chosen is None:
        parts.small("Nothing here yet.")
        return
    parts.heading(chosen.name)
    parts.rows(_scale_rows(chosen) if isinstance(chosen, Scale) else _ingredient_rows(chosen))
    st.button(
        "Take off the shelf", key=f"off-{chosen.id}", type="tertiary", on_click=_take_off, args=(chosen,)
    )


def _scale_rows(item: Scale) -> list[tuple[str, str]]:
    small, careful = line_words.least(item)
    checked, error = line_words.least_usp41(item)
    return [
        ("Step of its display", f"{item.step_g:g} g"),
        ("Carries", f"{item.capacity_g:g} g, vessel included"),
        ("Smallest sensible amount", f"{small:g} g"),
        ("of preservative, listed oil, strong pigment", f"{careful:g} g"),
        (f"for an error of {error:g} % (USP <41>)", f"{checked:g} g"),
    ]


def _ingredient_rows(item: Ingredient) -> list[tuple[str, str]]:
    inside = [f"{one.inci} {one.low_pct:g} to {one.high_pct:g} %" for one in item.components]
    known = "not known" if item.water_pct is None else f"{item.water_pct:g} %"
    bounds = (item.low_pct, item.high_pct)
    heat_in = settings.settings(state.folder()).heat_in
    asked = " to ".join(f"{one:g}" for one in bounds if one is not None)
    return [
        ("What it does", item.function),
        ("Goes in with", item.phase),
        ("Components", "; ".join(inside)),
        ("Water in it", known),
        ("Active surfactant in it", f"{item.active_pct:g} %" if item.active_pct else ""),
        ("Charge", item.charge),
        ("Its sheet asks for", f"{asked} % of the finished product" if asked else ""),
        ("In below", "" if item.add_below_c is None else degrees(item.add_below_c, heat_in)),
        ("Density", "not known" if item.density_g_ml is None else f"{item.density_g_ml:g} g/ml"),
        ("Mind", item.care),
        ("Supplier", item.supplier),
    ]


def _take_off(item) -> None:
    on_shelf.take_off(state.folder(), item)
    st.session_state.said = {
        "text": f"{item.name} is off the shelf; the file lies in the bin.",
        "fresh": False,
    }


def add_scale() -> None:
    """The form of a scale."""
    parts.heading("Add a scale")
    st.text_input("Name", key="new-name", max_chars=80)
    step, most = st.columns(2, gap="small")
    step.text_input("Step of its display, g", key="new-step", placeholder="0.01")
    most.text_input("Carries at most, g", key="new-most", placeholder="500")
    forms.answers("scale")
    forms.put("scale", materials.add_scale)


def add_ingredient() -> None:
    """The form of a raw material."""
    parts.heading("Add a raw material")
    st.text_input("Name", key="new-name", max_chars=80)
    what, phase, charge = st.columns(3, gap="small")
    what.selectbox("What it does", materials.FUNCTIONS, key="new-function")
    phase.selectbox("Goes in with", PHASES, key="new-phase")
    charge.selectbox("Charge", CHARGES, key="new-charge", format_func=lambda one: one or "none")
    st.text_area(
        "Components: INCI; CAS; low; high percent, one a line",
        key="new-components",
        height=100,
        placeholder="Aqua; 7732-18-5; 63; 67\nCocamidopropyl Betaine; 61789-40-0; 30; 31",
    )
    rows = (
        (("Water in it, %", "water"), ("Active surfactant, %", "active"), ("Density, g/ml", "density")),
        (("Sheet: least, %", "low"), ("Sheet: most, %", "high"), ("In below, °C", "heat")),
        (("Price of a kg", "per_kg"), ("Supplier", "supplier"), ("Mind", "care")),
    )
    for row in rows:
        for place, (label, key) in zip(st.columns(3, gap="small"), row, strict=True):
            place.text_input(label, key=f"new-{key}", max_chars=80)
    forms.answers("ingredient")
    forms.put("ingredient", materials.add_ingredient)


def add_base() -> None:
    """The form of a base of hers: bought, or to be cooked."""
    parts.heading("Add a base")
    st.text_input("Name", key="new-name", max_chars=80)
    st.selectbox("For", list(words.PRODUCTS), format_func=words.PRODUCTS.__getitem__, key="new-product")
    mix, acid = st.columns(2, gap="small")
    mix.text_input("Density before whipping, g/ml", key="new-density", placeholder="1.06")
    acid.text_input("pH", key="new-ph", placeholder="6.2")
    kept = {
        "": "not known",
        **{one.id: one.name for one in memo.shelf().of("ingredient") if one.function == "preservative"},
    }
    st.selectbox("Preserved with", list(kept), format_func=kept.__getitem__, key="new-kept")
    low, high = st.columns(2, gap="small")
    low.text_input("Percent of the base, from", key="new-low", placeholder="0.8")
    high.text_input("to", key="new-high", placeholder="1.0")
    st.text_area("Declared ingredients in order, one a line", key="new-declared", height=100)
    parts.small("Its white is that of the starter base of its kind until you measure a swatch of it.")
    forms.answers("base")
    forms.put("base", materials.add_base)
