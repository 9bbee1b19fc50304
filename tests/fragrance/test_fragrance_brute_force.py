"""A thousand random scents: the ceiling again from the tables themselves, without the room's own code.

Second route: every row of the csv files that applies is worked out by itself, IFRA by category, law by
scope and day; the sheets by their used fractions. The lowest of all is the ceiling.
"""

from __future__ import annotations

import csv
import random
from dataclasses import replace
from datetime import date
from importlib.resources import files

import pytest

from blendlab.facts.library import oils
from blendlab.fragrance import check
from tests.fragrance.kit import base, declared, scent, sheet

DAYS = (date(2026, 4, 30), date(2026, 5, 1), date(2026, 11, 25))
BINDING = ("block", "block_if_no_newer", "apply_unverified")
FREE_PARTS = {"peel_distilled", "peel_furocoumarin_free", "flower", "leaf", "herb", "bark", "bud", "wood",
              "resin", "lichen"}  # fmt: skip


def rows(name: str) -> list[dict[str, str]]:
    text = (files("blendlab.facts") / f"fragrance/{name}.csv").read_text(encoding="utf-8")
    return [
        {column.rstrip("*"): cell for column, cell in row.items()}
        for row in csv.DictReader(text.splitlines())
    ]


IFRA, LAW, INDEX = rows("ifra_limits"), rows("law_limits"), rows("ifra_index")
PRODUCTS = {row["product"]: row for row in rows("products")}
KINDS = sorted(PRODUCTS)


def numbers(row: dict[str, str]) -> set[str]:
    return {cas.strip() for cas in row["cas_numbers"].split(";") if cas.strip()}


COVERED = set().union(*(numbers(row) for row in IFRA))


def standards(category: str) -> list[tuple[set[str], float, bool]]:
    """Registry numbers, percent, whether it counts in the phototoxic sum; a category goes before all."""
    found = []
    for material in {row["material"] for row in IFRA if row["cas_numbers"]}:
        own = [row for row in IFRA if row["material"] == material]
        mine = [row for row in own if row["category"] == category]
        for row in mine or [row for row in own if row["category"] == "(all)"]:
            if row["engine_use"] in BINDING and row["limit_percent"]:
                photo = row["critical_effect"] == "phototoxicity" and "oil" in material.split()
                found.append((numbers(row), float(row["limit_percent"]), photo))
    banned = [numbers(row) - COVERED for row in INDEX if row["standard_type"] == "P"]
    return [*found, *((cas, 0.0, False) for cas in banned if cas)]


def laws(scopes: set[str], on: date) -> list[tuple[set[str], float, bool]]:
    return [
        (numbers(row), float(row["limit_percent"]), False)
        for row in LAW
        if row["engine_use"] in BINDING
        and row["limit_percent"]
        and set(row["applies_to"].split()) & scopes
        and (not row["valid_from"] or row["valid_from"] <= on.isoformat())
    ]


def high(oil, cas: set[str]) -> float:
    """Most of a group in an oil: whole if it is the oil, else declared, else analysed."""
    if oil.cas in cas:
        return 100.0
    said = [row.pct for key, row in oil.declaration.rows.items() if key in cas] if oil.declaration else []
    inside = [part.high for key, part in oil.constituents.items() if key in cas]
    return min(100.0, sum(inside if oil.analysed and inside else said or inside))


