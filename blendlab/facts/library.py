"""The library of oils, and the oils of the demo shelf with invented sheets and declarations.

A library oil carries what is known of its kind and no sheet: its constituents are placeholders
until the analysis of a lot is entered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cache

from blendlab.errors import UnknownName
from blendlab.facts.allergens import by_cas
from blendlab.facts.products import categories
from blendlab.facts.read import Row, day, maybe_day, maybe_number, number, table
from blendlab.recipe import slug
from blendlab.shelf import Constituent, Declaration, Declared, Oil, Sheet


@cache
def oils() -> tuple[Oil, ...]:
    """Every oil of the library, without a sheet.

    >>> [oil.name for oil in oils()][:2]
    ['Lavender', 'Sweet orange cold pressed']
    """
    inside: dict[str, dict[str, Constituent]] = {}
    for row in table("fragrance/oil_constituents"):
        if row["cas"]:
            inside.setdefault(row["oil_id"], {})[row["cas"]] = _constituent(row)
    return tuple(_oil(row, inside.get(row["oil_id"], {})) for row in table("fragrance/oils"))


def _constituent(row: Row) -> Constituent:
    return Constituent(
        name=row["constituent"],
        low=number(row, "low_pct"),
        typical=number(row, "typical_pct"),
        high=number(row, "high_pct"),
        source=f"{row['source']} ({row['source_kind'].replace('_', ' ')})",
    )


def _oil(row: Row, inside: Mapping[str, Constituent]) -> Oil:
    return Oil(
        id=slug(row["name"]),
        name=_capital(row["name"]),
        group=row["kind"],
        constituents=inside,
        notes=(number(row, "top_share"), number(row, "middle_share"), number(row, "base_share")),
        flash_c=maybe_number(row, "flash_point_C"),
        density_g_ml=maybe_number(row, "density_20C_g_ml"),
        vanillin_pct=_high_or("121-33-5", inside, maybe_number(row, "vanillin_pct_typical")),
        ethyl_vanillin_pct=_high_or("121-32-4", inside, maybe_number(row, "ethyl_vanillin_pct_typical")),
        price_per_g=maybe_number(row, "price_per_g_invented"),
        cas=row["cas"],
        inci=row["inci"],
        plant_part=row["plant_part"],
        label_name=row["eu_label_name_of_the_oil"],
        library_id=row["oil_id"],
    )


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]


def _high_or(cas: str, inside: Mapping[str, Constituent], typical: float | None) -> float | None:
    return inside[cas].high if cas in inside else typical


@cache
def oil(library_id: str) -> Oil:
    """One oil of the library by its id.

    Raises UnknownName.

    >>> oil("EO01").name
    'Lavender'
    """
    known = _by_id()
    if library_id not in known:
        raise UnknownName("oil of the library", library_id, known)
    return known[library_id]


@cache
def _by_id() -> Mapping[str, Oil]:
    return {known.library_id: known for known in oils()}


def sheet_of(row: Row) -> Sheet:
    """Sheet in a row of invented sheets: one column a category, an empty cell is not for that use."""
    columns = {category: f"cat_{category}" for category in categories()}
    limits = {category: number(row, column) for category, column in columns.items() if row[column]}
    return Sheet(
        amendment=int(number(row, "amendment")),
        issued=day(row, "certificate_date"),
        limits=limits,
        document=row["document"],
    )


@cache
def demo_oils() -> tuple[Oil, ...]:
    """Oils of the demo shelf; sheets, lots and declarations are invented.

    >>> [oil.name for oil in demo_oils() if oil.sheet is None]
    ['Green stem accord']
    """
    return tuple(_demo(row) for row in table("fragrance/demo_sheets"))


def _demo(row: Row) -> Oil:
    if not row["oil_id"]:
        return _without_sheet(row)
    known = oil(row["oil_id"])
    issued = day(row, "certificate_date")
    return replace(
        known,
        id=slug(row["oil"]),
        name=_capital(row["oil"]),
        sheet=sheet_of(row),
        declaration=_declaration(known, issued),
        supplier=row["supplier"],
        lot=row["lot"],
        received=day(row, "received"),
        expiry=day(row, "expiry"),
        peroxide_mmol_l=maybe_number(row, "peroxide_mmol_l"),
        peroxide_on=maybe_day(row, "peroxide_on"),
    )


def _declaration(known: Oil, issued: date) -> Declaration:
    """Complete declaration of the highest contents, each row under the number of its constituent."""
    rows = {cas: Declared(pct=part.high) for cas, part in known.constituents.items() if cas in by_cas()}
    return Declaration(names="new81", issued=issued, rows=rows, complete=True)


def _without_sheet(row: Row) -> Oil:
    return Oil(
        id=slug(row["oil"]),
        name=_capital(row["oil"]),
        group="fragrance_oil",
        inci="Parfum",
        supplier=row["supplier"],
        lot=row["lot"],
        received=day(row, "received"),
        expiry=day(row, "expiry"),
    )
