"""What the world allows on skin: IFRA Standards, law, categories of products, single figures.

Every word of the column `engine_use` is defined here and nowhere else: `ENGINE_USE`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Literal

from blendlab.errors import BadFacts, UnknownName
from blendlab.facts.read import maybe_number, number, table

Row = Mapping[str, str]
Act = Literal["limit", "ask", "material", "advice", "nothing"]


@dataclass(frozen=True)
class EngineUse:
    """What one word of `engine_use` does.

    act       "limit" lowers a ceiling; "ask" is a restriction without a figure here, shown as not
              checked; "material" concerns the raw material; "advice" gives a caution; "nothing"
    verified  the figure was read in its source and is not known to be replaced
    shown     how a screen says it
    """

    act: Act
    verified: bool
    shown: str


ENGINE_USE: dict[str, EngineUse] = {
    "block": EngineUse("limit", True, "listed"),
    "block_if_no_newer": EngineUse("limit", False, "listed; a later revision exists and was not read"),
    "apply_unverified": EngineUse("limit", False, "unverified"),
    "ask_certificate": EngineUse("ask", False, "no figure here; the supplier's sheet answers"),
    "raw_material_check": EngineUse("material", True, "a rule for the raw material"),
    "advice": EngineUse("advice", True, "advice, not law"),
    "info": EngineUse("nothing", False, "for reading only"),
    "no_limit": EngineUse("nothing", True, "no restriction for this use"),
}


@dataclass(frozen=True)
class Limit:
    """One highest percent of a substance, a sum of substances or an oil in the finished product.

    kind   "standard" (IFRA) or "law"
    cas    all registry numbers that are summed
    pct    % of the finished product; 0 = prohibited; None = no figure here
    scope  category or words of the law
    photo  limit of a phototoxic oil: it counts in the sum rule, not by itself
    """

    name: str
    kind: Literal["standard", "law"]
    cas: tuple[str, ...]
    pct: float | None
    use: EngineUse
    scope: str
    source: str
    checked_on: str
    photo: bool = False


@dataclass(frozen=True)
class Product:
    """A kind of product: its IFRA category, whether it is rinsed off, the scopes of law it falls under.

    also      a further category and how it counts: "bind" (the smaller figure) or "caution"
    load_pct  usual load to start from; `usual_high_pct` the upper end of common practice
    """

    name: str
    category: str
    rinse: Literal["rinse_off", "leave_on", "not_cosmetic"]
    scopes: frozenset[str]
    also: str
    also_use: str
    also_why: str
    load_pct: float | None
    usual_high_pct: float | None


def use_of(row: Row, name: str) -> EngineUse:
    """Meaning of the word in a row's `engine_use`; an unknown word is refused.

    Raises BadFacts.
    """
    word = row["engine_use"]
    if word not in ENGINE_USE:
        raise BadFacts(name, 0, f'engine_use is "{word}"; one of {", ".join(ENGINE_USE)}')
    return ENGINE_USE[word]


def split(cell: str) -> tuple[str, ...]:
    """Entries of a cell that holds several, separated by semicolons."""
    return tuple(one.strip() for one in cell.split(";") if one.strip())


@cache
def figures() -> Mapping[str, str]:
    """Single figures by key."""
    return {row["key"]: row["value"] for row in table("fragrance/figures.csv")}


def figure(key: str) -> float:
    """One figure as a number.

    >>> figure("gate.cap_c")
    45.0
    """
    return float(figures()[key])


@cache
def products() -> Mapping[str, Product]:
    """Kinds of product by name."""
    words = {row["word"] for row in table("fragrance/scopes.csv")}
    found = {}
    for line, row in enumerate(table("fragrance/products.csv"), start=2):
        scopes = frozenset(row["scopes"].split())
        if not scopes <= words:
            raise BadFacts("fragrance/products.csv", line, f"scopes has {sorted(scopes - words)}")
        found[row["product"]] = Product(
            row["product"],
            row["ifra_category"],
            row["eu_class"],  # type: ignore[arg-type]
            scopes,
            row["also_category"],
            row["also_use"],
            row["also_why"],
            maybe_number(row, "default_load_pct"),
            maybe_number(row, "usual_high_pct"),
        )
    return found


def product(name: str) -> Product:
    """One kind of product; UnknownName when there is none.

    >>> product("whipped_soap").category, product("body_butter").rinse
    ('9', 'leave_on')
    """
    if name not in products():
        raise UnknownName("product", name, products())
    return products()[name]


def strictest(kinds: Sequence[Product]) -> Product:
    """One jar sold as several kinds: under every scope, on the skin if one kind stays there.

    >>> strictest([product("whipped_soap"), product("hand_cream")]).rinse
    'leave_on'
    """
    usual = [one.usual_high_pct for one in kinds if one.usual_high_pct is not None]
    rinse = min((one.rinse for one in kinds), key=("leave_on", "rinse_off", "not_cosmetic").index)
    scopes = frozenset().union(*(one.scopes for one in kinds))
    return replace(kinds[0], rinse=rinse, scopes=scopes, usual_high_pct=min(usual, default=None))


def categories_of(kinds: Sequence[Product]) -> list[str]:
    """Categories of some kinds, each once, with those that bind besides."""
    found = [one for of in kinds for one in (of.category, of.also if of.also_use == "bind" else "") if one]
    return list(dict.fromkeys(found))


@cache
def categories() -> tuple[str, ...]:
    """The IFRA categories in their order."""
    return tuple(row["category"] for row in table("fragrance/categories.csv"))


@cache
def restricted() -> tuple[tuple[str, frozenset[str]], ...]:
    """Standards of the index that restrict a use (types with R): material and registry numbers."""
    return tuple(
        (row["material"], frozenset(split(row["cas_numbers"])))
        for row in table("fragrance/ifra_index.csv")
        if "R" in row["standard_type"].split("-")
    )


@cache
def standards(category: str) -> tuple[Limit, ...]:
    """IFRA Standards as they stand for one category: a limit, a question, or nothing at all.

    A figure of the category goes before the row for all; figures of a later amendment go first.

    >>> [one.pct for one in standards("9") if one.name == "Rose ketones"]
    [0.084]
    """
    name = "fragrance/ifra_limits.csv"
    chosen: dict[str, Row] = {}
    last: dict[str, Row] = {}
    for row in table(name):
        use_of(row, name)
        if not row["cas_numbers"]:
            continue
        last[row["material"]] = row
        if row["category"] in (category, "(all)"):
            held = chosen.get(row["material"])
            if held is None or _rank(row) > _rank(held):
                chosen[row["material"]] = row
    limits = [_standard(row, name) for row in chosen.values()]
    limits += [_question(row, row["material"]) for material, row in last.items() if material not in chosen]
    covered = {cas for row in last.values() for cas in split(row["cas_numbers"])}
    limits += _only_indexed(covered)
    return tuple(one for one in limits if one.use.act != "nothing")


def _only_indexed(covered: set[str]) -> list[Limit]:
    """Standards known by their index line only: prohibited ones bind, restricted ones are questions."""
    found = []
    for row in table("fragrance/ifra_index.csv"):
        rest = tuple(cas for cas in split(row["cas_numbers"]) if cas not in covered)
        kinds = row["standard_type"].split("-")
        if rest and kinds == ["P"]:
            found.append(replace(_question(row, row["material"]), cas=rest, pct=0.0, use=ENGINE_USE["block"]))
        elif rest and ("R" in kinds or "P" in kinds):
            found.append(replace(_question(row, row["material"]), cas=rest))
    return found


def _question(row: Row, material: str) -> Limit:
    """A restriction without a figure for this category."""
    return Limit(
        name=material,
        kind="standard",
        cas=split(row["cas_numbers"]),
        pct=None,
        use=ENGINE_USE["ask_certificate"],
        scope="(all)",
        source=row["source"],
        checked_on=row["checked_on"],
    )


def _rank(row: Row) -> tuple[bool, int]:
    return row["category"] != "(all)", int(row["amendment"] or 0)


def _standard(row: Row, name: str) -> Limit:
    return Limit(
        name=row["material"],
        kind="standard",
        cas=split(row["cas_numbers"]),
        pct=maybe_number(row, "limit_percent"),
        use=use_of(row, name),
        scope=row["category"],
        source=row["source"],
        checked_on=row["checked_on"],
        photo=row["critical_effect"] == "phototoxicity" and "oil" in row["material"].split(),
    )


@cache
def laws(scopes: frozenset[str], on: date) -> tuple[Limit, ...]:
    """Figures of EU law for products of these scopes, in force on that day; the smallest per name."""
    name = "fragrance/law_limits.csv"
    words = {row["word"] for row in table("fragrance/scopes.csv")}
    smallest: dict[tuple[str, str], Limit] = {}
    for line, row in enumerate(table(name), start=2):
        applies = frozenset(row["applies_to"].split())
        if not applies or not applies <= words:
            raise BadFacts(name, line, f"applies_to has {sorted(applies - words)}")
        use = use_of(row, name)
        later = row["valid_from"] and date.fromisoformat(row["valid_from"]) > on
        if use.act not in ("limit", "advice") or not applies & scopes or later or not row["limit_percent"]:
            continue
        pct = number(row, "limit_percent")
        label = (row["sum_group"] and f"{row['sum_group'].capitalize()} together") or row["substance"]
        limit = Limit(
            label,
            "law",
            split(row["cas_numbers"]),
            pct,
            use,
            row["product_scope"],
            row["source"],
            row["checked_on"],
        )
        held = smallest.get((label, use.act))
        if held is None or (held.pct or 0) > pct:
            smallest[label, use.act] = limit
    return tuple(smallest.values())


@cache
def law_days(scopes: frozenset[str]) -> tuple[tuple[date, str], ...]:
    """Days from which a figure of law holds for products of these scopes, and what it limits."""
    rows = [row for row in table("fragrance/law_limits.csv") if row["valid_from"] and row["limit_percent"]]
    days = {
        (date.fromisoformat(row["valid_from"]), row["substance"])
        for row in rows
        if scopes & frozenset(row["applies_to"].split())
    }
    return tuple(sorted(days))


@cache
def peroxides() -> Mapping[str, tuple[str, float, str]]:
    """Raw materials with a peroxide rule: CAS -> name, highest mmol/l, source."""
    found = {}
    for row in table("fragrance/law_limits.csv"):
        if row["peroxide_max_mmol_l"]:
            for cas in split(row["cas_numbers"]):
                found[cas] = (row["substance"], number(row, "peroxide_max_mmol_l"), row["source"])
    return found


@cache
def plant_parts() -> Mapping[str, bool]:
    """Words for the part of the plant -> whether such an oil counts in the phototoxic sum."""
    return {
        row["word"]: row["counts_in_phototoxic_sum"] == "yes" for row in table("fragrance/plant_parts.csv")
    }


@cache
def small_children() -> Mapping[str, str]:
    """Substances to keep from children under three: CAS -> word."""
    return {row["cas"]: row["word"] for row in table("fragrance/children.csv")}
