"""Topics of fragrance and skin: keys in, keys out, no arithmetic of its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

import numpy as np

from blendlab.batch import formula, ledger, weighing
from blendlab.facts.allergens import list_for
from blendlab.facts.library import oils as library
from blendlab.facts.limits import ENGINE_USE, Limit
from blendlab.facts.products import product, products
from blendlab.facts.standards import standards
from blendlab.fragrance import (
    check,
    contents,
    declare,
    diluted,
    headroom,
    heat,
    labels,
    load,
    notes,
    percent_conversions,
    registry_numbers,
    relaxation,
    sheets,
    solver,
    volatility,
)
from blendlab.fragrance.blend import SHEETS, Blend
from blendlab.fragrance.constraints import Constraint, photo_row
from blendlab.fragrance.solver_rows import laid
from blendlab.fragrance.space import Space
from blendlab.recipe import OilShare, Scent
from blendlab.shelf import Base, Constituent, Oil, Sheet

Row = dict
BUTTER, SOAP = "body_butter", "whipped_soap"
OF_CLASS = {"leave_on": BUTTER, "rinse_off": SOAP}
LATER = date(2026, 11, 25)
BENZYL_ALCOHOL = "100-51-6"


# --- nouns from keys ------------------------------------------------------------------------------


def _oil(name: str, inside: Mapping[str, float | None] | None = None, **more) -> Oil:
    """An oil that holds some substances; None = it does not say."""
    held = {
        cas: Constituent(name=cas, low=pct, typical=pct, high=pct)
        for cas, pct in (inside or {}).items()
        if pct is not None
    }
    return Oil(id="oil", name=name, group="fragrance_oil", constituents=held, **more)


def _base(**more) -> Base:
    plain = {"id": "w", "name": "White", "product": SOAP, "known": "estimate", "basis": "rows"}
    figures = {"ref_overrun_pct": 100.0, "density_mix_g_ml": 1.0, "own_fragrance_pct": 0.0}
    return Base(k0=(0.0,) * 31, s0=(1.0,) * 31, **plain, **{**figures, **more})


def _limit(name: str, pct: float | None, cas: tuple[str, ...] = ()) -> Limit:
    return Limit(name, "standard", cas, pct, ENGINE_USE["block"], "", "", "")


def _blend(
    shares: Mapping[str, float],
    load_pct: float,
    sheets_pct: Mapping[str, float | None] | None = None,
    rows: Mapping[str, tuple[Mapping[str, float | None], float, float]] | None = None,
) -> Blend:
    """Oils with shares and sheets; rows: name -> (oil -> content, what the base brings, limit)."""
    states = [
        sheets.SheetState(name, name, "use", "", load.FULL if sheets_pct is None else sheets_pct[name], "")
        for name in shares
    ]
    made = tuple(
        Constraint(name, "standard", tuple(map(inside.get, shares)), base_pct, pct, _limit(name, pct))
        for name, (inside, base_pct, pct) in (rows or {}).items()
    )
    oils = tuple(replace(_oil(name), id=name) for name in shares)
    of = product(BUTTER)
    return Blend(of, of.category, oils, tuple(shares.values()), tuple(states), made, 0.0, load_pct)


def _used(blend: Blend) -> dict[str, headroom.Head]:
    return {row.name: headroom.row_of(row, blend, "EU") for row in blend.constraints}


def _alone(oil: Oil, load_pct: float) -> Scent:
    return Scent(load_pct=load_pct, oils=(OilShare(oil=oil.ref, share_pct=100.0),))


def _checked(oil: Oil, load_pct: float, kind: str, on: date, base: Base | None = None):
    return check(_alone(oil, load_pct), [oil], base or _base(), kind, "EU", on)


MARKETS = {"Canada": "CA", "UK": "GB", "USA": "US", "NI": "EU", "Northern Ireland": "EU"}


def _market(row: Row) -> str:
    region = row.get("region", "EU")
    return MARKETS.get(region, region)


def _placed(row: Row) -> date:
    return date.fromisoformat(row["first_placed_on_market"])


# --- loads and sums -------------------------------------------------------------------------------


def _certificate_min(row: Row) -> Row:
    most = load.min_rule(row["shares"], row["limits_pct"])
    return {"load_max_pct": most.pct, "governing": most.governing}


def _certificate_fraction(row: Row) -> Row:
    most = load.fraction_rule(row["shares"], row["limits_pct"])
    return {"load_max_pct": most.pct, "governing": most.governing}


def _routes(row: Row) -> Row:
    limit, inside = row["substance_limit_pct"], row["substance_pct_in_oil"]
    single = not isinstance(limit, dict)
    if single:
        limit, inside = {"substance": limit}, {"substance": inside}
    rows = {name: (inside[name], 0.0, pct) for name, pct in limit.items()}
    blend = _blend(row["shares"], 0.0, row["limits_pct"], rows)
    a, b, c = blend.route_a()[0], blend.route_b()[0], blend.tightest()
    for_sale, governing = blend.most()
    at_a = _used(replace(blend, load_pct=a or 0.0))
    used = {name: head.used_pct for name, head in at_a.items()}
    return {
        "load_min_rule_pct": a,
        "load_fraction_rule_pct": b,
        "load_substance_route_pct": c[0] if c else None,
        "allowed_for_sale_pct": for_sale,
        "governing": "sheets" if governing == SHEETS else "substance",
        "min_rule_safe": not any(head.over for head in at_a.values()),
        "substance_at_min_rule_pct": used["substance"] if single else used,
    }


def _substance(row: Row) -> Row:
    """Content of a substance or of a group, and the load it allows; None where an oil cannot say."""
    parts = row["contents_pct"], row.get("base_content_pct", 0.0), row.get("limit_pct")
    blend = _blend(row["oils"], row.get("load_pct", 0.0), None, {"it": parts})
    head, known = _used(blend)["it"], not _used(blend)["it"].at_least
    answer: Row = {}
    if "load_pct" in row:
        answer["substance_pct_in_product"] = head.used_pct if known else None
        answer["group_pct_in_product"] = answer["substance_pct_in_product"]
    if "limit_pct" in row:
        answer["load_max_pct"] = blend.constraints[0].most(blend.shares) if known else None
        answer["pass"] = known and not head.over
    return answer


def _phototoxic(row: Row) -> Row:
    """Oils by the names of their own limits; a category without limits on them has no such row."""
    use, kind = row["use_pct_in_product"], product(OF_CLASS[row["product_class"]])
    if not any(limit.photo and limit.pct for limit in standards(kind.category)):
        return {"pass": True, "sum_pct_of_limit": None}
    oils = [_oil(name, {name: pct}) for name, pct in use.items()]
    limits = [_limit(name, row["limits_pct"][name], (name,)) for name in use]
    summed = photo_row(oils, {}, limits)
    blend = replace(_blend(dict.fromkeys(use, 1.0), load.FULL), constraints=(summed,))
    head = _used(blend)[summed.name]
    return {"pass": not head.over, "sum_pct_of_limit": head.used_pct}


def _bergapten(row: Row) -> Row:
    rows = {"bergapten": (row["bergapten_pct_high"], 0.0, row["limit_pct"])}
    head = _used(_blend(row["use_pct_in_product"], 1.0, None, rows))["bergapten"]
    kind = product(OF_CLASS[row["product_class"]])
    listed = any("484-20-8" in limit.cas and limit.pct for limit in standards(kind.category))
    return {"bergapten_pct_in_product": head.used_pct, "pass": not (listed and head.over)}


def _group(row: Row) -> Row:
    """Members of a group, each as an oil that holds nothing else."""
    parts = row["in_product_pct"]
    whole = dict.fromkeys(parts, 1.0)

    def head(limit_pct: float):
        return _used(_blend(whole, load.FULL, None, {"it": (parts, 0.0, limit_pct)}))["it"]

    of_law = head(row["eu_pct"])
    answer = {"sum_pct": of_law.used_pct, "eu_pass": not of_law.over}
    for key in row:
        if key.startswith("ifra_"):
            answer["ifra_pass"] = not head(row[key]).over
    for rinse in ("leave_on", "rinse_off"):
        must = labels.names_above({"Rose Ketones": of_law.used_pct}, rinse, "new").must
        answer[f"eu_declare_{rinse}"] = bool(must)
    return answer


# --- names on the label ---------------------------------------------------------------------------


def _declare(row: Row) -> Row:
    which = list_for(_market(row), _placed(row))
    found = labels.names_above(row["in_product_pct"], row["product_class"], which)
    return {"must_declare": list(found.must), "voluntary_early": list(found.early)}


def _edge(row: Row) -> Row:
    name = row["substance"]
    found = labels.names_above({name: row["in_product_pct"]}, row["product_class"], "new")
    return {"declare": name in found.must}


def _allergen_group(row: Row) -> Row:
    sums = labels.summed(row["cas_in_product_pct"])
    if not sums:
        return {"group": None, "sum_pct": 0.0, "declare": False}
    name = max(sums, key=sums.__getitem__)
    must = labels.names_above(sums, row["product_class"], "new").must
    return {"group": name, "sum_pct": sums[name], "declare": name in must}


def _oil_itself(row: Row) -> Row:
    """An oil of the library, holding what the row says."""
    inside = {key.removesuffix("_high_pct"): pct for key, pct in row.items() if key.endswith("_high_pct")}
    numbers = {word: registry_numbers.names()[word.replace("_", " ")] for word in inside}
    known = next(oil for oil in library() if oil.name.lower().startswith(row["oil"].lower()))
    oil = replace(_oil(known.name, {numbers[word]: pct for word, pct in inside.items()}),
                  label_name=known.label_name, plant_part=known.plant_part)  # fmt: skip
    pct = row["oil_pct_in_product"]
    kind = OF_CLASS[row["product_class"]]
    found = declare(_alone(oil, pct), [oil], kind, _market(row), _placed(row))
    held = {word: contents.high_pct(oil, {cas}) or 0.0 for word, cas in numbers.items()}
    return {
        "declare": [name.name for name in found.names],
        **{f"{word}_pct": load.in_product(pct, high) for word, high in held.items()},
    }


def _preservative(row: Row) -> Row:
    """Benzyl alcohol: the base's preservative counts against the Standard, the scent alone for its name."""
    kind = OF_CLASS[row["product_class"]]
    oil = _oil("A", {BENZYL_ALCOHOL: row["benzyl_alcohol_from_fragrance_pct"]}, analysed=True)
    kept = _base(actives={"benzyl alcohol": row["benzyl_alcohol_from_preservative_pct"]})

    def used(base: Base) -> float:
        rows = _checked(oil, load.FULL, kind, LATER, base).rows
        return next(head.used_pct for head in rows if head.name == "Benzyl alcohol")

    total = used(kept)
    named = declare(_alone(oil, load.FULL), [oil], kind, "EU", LATER, kept)
    return {
        "total_pct": total,
        "cautious_total_pct_shown_against_ifra": total,
        "ifra_fragrance_part_pct": used(_base()),
        "fragrance_part_above_threshold": "Benzyl Alcohol" in [name.name for name in named.names],
        "annex_V_34_cap_pct": ledger.limits(kind)["benzyl alcohol"],
        "in_ingredient_list": "benzyl alcohol" in ledger.of_base(kept),
    }


