"""Raw materials and the habits of the bench: densities, units, preservatives, words for a label."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from blendlab import units
from blendlab.errors import BadNumber, UnknownName
from blendlab.facts.limits import product
from blendlab.facts.palette import PEARLS
from blendlab.facts.read import maybe_number, number, table
from blendlab.recipe import Ref
from blendlab.shelf import BaseLine, Component, Ingredient, Pigment


class Habit(NamedTuple):
    """A figure of practice: low, usual and high, its unit, where it comes from."""

    low: float
    usual: float
    high: float
    unit: str
    source: str


@cache
def practice(name: str) -> Habit:
    """One habit of the bench by name.

    >>> practice("loss").usual, practice("loss").source
    (0.04, 'common practice')
    """
    rows = {row["id"]: row for row in table("batch/practice.csv")}
    if name not in rows:
        raise UnknownName("habit", name, rows)
    row = rows[name]
    low, usual, high = (number(row, column) for column in ("low", "typical", "high"))
    return Habit(low, usual, high, row["unit"], row["source"])


@cache
def usual(name: str) -> float:
    """The usual value of one habit."""
    return practice(name).usual


class MassDensity(NamedTuple):
    """Density in g/ml: low, usual, high; `kind` is "true", "bulk_loose", "bulk_tapped" or "apparent"."""

    low: float
    usual: float
    high: float
    kind: str


@cache
def densities() -> Mapping[str, MassDensity]:
    """Densities of raw materials by name.

    >>> densities()["glycerin"].usual
    1.261
    """
    return {
        row["material"]: MassDensity(
            number(row, "low"), number(row, "typical"), number(row, "high"), row["kind"]
        )
        for row in table("batch/densities.csv")
    }


class Rate(NamedTuple):
    """Usual percents of a material: low, usual, high, of what, and why there is a most."""

    low: float
    usual: float
    high: float
    unit: str
    why: str
    source: str


@cache
def usage_rate(material: str, kind: str) -> Rate | None:
    """Usual percents of a material in a kind of product, or None.

    >>> usage_rate("mica pearl pigment", "whipped_soap").high
    2.0
    """
    for row in table("batch/usage_rates.csv"):
        if row["material"] == material and row["product"] in (kind, "any"):
            low, middle, high = (number(row, one) for one in ("low", "typical", "high"))
            return Rate(low, middle, high, row["unit"], row["why"], row["source"])
    return None


def convert(value: float, unit: str, to: str) -> float:
    """A mass, a volume, a length or a temperature in another unit, by the names of the table.

    Raises BadNumber for two units that do not fit.

    >>> convert(1.0, "fl_oz_us", "ml")
    29.5735295625
    """
    degrees = {"degF": "F", "degC": "C", "F": "F", "C": "C"}
    if unit in degrees and to in degrees:
        return value if degrees[unit] == degrees[to] else units.convert(value, degrees[unit], degrees[to])
    known = _units()
    if unit not in known or to not in known or known[unit][0] != known[to][0]:
        raise BadNumber(f"{value:g} {unit}", to)
    return value if unit == to else value * known[unit][1] / known[to][1]


@cache
def _units() -> Mapping[str, tuple[str, float]]:
    """Unit -> its quantity and its size in g, ml or mm."""
    found = {row["name"]: (row["quantity"], number(row, "factor")) for row in table("batch/units.csv")}
    sizes = {"g": ("mass", 1.0), "ml": ("volume", 1.0), "mm": ("length", 1.0), "l": ("volume", 1000.0)}
    return {**found, **sizes, "cm": ("length", 10.0)}


class ActiveLimit(NamedTuple):
    """Highest percent of a preservative active in the finished product; the acid counts for its salts."""

    active: str
    cas: str
    pct: float
    basis: str
    source: str


@cache
def active_limits(kind: str) -> Mapping[str, ActiveLimit]:
    """Limits of preservative actives for a kind of product: name in small letters -> limit.

    >>> active_limits("whipped_soap")["phenoxyethanol"].pct, active_limits("body_butter")["benzoic acid"].pct
    (1.0, 0.5)
    """
    column = "leave_on_pct" if product(kind).rinse == "leave_on" else "rinse_off_pct"
    return {
        row["active"].lower(): ActiveLimit(
            row["active"], row["cas"], number(row, column), row["basis"], row["source"]
        )
        for row in table("batch/preservative_limits.csv")
    }


class Acid(NamedTuple):
    """An acid preservative or its salt: the acid it counts as, both molar masses, pKa of the acid."""

    acid: str
    g_mol_salt: float
    g_mol_acid: float
    pka: float
    source: str


@cache
def acids() -> Mapping[str, Acid]:
    """Acid preservatives and their salts, by name in small letters."""
    return {
        row["salt"].lower(): Acid(
            row["acid"],
            number(row, "g_mol_salt"),
            number(row, "g_mol_acid"),
            number(row, "pka"),
            row["source"],
        )
        for row in table("batch/acids.csv")
    }


@cache
def ingredients() -> tuple[Ingredient, ...]:
    """Raw materials of the demo shelf, invented.

    >>> [one.name for one in ingredients() if one.function == "preservative"]
    ['Preservative A']
    """
    inside: dict[str, list[Component]] = {}
    for row in table("batch/components.csv"):
        low, high = number(row, "low_pct"), number(row, "high_pct")
        part = Component(inci=row["inci"], cas=row["cas"], low_pct=low, high_pct=high)
        inside.setdefault(row["ingredient"], []).append(part)
    return tuple(_ingredient(row, tuple(inside[row["id"]])) for row in table("batch/ingredients.csv"))


def _ingredient(row: Mapping[str, str], components: tuple[Component, ...]) -> Ingredient:
    return Ingredient(
        id=row["id"],
        name=row["name"],
        function=row["function"],
        phase=row["phase"],
        components=components,
        water_pct=maybe_number(row, "water_pct"),
        active_pct=number(row, "active_pct"),
        density_g_ml=maybe_number(row, "density_g_ml"),
        charge=row["charge"],
        price_per_g=maybe_number(row, "price_per_g"),
        low_pct=maybe_number(row, "low_pct"),
        high_pct=maybe_number(row, "high_pct"),
        add_below_c=maybe_number(row, "add_below_c"),
        care=row["care"],
    )


@cache
def whip_formula() -> tuple[BaseLine, ...]:
    """Lines of the demo's whipped base, percent of the base; they add up to 100.

    >>> round(sum(line.pct for line in whip_formula()), 6)
    100.0
    """
    return tuple(
        BaseLine(ingredient=Ref(kind="ingredient", id=row["ingredient"]), pct=number(row, "pct"))
        for row in table("batch/whip_formula.csv")
    )


@cache
def label_words(market: str, kind: str) -> tuple[str, ...]:
    """Warnings and use text for a kind of product in a market."""
    return tuple(
        row["text"]
        for row in table("batch/warnings.csv")
        if row["market"] in ("*", market) and kind in row["products"].split()
    )


@cache
def maker_tasks(market: str) -> tuple[str, ...]:
    """What only the maker can do before she sells in a market."""
    rows = table("batch/maker_tasks.csv")
    return tuple(f"{row['text']} ({row['source']})" for row in rows if row["market"] in ("*", market))


@cache
def claims() -> Mapping[str, tuple[str, str]]:
    """Words that a cosmetic may not say -> a pattern in small letters that finds them, and why."""
    return {row["word"]: (row["pattern"], row["why"]) for row in table("batch/claims.csv")}


def bulk_density(pigment: Pigment) -> MassDensity:
    """Density of a heap of pigment powder [g/ml], for a spoon only; a wide range for a kind not known.

    >>> from blendlab.facts.palette import pigments
    >>> bulk_density(next(one for one in pigments() if "77007" in one.ci)).high
    0.85
    """
    known = densities()
    if pigment.group in PEARLS:
        return known["mica pearl powder, bulk"]
    for name, numbers in _HEAPS.items():
        if pigment.ci and set(pigment.ci) <= numbers:
            return known[name]
    heaps = [one for one in known.values() if one.kind == "bulk_loose" and one.high < 1.2]
    return MassDensity(
        min(one.low for one in heaps),
        known["mica pearl powder, bulk"].usual,
        max(one.high for one in heaps),
        "bulk_loose",
    )


_HEAPS = {
    "iron oxide powder, bulk": frozenset({"77491", "77492", "77499"}),
    "ultramarine powder, bulk": frozenset({"77007"}),
    "titanium dioxide powder, bulk": frozenset({"77891"}),
    "kaolin powder, bulk": frozenset({"77004"}),
}


@cache
def us_colour_names() -> Mapping[str, str]:
    """Colour index number -> name that a US label uses."""
    return {row["ci"]: row["us"] for row in table("batch/colour_names.csv")}


class System(NamedTuple):
    """A preservative system: its names, usual percents, pH it works in, words of caution.

    temp_high_c  usual highest temperature, never a gate: the lot's own sheet decides, else 40 C
    refused      it does not preserve a surfactant foam by itself
    """

    name: str
    inci: frozenset[str]
    temp_high_c: float
    ph_low: float | None
    ph_high: float | None
    low_pct: float
    high_pct: float
    refused: bool
    warning: str
    source: str


@cache
def systems() -> tuple[System, ...]:
    """Preservative systems that are known by name.

    >>> [one.name for one in systems()][0]
    'phenoxyethanol + ethylhexylglycerin 90/10'
    """
    return tuple(
        System(
            row["system"],
            frozenset(one.strip().lower() for one in row["inci"].split(",") if one.strip()),
            number(row, "temp_high_c"),
            maybe_number(row, "ph_low"),
            maybe_number(row, "ph_high"),
            number(row, "low_pct"),
            number(row, "high_pct"),
            row["refused"] == "yes",
            row["warning"],
            row["source"],
        )
        for row in table("batch/preservatives.csv")
    )


def system_of(ingredient: Ingredient) -> System | None:
    """The system whose names are all among the components, the one of most names; None = not known.

    >>> system_of(next(one for one in ingredients() if one.function == "preservative")).ph_high
    10.0
    """
    names = {part.inci.lower() for part in ingredient.components}
    fitting = [one for one in systems() if one.inci and one.inci <= names]
    return max(fitting, key=lambda one: len(one.inci), default=None)
