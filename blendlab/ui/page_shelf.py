"""Shelf: her pigments, oils, bases and jars; add a pigment or an oil in a minute."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store, units
from blendlab.facts.demo import demo_shelf
from blendlab.forms import on_shelf
from blendlab.shelf import Base, Item, Jar, Oil, Pigment
from blendlab.show import oil_state, shelf_pictures
from blendlab.ui import (
    cooking,
    forms,
    jars,
    lots,
    materials,
    memo,
    oils,
    parts,
    state,
    swatches,
    tables,
    words,
)

KINDS = {"pigment": "Pigments", "oil": "Oils", "base": "Bases", "jar": "Jars", **lots.KINDS}
ADDS = {"pigment": "Add a pigment", "oil": "Add an oil", "jar": "Measure a jar"}
LADDER = (0.05, 0.1, 0.3, 1.0)
SEEN_AT = 0.3


def page() -> None:
    """Draw the page."""
    parts.said(on_bench=False)
    for unread in store.unread_items(state.folder()):
        st.html(f'<p class="bl-said" role="alert">{escape(unread.message)}</p>')
    kind = _head()
    if kind in lots.KINDS:
        lots.page(kind)
        return
    left, right = st.columns([7, 5], gap="medium")
    shelf = memo.shelf()
    asked = st.session_state.get("shelf-find", "").casefold()
    items = [one for one in shelf.of(kind) if asked in one.name.casefold()]
    with left:
        for item in items:
            _row(item)
        if not items:
            parts.small("Nothing here yet." if not asked else "Nothing of that name.")
        if kind == "oil":
            tables.oils()
        if kind == "pigment":
            swatches.next_swatch()
            parts.small(
                "Estimate: from published data for this kind of pigment. Measured: from your own swatches."
            )
    with right, st.container(border=True, key="thing"):
        form = st.session_state.get("adding")
        if form == "pigment" and kind == "pigment":
            forms.pigment()
        elif form == "oil" and kind == "oil":
            oils.form()
        elif form == "base" and kind == "base":
            materials.add_base()
        elif kind == "jar" and jars.form_open(None):
            jars.form()
        elif kind == "jar" and (again := next((one for one in items if jars.form_open(one)), None)):
            jars.form(again)
        else:
            chosen = _chosen(kind, items)
            if chosen is not None:
                _thing(chosen)


def _head() -> str:
    with st.container(key="shelf-head", horizontal=True, vertical_alignment="bottom"):
        kind = st.segmented_control(
            "On the shelf",
            list(KINDS),
            format_func=KINDS.__getitem__,
            required=True,
            default="pigment",
            key="shelf-kind",
            persist_state="session",
        )
        st.text_input("Find by name", key="shelf-find", width=260, persist_state="session")
        with st.container(horizontal=True, horizontal_alignment="right"):
            if kind in lots.ADDS:
                st.button(lots.ADDS[kind], type="primary", on_click=lots.add, args=(kind,))
            if kind in ADDS:
                st.button(ADDS[kind], type="primary", on_click=_add, args=(kind,))
    return kind


def _add(kind: str) -> None:
    st.session_state.adding = kind


def _show(item_id: str) -> None:
    st.session_state.adding = None
    st.session_state.thing = item_id


def _chosen(kind: str, items: list[Item]) -> Item | None:
    wanted = st.session_state.get("thing")
    return next((one for one in items if one.id == wanted), items[0] if items else None)


def _row(item: Item) -> None:
    with st.container(
        key=f"shelf-{item.kind}-{item.id}", horizontal=True, vertical_alignment="center", gap="small"
    ):
        if isinstance(item, Pigment):
            st.html(parts.swatch(item.name, *_swatch(item, SEEN_AT), None), width="content")
        st.html(
            f'<p class="bl-tone"><b>{escape(parts.capital(item.name))}</b><br>'
            f"<small>{escape(_line(item))}</small></p>"
        )
        st.button("Show", key=f"show-{item.kind}-{item.id}", type="tertiary", on_click=_show, args=(item.id,))


def _swatch(item: Pigment, pct: float) -> tuple[str, str, str]:
    """Weak, likely and strong of a pigment alone in the first base of the shelf."""
    base = next(iter(memo.shelf().of("base")), None) or demo_shelf().today("base", "soap-white")
    return shelf_pictures.pigment_swatch(item, base, pct)


def _line(item: Item) -> str:
    if isinstance(item, Pigment):
        cap = units.plain(item.cap_pct)
        return f"{words.KNOWN[item.known]} · CI {', '.join(item.ci)} · up to {cap} % · seen at {SEEN_AT} %"
    if isinstance(item, Oil):
        return f"{words.OIL_GROUPS[item.group]} · {oil_state.sheet_words(item, state.today())}"
    return getattr(item, "basis", "")


def _thing(item: Item) -> None:
    parts.heading(parts.capital(item.name))
    if isinstance(item, Pigment):
        _ladder(item)
    if isinstance(item, Jar):
        jars.detail(item)
    else:
        parts.rows(_facts(item))
    if isinstance(item, Pigment | Base):
        swatches.panel(item)
    if isinstance(item, Oil):
        oils.acts(item)
    if isinstance(item, Base):
        cooking.base_acts(item)
    st.button("Take off the shelf", key=f"off-{item.id}", type="tertiary", on_click=_take_off, args=(item,))
    parts.small("Saved cards keep the revision they used.")


def _ladder(item: Pigment) -> None:
    steps = "".join(
        f'<div><i style="background:{_swatch(item, pct)[1]}"></i>{units.plain(pct)} %</div>' for pct in LADDER
    )
    st.html(
        f'<div class="bl-ladder" role="img" '
        f'aria-label="{escape(item.name)} in the white base at four doses">{steps}</div>'
    )


def _facts(item: Item) -> list[tuple[str, str]]:
    if isinstance(item, Pigment):
        return [
            (
                "Known by",
                item.basis
                if item.basis.startswith(item.known)
                else f"{words.KNOWN[item.known]}: {item.basis}",
            ),
            ("Colour index", ", ".join(item.ci)),
            ("Highest use", f"{units.plain(item.cap_pct)} % of the finished portion"),
            (
                "Made of",
                ", ".join(f"{name} {share * 100:.0f} %" for name, share in item.composite_of.items()),
            ),
            ("Sheen", item.sheen),
            ("Mind", item.caution),
        ]
    if isinstance(item, Oil):
        return oils.facts(item)
    return [
        (name.replace("_", " "), units.plain(value) if isinstance(value, int | float) else str(value))
        for name, value in forms.plain_fields(item)
    ]


def _take_off(item: Item) -> None:
    on_shelf.take_off(state.folder(), item)
    st.session_state.said = {
        "text": f"{item.name} is off the shelf; the file lies in the bin.",
        "fresh": False,
    }