# --- law ------------------------------------------------------------------------------------------


def _methyl_eugenol(row: Row) -> Row:
    if "blend_shares" not in row:
        return _oil_max(row)
    rows = {"it": (row["methyl_eugenol_high_pct"], 0.0, row["limit_pct"])}
    blend = _blend(row["blend_shares"], row["load_pct"], None, rows)
    head = _used(blend)["it"]
    return {
        "methyl_eugenol_pct": head.used_pct,
        "load_max_pct": blend.constraints[0].most(blend.shares),
        "pass": not head.over,
    }


def _oil_max(row: Row) -> Row:
    high = next(pct for key, pct in row.items() if key.endswith("_high_pct"))
    return {"oil_max_pct_in_product": load.substance_rule(high, row["limit_pct"])}


def _hexyl_salicylate(row: Row) -> Row:
    kind = next(name for name, of in products().items() if row["product_class"] in of.scopes)
    oil = _oil("A", {"6259-76-3": row["oil_content_pct"]}, analysed=True)
    made = _checked(oil, row["load_pct"], kind, date.fromisoformat(row["date"]))
    head = next((head for head in made.rows if head.kind == "law"), None)
    return {
        "in_product_pct": load.in_product(row["load_pct"], row["oil_content_pct"]),
        "limit_pct": head.limit_pct if head else None,
        "pass": head is None or not head.over,
        "load_max_pct": made.routes.law.pct,
    }


