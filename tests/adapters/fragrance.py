"""Topics of fragrance and skin: keys in, keys out, no arithmetic of its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np

from blendlab.facts.allergens import allergens
from blendlab.facts.products import product
from blendlab.fragrance import (
    entry,
    heat,
    labels,
    limits,
    load,
    notes,
    percent_conversions,
    sheets,
    solver,
    sums,
    volatility,
)

Row = dict


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
    found = load.routes(row["shares"], row["limits_pct"], limit, inside)
    return {
        "load_min_rule_pct": found.a.pct,
        "load_fraction_rule_pct": found.b.pct,
        "load_substance_route_pct": found.c.pct,
        "allowed_for_sale_pct": found.for_sale,
        "governing": found.governing,
        "min_rule_safe": found.a_keeps_limits,
        "substance_at_min_rule_pct": found.at_a_pct["substance"] if single else dict(found.at_a_pct),
    }


def _substance(row: Row) -> Row:
    """Content of a substance or of a group, and the load it allows."""
    inside = load.content(row["oils"], row["contents_pct"])
    base = row.get("base_content_pct", 0.0)
    answer: Row = {}
    if "load_pct" in row:
        answer["substance_pct_in_product"] = load.in_product(row["load_pct"], inside, base)
        answer["group_pct_in_product"] = answer["substance_pct_in_product"]
    if "limit_pct" in row:
        answer["load_max_pct"] = load.substance_rule(inside, row["limit_pct"], base)
        answer["pass"] = sums.keeps(answer.get("group_pct_in_product"), row["limit_pct"])
    return answer


def _phototoxic(row: Row) -> Row:
    found = sums.phototoxic(row["use_pct_in_product"], row["limits_pct"], row["product_class"])
    return {"pass": found.keeps, "sum_pct_of_limit": found.value}


def _bergapten(row: Row) -> Row:
    found = sums.bergapten(
        row["use_pct_in_product"], row["bergapten_pct_high"], row["limit_pct"], row["product_class"]
    )
    return {"bergapten_pct_in_product": found.value, "pass": found.keeps}


def _group(row: Row) -> Row:
    parts = row["in_product_pct"].values()
    of_law = sums.group(parts, row["eu_pct"])
    answer = {"sum_pct": of_law.value, "eu_pass": of_law.keeps}
    for key in row:
        if key.startswith("ifra_"):
            answer["ifra_pass"] = sums.group(parts, row[key]).keeps
    rose = next(one for one in allergens() if one.name == "Rose Ketones")
    for rinse in ("leave_on", "rinse_off"):
        answer[f"eu_declare_{rinse}"] = sums.above(of_law.value, rose.above(rinse))
    return answer


MARKETS = {"Canada": "CA", "UK": "GB", "USA": "US", "NI": "EU", "Northern Ireland": "EU"}


def _market(row: Row) -> str:
    region = row.get("region", "EU")
    return MARKETS.get(region, region)


def _declare(row: Row) -> Row:
    found = labels.names_above(
        row["in_product_pct"],
        row["product_class"],
        _market(row),
        date.fromisoformat(row["first_placed_on_market"]),
    )
    return {"must_declare": list(found.must), "voluntary_early": list(found.early)}


def _edge(row: Row) -> Row:
    one = next(one for one in allergens() if one.name == row["substance"])
    return {"declare": sums.above(row["in_product_pct"], one.above(row["product_class"]))}


def _allergen_group(row: Row) -> Row:
    found = labels.groups(row["cas_in_product_pct"], row["product_class"])
    if not found:
        return {"group": None, "sum_pct": 0.0, "declare": False}
    return {"group": found[0].name, "sum_pct": found[0].pct, "declare": found[0].declared}


def _oil_itself(row: Row) -> Row:
    inside = {key.removesuffix("_high_pct"): pct for key, pct in row.items() if key.endswith("_high_pct")}
    found = labels.oil_itself(
        row["oil"],
        row["oil_pct_in_product"],
        inside,
        row["product_class"],
        _market(row),
        date.fromisoformat(row["first_placed_on_market"]),
    )
    return {"declare": list(found.must), **{f"{name}_pct": pct for name, pct in found.inside_pct.items()}}


def _preservative(row: Row) -> Row:
    found = labels.preservative(
        row["benzyl_alcohol_from_preservative_pct"],
        row["benzyl_alcohol_from_fragrance_pct"],
        row["product_class"],
    )
    return {
        "total_pct": found.total_pct,
        "cautious_total_pct_shown_against_ifra": found.total_pct,
        "ifra_fragrance_part_pct": found.scent_pct,
        "fragrance_part_above_threshold": found.scent_declared,
        "annex_V_34_cap_pct": found.cap_pct,
        "in_ingredient_list": found.listed,
    }


def _methyl_eugenol(row: Row) -> Row:
    if "blend_shares" not in row:
        return _oil_max(row)
    inside = load.content(row["blend_shares"], row["methyl_eugenol_high_pct"])
    pct = load.in_product(row["load_pct"], inside)
    return {
        "methyl_eugenol_pct": pct,
        "load_max_pct": load.substance_rule(inside, row["limit_pct"]),
        "pass": sums.keeps(pct, row["limit_pct"]),
    }


def _oil_max(row: Row) -> Row:
    high = next(pct for key, pct in row.items() if key.endswith("_high_pct"))
    return {"oil_max_pct_in_product": load.substance_rule(high, row["limit_pct"])}


def _hexyl_salicylate(row: Row) -> Row:
    found = limits.law_on("6259-76-3", row["product_class"], date.fromisoformat(row["date"]))
    pct = load.in_product(row["load_pct"], row["oil_content_pct"])
    return {
        "in_product_pct": pct,
        "limit_pct": found,
        "pass": found is None or sums.keeps(pct, found),
        "load_max_pct": None if found is None else load.substance_rule(row["oil_content_pct"], found),
    }


def _prohibited(row: Row) -> Row:
    return {"state": limits.prohibited_state(row["constituent_cas"], row["content_pct_in_oil"])}


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
    found = percent_conversions.grams(row["batch_g"], row["pct_of_final"], row["shares"])
    return {**found, "total_g": sum(found.values())}


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
    least = percent_conversions.smallest_weighing(row["scale_step_g"], row["rel_tolerance"])
    return {"min_g": least, "weighable": percent_conversions.weighable(row["grams"], least)}


def _dilution(row: Row) -> Row:
    if "oil_g" in row:
        return {
            "content_in_dilution_pct": percent_conversions.diluted_content(
                row["oil_content_pct"], row["oil_g"], row["carrier_g"]
            )
        }
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
        entry.read_cas(row["cas"])
    except entry.BadCas:
        return {"valid": False}
    return {"valid": True}


def _space(row: Row) -> solver.Space:
    limits_5a = next((row[key] for key in row if key.startswith("fraction_rule_limits")), None)
    return limits.space_of(
        row["oils"],
        row["load_pct"],
        row.get("contents_pct", {}),
        row.get("caps_pct_in_product", {}),
        limits_5a,
        row.get("min_g_per_100g", {}),
    )


def _note_lp(row: Row) -> Row:
    where = _space(row)
    shares = np.array(row["note_shares_top_mid_base"], float)
    found = solver.nearest_notes(where, shares, row["target"])
    answer = {
        "grams_per_100g": found.grams.tolist(),
        "notes": solver.notes_of(where, found.grams, shares).tolist(),
        "objective_sum_abs_dev": found.objective,
        "binding": [*found.binding, *[f"min {row['oils'][one]}" for one in found.low_slopes]],
    }
    for name in row.get("caps_pct_in_product", {}):
        answer[f"dual_{name}_per_pct"] = found.slopes.get(name, 0.0)
    for position, slope in found.low_slopes.items():
        answer.update({f"slope_min_{word}": slope for word in row["oils"][position].split()})
    return answer


def _infeasible(row: Row) -> Row:
    loose = list(row.get("caps_pct_in_product", {})) if row["relaxable"] == "caps_pct_in_product" else []
    found = solver.explain(_space(row), loose, row["relaxable"] == "min_g_per_100g")
    least = {f"{name}_cap_pct": pct for name, pct in found.rows.items()}
    least |= {f"{row['oils'][one]}_min_g": grams for one, grams in found.lows.items()}
    return {"status": "feasible" if found.feasible else "infeasible", "least_relaxation": least}


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


def _film(row: Row) -> Row:
    molar = np.array([volatility.substance(name).molar_mass for name in row["components"]])
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