def ceiling(parts, white, kinds, on) -> float | None:
    categories, scopes = [], set()
    for kind in kinds:
        row = PRODUCTS[kind]
        categories += [row["ifra_category"]]
        categories += [row["also_category"]] if row["also_use"] == "bind" else []
        scopes |= set(row["scopes"].split())
    shares = [(oil, share / 100) for oil, share in parts]
    if any(category not in oil.sheet.limits for oil, _ in shares for category in categories):
        return None
    own = white.own_fragrance_pct or 0.0
    if own and any(not white.own_sheet.limits.get(category) for category in categories):
        return None
    used = own / min(white.own_sheet.limits[category] for category in categories) if own else 0.0
    fractions = sum(
        share / max(min(oil.sheet.limits[category] for category in categories), 1e-300)
        for oil, share in shares
    )
    loads = [100.0, max(0.0, 1 - used) / fractions]
    limits = [limit for category in categories for limit in standards(category)] + laws(scopes, on)
    per_load, brought, lowest = 0.0, 0.0, {}
    for cas, pct, photo in limits:
        inside = sum(share * high(oil, cas) for oil, share in shares)
        from_base = sum(held for key, held in white.contents.items() if key in cas)
        if photo:
            key = frozenset(cas)
            lowest[key] = min(pct, lowest.get(key, pct))
        elif inside or from_base:
            left = pct - from_base
            loads.append(max(0.0, 100 * left / inside) if inside else (100.0 if left >= 0 else 0.0))
    for cas, pct in lowest.items():
        for oil, share in shares:
            if not (oil.cas in cas and oil.plant_part in FREE_PARTS):
                per_load += share * high(oil, cas) / pct
        brought += 100 * sum(held for key, held in white.contents.items() if key in cas) / pct
    if per_load:
        loads.append(max(0.0, (100 - brought) / per_load))
    return min(loads)


def random_oil(rng: random.Random, oil):
    limits = {f"c{row['ifra_category']}": rng.choice((100.0, 30.0, round(rng.uniform(0.1, 20), 2)))
              for row in PRODUCTS.values()}  # fmt: skip
    limits["c12"] = round(rng.uniform(1, 40), 1)
    if rng.random() < 0.05:
        limits.pop(rng.choice(sorted(limits)))
    more = {"sheet": sheet(**limits), "analysed": rng.random() < 0.2}
    if rng.random() < 0.3:
        more["declaration"] = declared(n97_53_0=round(rng.uniform(0, 5), 2), n5392_40_5=rng.uniform(0, 2))
    return replace(oil, **more)


def random_base(rng: random.Random):
    more = {}
    if rng.random() < 0.3:
        cas = rng.choice(("5392-40-5", "97-54-1", "140-67-0", "8007-75-8", "6259-76-3"))
        more["contents"] = {cas: rng.choice((0.001, 0.02, 0.2))}
    if rng.random() < 0.3:
        limits = {f"c{row['ifra_category']}": round(rng.uniform(0.3, 5), 2) for row in PRODUCTS.values()}
        own = sheet(**limits)
        more |= {"own_fragrance_pct": rng.uniform(0, 1), "own_sheet": own}
    return base(**more)


def random_case(rng: random.Random):
    chosen = [random_oil(rng, oil) for oil in rng.sample(oils(), rng.randint(1, 6))]
    raw = [rng.random() + 0.02 for _ in chosen]
    parts = [(oil, 100 * (part / sum(raw))) for oil, part in zip(chosen, raw, strict=True)]
    kinds = rng.sample(KINDS, 1 if rng.random() < 0.7 else 2)
    return parts, random_base(rng), kinds, rng.choice(DAYS)


@pytest.mark.parametrize("seed", range(10))
def test_ceilings_of_random_scents_are_those_of_the_tables(seed):
    rng = random.Random(seed)
    lowered = 0
    for _ in range(100):
        parts, white, kinds, on = random_case(rng)
        made, inside = scent(1.0, *parts)
        wish = replace(made, also_kinds=tuple(kinds[1:]))
        found = check(wish, inside, white, kinds[0], "EU", on)
        wanted = ceiling(parts, white, kinds, on)
        assert found.ceiling_pct == (None if wanted is None else pytest.approx(wanted, rel=1e-9, abs=1e-9))
        lowered += wanted is not None and wanted < (found.routes.b.pct or 0.0) * (1 - 1e-9)
    assert lowered > 20, "law and Standards must lower the ceiling of some of them"