def _prohibited(row: Row) -> Row:
    cas, pct = row["constituent_cas"], row["content_pct_in_oil"]
    if pct is None:
        return {"state": "caution" if contents.prohibited(cas) else "use"}
    oil = _oil("A", {cas: pct}, sheet=Sheet(amendment=51, issued=None, limits={"9": load.FULL}))
    made = _checked(oil, 1.0, SOAP, LATER)
    return {"state": "stop" if made.ceiling_pct == 0 else "use"}


# --- amounts --------------------------------------------------------------------------------------


def _base_to_final(row: Row) -> Row:
    return {
        "pct_of_final": percent_conversions.pct_of_final(
            row["parts_per_100_base"], row.get("other_additions_parts", 0.0)
        )
    }


def _final_to_base(row: Row) -> Row:
    return {
        "parts_per_100_base": percent_conversions.parts_of_base(
            row["pct_of_final"], row.get("other_additions_parts", 0.0)
        )
    }


def _grams(row: Row) -> Row:
    return percent_conversions.grams(row["batch_g"], row["pct_of_final"], row["shares"])


def _fragranced(row: Row) -> Row:
    added, own, total = percent_conversions.fragrance_of_final(
        row["base_g"], row["base_own_fragrance_pct"], row["added_fragrance_g"], row["batch_g"]
    )
    return {"added_pct_of_final": added, "own_fragrance_pct_of_final": own, "total_fragrance_pct": total}


