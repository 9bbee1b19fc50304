"""Shelf: what she owns, a list with what is open beside it; add a pigment or an oil in a minute."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import batch, store, units
from blendlab.forms.swatches import base_of
from blendlab.shelf import ITEMS, Base, Item, Jar, Oil, Pigment
from blendlab.show import oil_state, shelf_pictures
from blendlab.ui import (
    base_formula,
    binned,
    jar_form,
    jars,
    lots,
    material_forms,
    materials,
    memo,
    mishap,
    oil_form,
    oils,
    parts,
    pigment_form,
    prices,
    shelf_forms,
    state,
    swatches,
    tables,
    words,
)
from blendlab.ui.words import shelf as say

LADDER = (0.05, 0.1, 0.3, 1.0)
SEEN_AT = 0.3
PAGES = {"lot": lots.page, "price": prices.page, "ingredient": materials.page, "scale": materials.page}
"""Kinds with a page of their own."""
FORMS = {
    "pigment": pigment_form.form,
    "oil": oil_form.form,
    "base": material_forms.base,
    "jar": jar_form.form,
}


def page() -> None:
    """Draw the page."""
    parts.said(on_bench=False)
    for unread in store.unread_items(state.folder()):
        parts.alert(unread.message, "said")
    kind = _head()
    if kind in PAGES:
        PAGES[kind](kind)
    else:
        _list(kind)
    if kind in ITEMS:
        binned.fold(kind)


def _list(kind: str) -> None:
    """Draw the things of a kind, what is open beside them."""
    left, right = st.columns([7, 5], gap="medium")
    asked = shelf_forms.asked_name()
    items = [item for item in memo.shelf().of(kind) if asked in item.name.casefold()]
    with left:
        with st.container(key="things"):
            for item in items:
                _row(item)
        if not items:
            parts.small(say.NOT_FOUND if asked else say.NOTHING_HERE)
        if kind == "oil":
            tables.oils()
        if kind == "pigment":
            swatches.next_swatch()
            parts.small(say.HOW_KNOWN)
    with right, st.container(border=True, key="thing"):
        _open(kind, items)


def _head() -> str:
    with st.container(key="shelf-head", horizontal=True, vertical_alignment="bottom"):
        kind: str = st.segmented_control(
            say.ON_THE_SHELF,
            list(say.KINDS),
            format_func=say.KINDS.__getitem__,
            required=True,
            default="pigment",
            key="shelf-kind",
            persist_state="session",
            on_change=_quiet,
        )
        st.text_input(say.FIND, key="shelf-find", width=260, persist_state="session")
        with st.container(horizontal=True, horizontal_alignment="right"):
            if kind in say.ADD:
                st.button(say.ADD[kind], type="primary", on_click=shelf_forms.open_form, args=(kind,))
    return kind


@mishap.answered
def _quiet() -> None:
    """What was said of a thing goes when another kind is looked at."""
    st.session_state.said = None


def _open(kind: str, items: list[Item]) -> None:
    """The form that is open, else the chosen thing."""
    if shelf_forms.opened(kind, FORMS[kind]):
        return
    if items:
        wanted = st.session_state.get("thing")
        _thing(next((item for item in items if item.id == wanted), items[0]))


def _row(item: Item) -> None:
    with st.container(
        key=f"shelf-{item.kind}-{item.id}",
        horizontal=True,
        wrap=False,
        vertical_alignment="center",
        gap="small",
    ):
        if isinstance(item, Pigment):
            st.html(parts.swatch(item.name, *_swatch(item, SEEN_AT), None), width="content")
        st.html(
            f'<p class="bl-tone"><b>{escape(parts.capital(item.name))}</b><br>'
            f"<small>{escape(_line(item))}</small></p>"
        )
        st.button(
            say.SHOW,
            key=f"show-{item.kind}-{item.id}",
            type="tertiary",
            on_click=shelf_forms.show,
            args=(item.kind, item.id),
        )


def _swatch(pigment: Pigment, pct: float) -> tuple[str, str, str]:
    """Weak, likely and strong of a pigment alone in the first base of the shelf."""
    return shelf_pictures.pigment_swatch(pigment, base_of(memo.shelf(), ""), pct)


def _line(item: Item) -> str:
    if isinstance(item, Pigment):
        known, cap = words.KNOWN[item.known], units.plain(item.cap_pct)
        return say.PIGMENT_LINE.format(known=known, ci=", ".join(item.ci), cap=cap, seen=SEEN_AT)
    if isinstance(item, Oil):
        return f"{words.OIL_GROUPS[item.group]} · {oil_state.sheet_words(item, state.today())}"
    return item.basis if isinstance(item, Base | Jar) else ""


def _thing(item: Item) -> None:
    parts.heading(parts.capital(item.name))
    if isinstance(item, Pigment):
        _ladder(item)
        parts.rows(_pigment_rows(item))
        shelf_forms.change(item)
        swatches.panel(item)
    elif isinstance(item, Oil):
        parts.rows(oils.facts(item))
        oils.acts(item)
    elif isinstance(item, Base):
        parts.rows(_base_rows(item))
        shelf_forms.change(item)
        swatches.panel(item)
        base_formula.base_acts(item)
    elif isinstance(item, Jar):
        jars.detail(item)
    shelf_forms.take_off(item)
    parts.small(say.CARDS_KEEP)


def _ladder(pigment: Pigment) -> None:
    steps = "".join(
        f'<div><i style="background:{_swatch(pigment, pct)[1]}"></i>{units.plain(pct)} %</div>'
        for pct in LADDER
    )
    said = escape(say.LADDER.format(name=pigment.name))
    st.html(f'<div class="bl-ladder" role="img" aria-label="{said}">{steps}</div>')


def _pigment_rows(pigment: Pigment) -> list[tuple[str, str]]:
    known = pigment.basis
    if not known.startswith(pigment.known):
        known = say.KNOWN_AS.format(known=words.KNOWN[pigment.known], basis=pigment.basis)
    made_of = (say.PART_OF.format(name=name, pct=share * 100) for name, share in pigment.composite_of.items())
    return [
        (say.KNOWN_BY, known),
        (say.COLOUR_INDEX, ", ".join(pigment.ci)),
        (say.HIGHEST_USE, say.OF_PORTION.format(pct=units.plain(pigment.cap_pct))),
        (say.MADE_OF, ", ".join(made_of)),
        (say.SHEEN, pigment.sheen),
        (say.MIND, pigment.caution),
    ]


def _base_rows(base: Base) -> list[tuple[str, str]]:
    foam, own = base.density_whipped_g_ml, base.own_fragrance_pct
    return [
        (say.FOR, words.PRODUCTS.get(base.product, base.product)),
        (say.KNOWN_BY, words.KNOWN[base.known]),
        (say.WHITE_AT, say.OVERRUN.format(pct=units.plain(base.ref_overrun_pct))),
        (say.MIX_DENSITY, _mix_density(base)),
        (say.CUP_FOAM, say.NOT_WEIGHED if foam is None else units.plain(foam)),
        (say.PH, _acidity(base)),
        (say.OWN_FRAGRANCE, say.NOT_KNOWN if own is None else units.plain(own)),
    ]


def _mix_density(base: Base) -> str:
    taken = batch.taken_mix(base)
    if taken is None:
        return say.NOT_KNOWN
    known = base.density_mix_g_ml is not None
    return units.plain(taken) if known else say.MIX_TAKEN.format(density=units.plain(taken))


def _acidity(base: Base) -> str:
    if base.anhydrous:
        return say.NO_WATER
    return say.NOT_KNOWN if base.pH is None else units.plain(base.pH)
