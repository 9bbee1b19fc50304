"""Oils on the Shelf: one oil by its sheet, many pasted or from a file, dilutions, what is known of one."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab import units
from blendlab.forms import dilutions, oil_tables, oil_texts
from blendlab.forms import oils as shelf_oils
from blendlab.shelf import Oil
from blendlab.show import oil_state
from blendlab.tables import text_of
from blendlab.ui import forms, memo, parts, state, words

WAYS = {"one": "One oil", "many": "Many oils"}
TABLE_HINT = "Name;Amendment;9;5A;Linalool;Limonene;Flash point;Lot\nReed accord;51;4,6;1,2;12,5;<0,1;78;R-12"


def form() -> None:
    """Add oils: one by its sheet, or many from a table."""
    ss = st.session_state
    if "new-name" not in ss:
        ss.pop("new-edit", None)  # the fields were left: what is typed now is another oil
    editing = bool(ss.get("new-edit"))
    parts.heading("New lot or sheet" if editing else "Add an oil")
    if not editing:
        st.segmented_control(
            "How many",
            list(WAYS),
            format_func=WAYS.__getitem__,
            required=True,
            default="one",
            key="new-way-oil",
            width="stretch",
            label_visibility="collapsed",
        )
    if ss.get("new-way-oil") == "many" and not editing:
        _many()
    else:
        _one()


def _one() -> None:
    st.text_input("Name", key="new-name", max_chars=80)
    kind, library, part = st.columns(3, gap="small")
    kind.selectbox(
        "What it is", list(words.OIL_GROUPS), format_func=words.OIL_GROUPS.__getitem__, key="new-group"
    )
    known = {"": "not in the library", **oil_state.library_names()}
    library.selectbox("Plant it comes from", list(known), format_func=known.__getitem__, key="new-library")
    plant = ["", *oil_state.parts_of_plants()]
    part.selectbox(
        "Part of the plant",
        plant,
        format_func=lambda one: one.replace("_", " ") or "not entered",
        key="new-part",
    )
    _sheet()
    _declaration()
    _understood()
    _figures()
    forms.answers("oil")
    forms.put("oil", shelf_oils.add_oil)


def _sheet() -> None:
    amendment, issued, document = st.columns([2, 3, 3], gap="small")
    amendment.text_input("Amendment", key="new-amendment", placeholder="51", help="Printed on its sheet.")
    issued.text_input("Sheet issued", key="new-issued", placeholder="2026-02-14")
    document.text_input("Document", key="new-document", max_chars=120)
    st.text_area(
        "Highest percent of the oil in the jar, by category",
        key="new-limits",
        height=110,
        placeholder="5A 1,2\n9 4.6\n12 no restriction\n1 N/A",
    )


def _declaration() -> None:
    st.text_area(
        "Declared allergens, of the oil",
        key="new-declared",
        height=110,
        placeholder="Linalool 12,5\n106-24-1 0.8\nCoumarin <0.01",
    )
    unit, names = st.columns(2, gap="small")
    with unit:
        _unit("new-unit")
    names.selectbox(
        "Declared by", ["new81", "old26"], key="new-names", format_func=shelf_oils.LIST_NAMES.__getitem__
    )
    st.checkbox("Every name of that list was looked for", key="new-complete")


def _unit(key: str) -> None:
    st.segmented_control(
        "Declared figures are",
        ["%", "ppm"],
        format_func=lambda one: f"{one} of the oil",
        key=key,
        width="stretch",
    )


def _understood() -> None:
    """What every pasted line was read as."""
    typed = {key: st.session_state.get(f"new-{key}") for key in ("limits", "declared", "unit")}
    lines = shelf_oils.preview(typed)
    if not lines:
        return
    wrong = sum(bool(one.problem) for one in lines)
    with st.expander(f"Read: {len(lines) - wrong} lines understood, {wrong} not", expanded=wrong > 0):
        rows = "".join(
            f"<tr><td>{escape(one.text)}</td><td>{_bad(one.problem) or escape(one.read)}</td></tr>"
            for one in lines
        )
        st.html(f'<table class="bl-table bl-read"><tbody>{rows}</tbody></table>')


def _bad(text: str) -> str:
    return f'<span class="bl-bad">{escape(text)}</span>' if text else ""


def _figures() -> None:
    rows = (
        (
            ("Flash point, C", "flash", ""),
            ("Vanillin, %", "vanillin", ""),
            ("Ethyl vanillin, %", "ethyl", ""),
            ("Density, g/ml", "density", ""),
        ),
        (
            ("Supplier", "supplier", ""),
            ("Lot", "lot", ""),
            ("Price per kg", "price", ""),
            ("CAS of the oil", "cas", "8000-28-0"),
        ),
        (
            ("Oil received", "received", "2026-03-01"),
            ("Opened", "opened", "2026-04-01"),
            ("Use by", "expiry", "2027-12-01"),
            ("Peroxides measured", "measured", "2026-04-01"),
        ),
        (
            ("Peroxides, mmol/l", "peroxide", ""),
            ("Top note, %", "top", ""),
            ("Middle note, %", "middle", ""),
            ("Base note, %", "base", ""),
        ),
    )
    for row in rows:
        for place, (label, key, hint) in zip(st.columns(4, gap="small"), row, strict=True):
            place.text_input(label, key=f"new-{key}", placeholder=hint or None, max_chars=40)
    st.text_input("Solvent or phthalate note of the supplier", key="new-solvent", max_chars=200)


def _many() -> None:
    parts.small(
        "First line: the names of the columns. A category such as 9 or 5A is a column, a declared substance"
        " is a column by name or CAS. An empty cell is unknown, never 0."
    )
    upload = st.file_uploader("CSV file", type=["csv", "tsv", "txt"], key="new-file", max_upload_size=5)
    st.text_area("Or paste the table", key="new-table", height=150, placeholder=TABLE_HINT)
    unit, names = st.columns(2, gap="small")
    with unit:
        _unit("new-unit")
    names.selectbox(
        "Declared by", ["new81", "old26"], key="new-names", format_func=shelf_oils.LIST_NAMES.__getitem__
    )
    st.checkbox("Every name of that list was looked for", key="new-complete")
    st.checkbox("A row takes the place of an oil of the same name", key="new-update")
    text = text_of(upload.getvalue()) if upload is not None else st.session_state.get("new-table") or ""
    if not text.strip():
        _buttons(None)
    elif not st.session_state.get("new-unit"):
        st.html(f'<p class="bl-bad" role="alert">{words.ASK_UNIT}</p>')
        _buttons(None)
    else:
        _table(text)


def _table(text: str) -> None:
    ss = st.session_state
    table = oil_tables.read_table(
        memo.shelf(), text, ss["new-unit"], ss["new-names"], bool(ss["new-complete"]), bool(ss["new-update"])
    )
    for one in table.problems:
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    unused = [one.head for one in table.columns if not one.kind and one.head]
    if unused:
        parts.small("Columns that are not used: " + ", ".join(unused) + ".")
    left = len(table.rows) - len(table.oils)
    parts.small(f"{len(table.oils)} rows understood, {left} not; those are left out.")
    forms.answers("oils")
    _buttons(table)
    body = "".join(_table_row(row) for row in sorted(table.rows, key=lambda one: one.oil is not None))
    if body:
        st.html(
            '<table class="bl-table bl-read"><thead><tr><th>row</th><th>oil</th><th>read as</th></tr></thead>'
            f"<tbody>{body}</tbody></table>"
        )


def _table_row(row: Any) -> str:
    told = (
        [escape(one) for one in (*row.read, *row.notes)] if row.oil else [_bad(one) for one in row.problems]
    )
    return f"<tr><td>{row.number}</td><td>{escape(row.name)}</td><td>{'; '.join(told)}</td></tr>"


def _buttons(table: Any) -> None:
    count = len(table.oils) if table else 0
    with st.container(horizontal=True):
        word = f"Put {count} {'oil' if count == 1 else 'oils'} on the shelf"
        st.button(
            word, type="primary", key="put-oils", disabled=not count, on_click=_put_table, args=(table,)
        )
        st.button("Leave", type="tertiary", key="leave-oils", on_click=forms.leave)


def _put_table(table: Any) -> None:
    ss = st.session_state
    done, wrong = oil_tables.put_table(state.folder(), memo.shelf(), table)
    left = len(table.rows) - len(table.oils)
    if wrong:
        ss.answers = {"kind": "oils", "texts": wrong}
        return
    forms.leave()
    told = f"{done} {'oil is' if done == 1 else 'oils are'} on the shelf."
    if left:
        told += f" {left} {'row was' if left == 1 else 'rows were'} not understood and left out."
    ss.said = {"text": told, "fresh": False}


# --- one oil on the shelf -------------------------------------------------------------------------


def facts(item: Oil) -> list[tuple[str, str]]:
    """What is known of an oil, as rows."""
    sheet, said = item.sheet, item.declaration
    limits = oil_texts.in_order(sheet.limits) if sheet else {}
    figures = ", ".join(f"{key}: {units.plain(pct)} %" for key, pct in limits.items())
    notes = item.notes and ", ".join(
        f"{name} {share * 100:.0f} %"
        for name, share in zip(("top", "middle", "base"), item.notes, strict=True)
    )
    days = [f"{one.text}" for one in oil_state.ahead(item, state.today())]
    return [
        ("Sheet", oil_state.sheet_words(item, state.today())),
        ("Highest percent of the jar, by category", figures),
        ("Declared names", _declared(item)),
        ("Dilution", f"{units.plain(item.dilution_pct)} % in {item.carrier}" if item.dilution_pct else ""),
        ("Notes", notes or "not entered"),
        ("Flash point", _known(item.flash_c, "C")),
        ("Vanillin", _known(item.vanillin_pct, "% of the oil")),
        ("Density", _known(item.density_g_ml, "g/ml")),
        ("Peroxides", _known(item.peroxide_mmol_l, "mmol/l", item.peroxide_on)),
        (
            "Price",
            f"{units.plain(item.price_per_g * 1000, 2)} per kg"
            if item.price_per_g is not None
            else "not known",
        ),
        ("Part of the plant", item.plant_part.replace("_", " ")),
        ("CAS", item.cas),
        ("Own name on the label", item.label_name),
        ("Solvent", item.solvent),
        ("Supplier", item.supplier),
        ("Lot", item.lot),
        ("Received", item.received.isoformat() if item.received else "not entered"),
        ("Opened", item.opened.isoformat() if item.opened else ""),
        ("Use by", item.expiry.isoformat() if item.expiry else "not entered"),
        ("Declaration", said.issued.isoformat() if said and said.issued else ""),
        ("To look at again", " ".join(days)),
    ]


def _known(value: float | None, unit: str, on: Any = None) -> str:
    if value is None:
        return "not known"
    return f"{units.plain(value)} {unit}" + (f", {on.isoformat()}" if on else "")


def _declared(item: Oil) -> str:
    said = item.declaration
    if said is None:
        return "no declaration"
    whole = "complete" if said.complete else "not complete: what is absent is unknown"
    return f"{len(said.rows)} by {shelf_oils.LIST_NAMES[said.names]}, {whole}"


def acts(item: Oil) -> None:
    """What can be done with an oil: a new lot or sheet, a dilution."""
    st.button("New lot or sheet", key=f"edit-{item.id}", on_click=_edit, args=(item.id,))
    with st.expander("Make a dilution of it", key=f"dilute-{item.id}"):
        _dilution(item)


def _edit(item_id: str) -> None:
    ss = st.session_state
    forms.leave()
    item = memo.shelf().today("oil", item_id)
    for key, value in oil_texts.typed_of(item).items():
        ss[f"new-{key}"] = value
    ss.adding = "oil"


def _dilution(item: Oil) -> None:
    pct, carrier = st.columns([1, 2], gap="small")
    pct.text_input("Pure oil, %", key="thin-pct", placeholder="10")
    carrier.text_input("In which carrier", key="thin-carrier", max_chars=60)
    st.selectbox(
        "The carrier holds",
        list(dilutions.CARRIER),
        format_func=dilutions.CARRIER.__getitem__,
        index=None,
        placeholder="its sheet tells",
        key="thin-holds",
    )
    if st.session_state.get("thin-holds") == "listed":
        st.text_area("Declared in the carrier", key="thin-declared", height=90, placeholder="Limonene <0.01")
        _unit("thin-unit")
    forms.answers("dilution")
    st.button("Put the dilution on the shelf", key="put-dilution", on_click=_put_dilution, args=(item.id,))


def _put_dilution(item_id: str) -> None:
    ss = st.session_state
    keys = [one for one in ss if isinstance(one, str) and one.startswith("thin-")]
    typed = {key.removeprefix("thin-"): ss[key] for key in keys}
    item = memo.shelf().today("oil", item_id)
    made, wrong, _ = dilutions.add_dilution(state.folder(), memo.shelf(), item, typed)
    if wrong:
        ss.answers = {"kind": "dilution", "texts": wrong}
        return
    for key in keys:
        del ss[key]
    ss.answers, ss.thing = {}, made.id
    ss.said = {"text": f"{made.name} is on the shelf.", "fresh": False}