def _drops(row: Row) -> Row:
    return {
        f"drops_{end}": percent_conversions.drops(
            row["grams"], row["density_g_ml"], row[f"drops_per_ml_{end}"]
        )
        for end in ("low", "high")
    }


def _scale_min(row: Row) -> Row:
    least = weighing.least(row["scale_step_g"], factor=1 / row["rel_tolerance"])
    return {"min_g": least, "weighable": weighing.weighable(row["grams"], least)}


def _dilution(row: Row) -> Row:
    if "oil_g" in row:
        pct = formula.percents([row["oil_g"], row["carrier_g"]])[0]
        thin = diluted(_oil("A", {"it": row["oil_content_pct"]}), pct, "carrier", "thin", "Thin", {})
        return {"content_in_dilution_pct": thin.constituents["it"].high}
    weigh, solvent = percent_conversions.dilution(row["target_pure_g"], row["dilution_pct"])
    answer = {"weigh_g": weigh, "solvent_g": solvent}
    if "pure_limit_pct" in row:
        answer["limit_of_dilution_pct"] = percent_conversions.diluted_limit(
            row["pure_limit_pct"], row["dilution_pct"]
        )
    return answer


def _notes(row: Row) -> Row:
    found = notes.balance(row["shares"], row["note_shares"], row.get("strength"))
    return {"top": found.top, "middle": found.middle, "base": found.base}


def _vanillin(row: Row) -> Row:
    ethyl = row.get("ethyl_vanillin_pct", dict.fromkeys(row["shares"], 0.0))
    found = notes.vanillin(
        row["load_pct"],
        load.content(row["shares"], row["vanillin_pct"]),
        load.content(row["shares"], ethyl),
    )
    return {"vanillin_pct": found.pct, "ethyl_vanillin_pct": found.ethyl_pct, "band": found.band}


def _flash_index(row: Row) -> Row:
    return {
        "flash_estimate_C": heat.flash_by_index(row["flash_C"], row["mass_shares"], row["density"]),
        "conservative_min_C": heat.flash_gate(row["flash_C"], row["mass_shares"]),
    }


