"""Shelf: lots and deliveries, raw materials, scales, prices; cooking a base lot."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store, units
from blendlab.errors import BlendlabError
from blendlab.shelf import CHARGES, PHASES, Base, Ingredient, Scale
from blendlab.studio import adding, batching, making, stocking
from blendlab.ui import forms, memo, page_batch, parts, state, words
from blendlab.units import Ambiguous, read_number

KINDS = {"ingredient": "Raw materials", "scale": "Scales", "lot": "Lots", "price": "Prices"}
"""What this module adds to the Shelf."""
OF = {"base": "Base", "ingredient": "Raw material", "oil": "Oil", "pigment": "Pigment"}
KEPT = {"": "as on the shelf", "known": "one percent", "range": "a range", "unknown": "not known"}
ADDS = {"ingredient": "Add a raw material", "scale": "Add a scale", "base": "Add a base"}


def page(kind: str) -> None:
    """One of the kinds of this module: list left, what is open right."""
    if kind == "price":
        _prices()
        return
    left, right = st.columns([7, 5], gap="medium")
    with left:
        if kind == "lot":
            _lots()
        else:
            _items(kind)
    with right, st.container(border=True, key="thing"):
        if kind == "lot":
            _receive()
        elif st.session_state.get("adding") == kind:
            _add_ingredient() if kind == "ingredient" else _add_scale()
        else:
            _item(kind)


def add(kind: str) -> None:
    """Open the form of a kind."""
    st.session_state.adding = kind


# --- raw materials and scales -------------------------------------------------------------------------


def _items(kind: str) -> None:
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


def _item(kind: str) -> None:
    items = list(memo.shelf().of(kind))
    wanted = st.session_state.get("thing")
    item = next((one for one in items if one.id == wanted), items[0] if items else None)
    if item is None:
        parts.small("Nothing here yet.")
        return
    parts.heading(item.name)
    parts.rows(_scale_rows(item) if isinstance(item, Scale) else _ingredient_rows(item))
    st.button("Take off the shelf", key=f"off-{item.id}", type="tertiary", on_click=_take_off, args=(item,))


def _scale_rows(item: Scale) -> list[tuple[str, str]]:
    small, careful = batching.least(item)
    return [
        ("Step of its display", f"{item.step_g:g} g"),
        ("Carries", f"{item.capacity_g:g} g, vessel included"),
        ("Smallest sensible amount", f"{small:g} g"),
        ("of preservative, listed oil, strong pigment", f"{careful:g} g"),
    ]


def _ingredient_rows(item: Ingredient) -> list[tuple[str, str]]:
    inside = [f"{one.inci} {one.low_pct:g} to {one.high_pct:g} %" for one in item.components]
    known = "not known" if item.water_pct is None else f"{item.water_pct:g} %"
    bounds = (item.low_pct, item.high_pct)
    asked = " to ".join(f"{one:g}" for one in bounds if one is not None)
    return [
        ("What it does", item.function),
        ("Goes in with", item.phase),
        ("Components", "; ".join(inside)),
        ("Water in it", known),
        ("Active surfactant in it", f"{item.active_pct:g} %" if item.active_pct else ""),
        ("Charge", item.charge),
        ("Its sheet asks for", f"{asked} % of the finished product" if asked else ""),
        ("In below", "" if item.add_below_c is None else f"{item.add_below_c:g} °C"),
        ("Density", "not known" if item.density_g_ml is None else f"{item.density_g_ml:g} g/ml"),
        ("Mind", item.care),
        ("Supplier", item.supplier),
    ]


def _take_off(item) -> None:
    adding.take_off(state.folder(), item)
    st.session_state.said = {
        "text": f"{item.name} is off the shelf; the file lies in the bin.",
        "fresh": False,
    }


def _add_scale() -> None:
    parts.heading("Add a scale")
    st.text_input("Name", key="new-name", max_chars=80)
    step, most = st.columns(2, gap="small")
    step.text_input("Step of its display, g", key="new-step", placeholder="0.01")
    most.text_input("Carries at most, g", key="new-most", placeholder="500")
    forms.answers("scale")
    forms.put("scale", stocking.add_scale)


def _add_ingredient() -> None:
    parts.heading("Add a raw material")
    st.text_input("Name", key="new-name", max_chars=80)
    what, phase, charge = st.columns(3, gap="small")
    what.selectbox("What it does", stocking.FUNCTIONS, key="new-function")
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
    forms.put("ingredient", stocking.add_ingredient)


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
    forms.put("base", stocking.add_base)


# --- lots ---------------------------------------------------------------------------------------------


def _lots() -> None:
    asked = st.session_state.get("shelf-find", "").casefold()
    found = [one for one in store.lots(memo.book()) if asked in f"{one.lot.code} {one.lot.name}".casefold()]
    rows = "".join(
        f"<tr><th scope='row'><b>{escape(one.lot.code)}</b> {escape(one.lot.name)}<br><small>{escape(_about(one))}</small></th>"
        f"<td>{units.plain(one.left_g, 2)} g left</td></tr>"
        for one in found
    )
    if rows:
        st.html(f'<table class="bl-table"><tbody>{rows}</tbody></table>')
    else:
        parts.small(
            "No lot in the book yet. With its lots named a batch can be traced, and stock is counted."
        )
    counted = {one.number: making.lot_words(one) for one in found}
    if counted:
        with st.popover("Count, waste", type="tertiary"):
            _move(counted)


def _about(one: store.LotLine) -> str:
    said = [one.lot.supplier, f"received {one.lot.received}" if one.lot.received else ""]
    said.append(f"use by {one.lot.expiry}" if one.lot.expiry else "no date")
    kept = one.data.get("preservative_pct")
    if isinstance(kept, list):
        said.append("preservative " + " to ".join(f"{each:g}" for each in dict.fromkeys(kept)) + " %")
    elif kept == "unknown":
        said.append("preservative not known")
    return " · ".join(each for each in said if each)


def _move(counted: dict[int, str]) -> None:
    number = st.selectbox("Lot", list(counted), format_func=counted.__getitem__, key="move-lot")
    st.text_input("Grams more, or less with a minus", key="move-grams", placeholder="-12.5")
    st.text_input("Why", key="move-why", max_chars=120)
    said = st.session_state.get("move-answer")
    if said:
        st.html(f'<p class="bl-bad" role="alert">{escape(said)}</p>')
    st.button("Write it down", key="put-move", on_click=_do_move, args=(number,))


def _do_move(number: int) -> None:
    ss = st.session_state
    try:
        grams = read_number(ss["move-grams"], "g", -1_000_000, 1_000_000)
        if isinstance(grams, Ambiguous):
            ss["move-answer"] = str(grams)
            return
        memo.book().move(number, grams, "count" if grams > 0 else "waste", ss["move-why"].strip())
    except BlendlabError as problem:
        ss["move-answer"] = str(problem)
        return
    ss.update({"move-answer": "", "move-grams": "", "move-why": ""})


def _receive() -> None:
    parts.heading("Write a lot down")
    kind = st.segmented_control(
        "What came",
        list(OF),
        format_func=OF.__getitem__,
        required=True,
        default="base",
        key="lot-kind",
        width="stretch",
    )
    known = {one.id: one.name for one in memo.shelf().of(kind)}
    st.selectbox("Which", list(known), format_func=lambda one: known.get(one, one), key="lot-item")
    rows = (
        (("Code of the lot", "code", ""), ("What came, g", "grams", "1000")),
        (("Supplier", "supplier", ""), ("Document", "document", "")),
        (("Received", "received", "2026-11-25"), ("Use by", "expiry", "2027-11-30")),
        (("Price paid", "price", ""), ("Postage share", "shipping", "")),
    )
    for row in rows:
        for place, (label, key, hint) in zip(st.columns(2, gap="small"), row, strict=True):
            place.text_input(label, key=f"lot-{key}", placeholder=hint or None, max_chars=80)
    if kind == "base":
        _base_lot()
    for one in st.session_state.get("lot-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button("Write it into the book", type="primary", key="put-lot", on_click=_put_lot)


def _base_lot() -> None:
    st.selectbox("Its preservative is", list(KEPT), format_func=KEPT.__getitem__, key="lot-kept")
    low, high, acid = st.columns(3, gap="small")
    low.text_input("Percent, or from", key="lot-low", placeholder="0.8")
    high.text_input("to", key="lot-high", placeholder="1.0")
    acid.text_input("pH", key="lot-ph", placeholder="6.2")
    foam, heat, opened = st.columns(3, gap="small")
    foam.text_input("Whipped cup, g/ml", key="lot-foam", placeholder="0.62")
    heat.text_input("Preservative in below, °C", key="lot-heat", placeholder="40")
    opened.text_input("Opened", key="lot-opened", placeholder="2026-11-25")
    st.text_area(
        "Declared ingredients with percent, one a line, as its supplier says",
        key="lot-order",
        height=90,
        placeholder="Aqua 40 45\nGlycerin 12 14",
    )


NAMES = (
    "kind", "item", "code", "grams", "supplier", "document", "received", "expiry", "price", "shipping", "kept",
    "low", "high", "ph", "foam", "heat", "opened", "order",
)  # fmt: skip


def _put_lot() -> None:
    ss = st.session_state
    typed = {name: ss.get(f"lot-{name}") or "" for name in NAMES}
    said, answers = stocking.receive(memo.book(), state.folder(), memo.shelf(), typed)
    ss["lot-answers"] = answers
    if not answers:
        for name in NAMES:
            if name not in ("kind", "item"):
                ss[f"lot-{name}"] = ""
        ss.said = {"text": said, "fresh": False}


# --- prices -------------------------------------------------------------------------------------------


def _prices() -> None:
    kept, shelf = batching.settings(state.folder()), memo.shelf()
    parts.small(
        f"Price of a kilogram, or of a jar with its lid, in {kept.currency}. What is empty is not known, never 0."
    )
    asked = st.session_state.get("shelf-find", "").casefold()
    columns = st.columns(3, gap="medium")
    for place, kinds in zip(columns, (("base", "ingredient", "jar"), ("oil",), ("pigment",)), strict=True):
        with place:
            for kind in kinds:
                parts.heading(
                    {"base": "Bases", "ingredient": "Raw materials", "jar": "Jars", "oil": "Oils"}.get(
                        kind, "Pigments"
                    )
                )
                for one in shelf.of(kind):
                    if asked in one.name.casefold():
                        _price(one)


def _price(one) -> None:
    figure = stocking.per_kg(one)
    with st.container(
        key=f"price-{one.kind}-{one.id}",
        horizontal=True,
        wrap=False,
        vertical_alignment="center",
        gap="small",
    ):
        cooked = "<br><small>else by its formula</small>" if isinstance(one, Base) and one.lines else ""
        st.html(f'<p class="bl-tone">{escape(parts.capital(one.name))}{cooked}</p>')
        parts.number_field(
            f"Price of {one.name}",
            f"price.{one.kind}.{one.id}",
            "",
            0,
            1_000_000,
            value="" if figure is None else round(figure, 4),
            write=lambda typed, one=one: _set_price(one, typed),
            width=110,
        )


def _set_price(one, figure: float) -> None:
    parts.tell(stocking.set_price(state.folder(), one, figure))


# --- cooking a base lot -------------------------------------------------------------------------------


def base_acts(item: Base) -> None:
    """What can be done with a base: its formula, a lot to cook, make or buy."""
    shelf = memo.shelf()
    with st.expander("Cook a lot of it", key=f"cook-{item.id}"):
        _formula(item, shelf)
        if item.lines:
            parts.rows(stocking.figure_rows(item, shelf))
            _cook(item, shelf)
            _compare(item, shelf)


def _formula(item: Base, shelf) -> None:
    key = f"formula-{item.id}"
    st.session_state.setdefault(key, stocking.formula_text(item, shelf))
    st.text_area("Formula, percent of the base; one line may say rest", key=key, height=210)
    for one in st.session_state.get("formula-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button("Keep this formula", key=f"keep-{key}", on_click=_keep_formula, args=(item, key))


def _keep_formula(item: Base, key: str) -> None:
    ss = st.session_state
    ss["formula-answers"] = stocking.set_formula(state.folder(), memo.shelf(), item, ss[key])
    if not ss["formula-answers"]:
        ss.pop(key, None)


def _cook(item: Base, shelf) -> None:
    st.text_input("Grams to cook", key="cook-grams", placeholder="1500")
    typed = (st.session_state.get("cook-grams") or "").strip()
    if not typed:
        return
    try:
        grams = read_number(typed, "g", 50, 1_000_000)
    except BlendlabError as problem:
        grams = str(problem)
    if isinstance(grams, str | Ambiguous):
        st.html(f'<p class="bl-bad" role="alert">{escape(str(grams))}</p>')
        return
    made = stocking.cooking(item, shelf, grams, memo.book(), state.today())
    parts.findings(made.findings, "cook", "Nothing stands in the way of cooking it.")
    unit = batching.settings(state.folder()).weigh_in
    if made.lines:
        st.html(f'<div class="bl-cups">{page_batch.table(list(made.cups.items()), unit)}</div>')
        with st.container(horizontal=True, gap="small"):
            st.button("Cook it in the kitchen view", type="primary", on_click=_start, args=(item, made))
            st.download_button(
                "Sheet (PDF)",
                data=lambda: batching.sheet_pdf(made, "", state.today(), ""),
                file_name=f"cook-{item.id}.pdf",
                mime="application/pdf",
                on_click="ignore",
            )


def _start(item: Base, made) -> None:
    book = memo.book()
    code = book.start(made, state.today(), kind="base", sku="BASE")
    book.write("note", "base", {"id": item.id}, code)
    page_batch.open_kitchen(code)


def _compare(item: Base, shelf) -> None:
    st.text_input("Make or buy: price of a kg bought", key="buy-per-kg")
    typed = (st.session_state.get("buy-per-kg") or "").strip()
    if typed:
        try:
            price = read_number(typed, "", 0, 100_000)
            fixed = batching.settings(state.folder()).fixed_per_year
            said = (
                str(price)
                if isinstance(price, Ambiguous)
                else stocking.make_or_buy(item, shelf, price, fixed)
            )
        except BlendlabError as problem:
            said = str(problem)
        parts.small(said)
