"""One oil on the Shelf: what is known of it, a new lot or sheet, a dilution of it."""

from __future__ import annotations

from datetime import date

import streamlit as st

from blendlab import units
from blendlab.forms import dilutions, oil_texts
from blendlab.forms.oils import LIST_NAMES
from blendlab.shelf import Oil
from blendlab.show import oil_state
from blendlab.ui import memo, mishap, oil_table, parts, shelf_forms, state, typed
from blendlab.ui.words import oils as say

THIN = "thin-"
"""What the keys of the fields of a dilution begin with."""


NOT_THINNED = {"pct": "", "carrier": "", "holds": None, "declared": "", "unit": None}


def facts(oil: Oil) -> list[tuple[str, str]]:
    """What is known of an oil, as rows."""
    return [*_sheet_rows(oil), *_figure_rows(oil), *_lot_rows(oil)]


def _sheet_rows(oil: Oil) -> list[tuple[str, str]]:
    limits = oil_texts.in_order(oil.sheet.limits) if oil.sheet else {}
    figures = (say.LIMIT.format(category=key, pct=units.plain(pct)) for key, pct in limits.items())
    diluted = ""
    if oil.dilution_pct:
        diluted = say.DILUTED.format(pct=units.plain(oil.dilution_pct), carrier=oil.carrier)
    return [
        (say.SHEET, oil_state.sheet_words(oil, state.today())),
        (say.LIMIT_ROWS, ", ".join(figures)),
        (say.NAMES, _declared(oil)),
        (say.DILUTION, diluted),
    ]


def _declared(oil: Oil) -> str:
    said = oil.declaration
    if said is None:
        return say.NO_DECLARATION
    whole = say.COMPLETE_BY if said.complete else say.INCOMPLETE_BY
    return whole.format(count=len(said.rows), names=LIST_NAMES[said.names])


def _figure_rows(oil: Oil) -> list[tuple[str, str]]:
    notes, price = say.NOT_ENTERED, say.NOT_KNOWN
    if oil.notes:
        top, middle, base = (100 * share for share in oil.notes)
        notes = say.NOTES_SHARES.format(top=top, middle=middle, base=base)
    if oil.price_per_g is not None:
        price = say.PER_KG.format(money=units.plain(oil.price_per_g * 1000, 2), currency=parts.currency())
    peroxides = _known(say.MMOL_L, oil.peroxide_mmol_l)
    if oil.peroxide_mmol_l is not None and oil.peroxide_on:
        figure = units.plain(oil.peroxide_mmol_l)
        peroxides = say.MMOL_L_ON.format(figure=figure, day=oil.peroxide_on.isoformat())
    return [
        (say.NOTES, notes),
        (say.FLASH, _known(say.CELSIUS, oil.flash_c)),
        (say.VANILLIN, _known(say.OF_OIL, oil.vanillin_pct)),
        (say.DENSITY, _known(say.G_ML, oil.density_g_ml)),
        (say.PEROXIDES, peroxides),
        (say.PRICE, price),
    ]


def _known(said: str, value: float | None) -> str:
    return say.NOT_KNOWN if value is None else said.format(figure=units.plain(value))


def _lot_rows(oil: Oil) -> list[tuple[str, str]]:
    said = oil.declaration
    ahead = (reason.text for reason in oil_state.ahead(oil, state.today()))
    return [
        (say.PLANT_PART, oil.plant_part.replace("_", " ")),
        (say.CAS, oil.cas),
        (say.OWN_NAME, oil.label_name),
        (say.SOLVENT, oil.solvent),
        (say.SUPPLIER, oil.supplier),
        (say.LOT, oil.lot),
        (say.RECEIVED, _day(oil.received) or say.NOT_ENTERED),
        (say.OPENED, _day(oil.opened)),
        (say.USE_BY, _day(oil.expiry) or say.NOT_ENTERED),
        (say.DECLARATION, _day(said.issued) if said else ""),
        (say.LOOK_AGAIN, " ".join(ahead)),
    ]


def _day(on: date | None) -> str:
    return on.isoformat() if on else ""


def acts(oil: Oil) -> None:
    """What can be done with an oil: a new lot or sheet, a dilution."""
    shelf_forms.change(oil, say.NEW_LOT)
    with st.expander(say.DILUTE, key=f"dilute-{oil.id}"):
        _dilution(oil)


def _dilution(oil: Oil) -> None:
    typed.hold(_thin(oil.id), THIN, NOT_THINNED)
    pct, carrier = st.columns([1, 2], gap="small")
    pct.text_input(say.PURE, key=typed.key(THIN, "pct"), placeholder="10")
    carrier.text_input(say.CARRIER, key=typed.key(THIN, "carrier"), max_chars=60)
    holds = st.selectbox(
        say.CARRIER_HOLDS,
        list(dilutions.CARRIER),
        format_func=dilutions.CARRIER.__getitem__,
        index=None,
        placeholder=say.ITS_SHEET,
        key=typed.key(THIN, "holds"),
    )
    if holds == "listed":
        st.text_area(
            say.CARRIER_DECLARED, key=typed.key(THIN, "declared"), height=90, placeholder=say.CARRIER_HINT
        )
        oil_table.unit(typed.key(THIN, "unit"))
    shelf_forms.answers("dilution")
    st.button(say.PUT_DILUTION, key="put-dilution", on_click=_put_dilution, args=(oil.id,))


def _thin(oil_id: str) -> str:
    return f"dilution:{oil_id}"


@mishap.answered
def _put_dilution(oil_id: str) -> None:
    ss = st.session_state
    oil = memo.on_shelf(Oil, oil_id)
    made, wrong, _ = dilutions.add_dilution(state.folder(), memo.shelf(), oil, typed.fields(THIN))
    if made is None:
        ss.answers = {"kind": "dilution", "texts": wrong}
        return
    typed.forget(_thin(oil_id), THIN)
    ss.answers, ss.thing = {}, made.id
    parts.tell(say.PUT.format(name=made.name))