def _flash_vapour(row: Row) -> Row:
    return {"flash_estimate_K": heat.flash_by_vapour(row["flash_K"], row["mole_shares"], row["B_K"])}


def _gate(row: Row) -> Row:
    most = heat.gate_c([row["flash_C_min"]], row["cap_C"], row["margin_K"])
    return {"max_C": most, "allowed": heat.may_add(row["product_C"], most)}


def _density(row: Row) -> Row:
    return {"density": percent_conversions.density(row["mass_shares"], row["density"])}


def _cost(row: Row) -> Row:
    each, jar = percent_conversions.cost(
        row["shares"], row["price_per_g"], row["jar_g"], row["load_pct"], row.get("loss_pct", 0.0)
    )
    return {"blend_price_per_g": each, "fragrance_cost_per_jar": jar}


def _certificate_state(row: Row) -> Row:
    received = row.get("oil_received")
    return {
        "state": sheets.amendment_state(
            row["certificate_amendment"] if row.get("has_category_table", True) else None,
            date.fromisoformat(received) if received else None,
            row["current_amendment"],
        )
    }


def _dates(row: Row) -> Row:
    found = sheets.compliance_dates(
        date.fromisoformat(row["notified"]), row["months_new"], row["months_existing"]
    )
    return {
        "new_creations": found.new_creations.isoformat(),
        "existing_creations": found.existing_creations.isoformat(),
    }


def _category(row: Row) -> Row:
    found = product(row["product"])
    return {"ifra_category": found.category, "eu_class": found.rinse}


def _cas(row: Row) -> Row:
    try:
        registry_numbers.read_cas(row["cas"])
    except registry_numbers.BadCas:
        return {"valid": False}
    return {"valid": True}


def _space(row: Row) -> Space:
    """The rows of a blend as the search for the closest one lays them."""
    limits = next((row[key] for key in row if key.startswith("fraction_rule_limits")), None)
    oils, load_pct = row["oils"], row["load_pct"]
    inside, caps = row.get("contents_pct", {}), row.get("caps_pct_in_product", {})
    rows = {name: (dict(zip(oils, inside[name], strict=True)), 0.0, most) for name, most in caps.items()}
    sheets_pct = None if limits is None else dict(zip(oils, limits, strict=True))
    least = {name: 100 * grams / load_pct for name, grams in row.get("min_g_per_100g", {}).items()}
    return laid(_blend(dict.fromkeys(oils, 1.0), load_pct, sheets_pct, rows), least).space


def _note_lp(row: Row) -> Row:
    where, oils = _space(row), row["oils"]
    shares = row["note_shares_top_mid_base"]
    found = solver.nearest_notes(where, np.array(shares, float), row["target"])
    got = notes.balance(dict(zip(oils, found.grams, strict=True)), dict(zip(oils, shares, strict=True)))
    answer = {
        "grams_per_100g": found.grams.tolist(),
        "notes": [got.top, got.middle, got.base],
        "objective_sum_abs_dev": found.objective,
        "binding": list(found.binding),
    }
    for name in row.get("caps_pct_in_product", {}):
        answer[f"dual_{name}_per_pct"] = found.slopes.get(name, 0.0)
    for position, slope in found.low_slopes.items():
        answer.update({f"slope_min_{word}": slope for word in oils[position].split()})
    return answer


def _infeasible(row: Row) -> Row:
    caps = row["relaxable"] == "caps_pct_in_product"
    loose = list(row.get("caps_pct_in_product", {})) if caps else []
    found = relaxation.explain(_space(row), loose, row["relaxable"] == "min_g_per_100g")
    least = {f"{name}_cap_pct": pct for name, pct in found.rows.items()}
    least |= {f"{row['oils'][at]}_min_g": grams for at, grams in found.lows.items()}
    return {"status": "infeasible" if least else "feasible", "least_relaxation": least}


def _project_even(row: Row) -> Row:
    found = solver.nearest_even(_space(row), row["wish_g_per_100g"])
    return {
        "grams_per_100g": found.grams.tolist(),
        "sum_sq": found.objective,
        "binding": list(found.binding),
    }


def _project_few(row: Row) -> Row:
    found = solver.nearest_few(_space(row), row["wish_g_per_100g"])
    duals = {f"dual_{name}_per_pct": found.slopes.get(name, 0.0) for name in row["caps_pct_in_product"]}
    return {"sum_abs": found.objective, "binding": list(found.binding), **duals}


def _scale_down(row: Row) -> Row:
    return {"load_pct": solver.scale_down(_space(row), row["wish_g_per_100g"]), "shares_kept": True}


def _substance_named(name: str) -> volatility.Substance:
    """A substance by its name, by the short name in brackets, or without its d- or l-."""

    def words(full: str) -> set[str]:
        plain, _, short = full.lower().partition(" (")
        return {plain, short.rstrip(")"), plain.removeprefix("d-").removeprefix("l-")}

    return next(each for each in volatility.substances().values() if name.lower() in words(each.name))


def _film(row: Row) -> Row:
    molar = np.array([_substance_named(name).molar_mass for name in row["components"]])
    a = volatility.rates(np.array(row["P_Pa_32C"], float), np.array(row["h_m_s"], float), row["T_K"])
    n0, matrix = volatility.film(
        np.array(row["mass_shares"], float),
        molar,
        row["film_mg_cm2"],
        row.get("load", 1.0),
        row.get("matrix_M", 600.0),
    )
    return {"remaining": volatility.remaining(n0, a, matrix, row["hours"]).tolist()}


def _single(row: Row) -> Row:
    return {"dry_out_s": volatility.dry_out_s([row["n0_mol_m2"]], [row["a_mol_m2_s"]])}


def _peroxide(row: Row) -> Row:
    return {"state": sheets.peroxide_state(row["peroxide_mmol_l"], row["limit_mmol_l"])}


TOPICS: dict[str, Callable[[Row], Row]] = {
    "load.certificate_min_rule": _certificate_min,
    "load.certificate_fraction_rule": _certificate_fraction,
    "load.shared_substance": _routes,
    "load.no_shared_substance": _routes,
    "substance.sum": _substance,
    "substance.load_max": _substance,
    "substance.group_sum": _substance,
    "sum.phototoxic": _phototoxic,
    "sum.bergapten": _bergapten,
    "sum.rose_ketones": _group,
    "sum.isoeugenol": _group,
    "sum.methyl_octynoate_pair": _group,
    "allergen.declare": _declare,
    "allergen.threshold_edge": _edge,
    "allergen.group": _allergen_group,
    "allergen.oil_itself": _oil_itself,
    "allergen.preservative": _preservative,
    "legal.methyl_eugenol": _methyl_eugenol,
    "legal.hexyl_salicylate": _hexyl_salicylate,
    "legal.safrole": _oil_max,
    "legal.prohibited": _prohibited,
    "basis.base_to_final": _base_to_final,
    "basis.final_to_base": _final_to_base,
    "basis.grams": _grams,
    "basis.base_fragranced": _fragranced,
    "drops.from_grams": _drops,
    "drops.scale_min": _scale_min,
    "dilution.strong": _dilution,
    "dilution.content": _dilution,
    "notes.by_weight": _notes,
    "notes.odour_weighted": _notes,
    "vanillin.in_product": _vanillin,
    "flash.blend_index": _flash_index,
    "flash.le_chatelier": _flash_vapour,
    "gate.heat": _gate,
    "density.blend": _density,
    "cost.blend": _cost,
    "certificate.state": _certificate_state,
    "certificate.date51": _dates,
    "category.of_product": _category,
    "cas.check_digit": _cas,
    "optimise.note_lp": _note_lp,
    "optimise.infeasible": _infeasible,
    "optimise.project_l2": _project_even,
    "optimise.project_l1": _project_few,
    "optimise.scale_down": _scale_down,
    "evaporation.dilute_film": _film,
    "evaporation.single": _single,
    "peroxide.raw_material": _peroxide,
}
