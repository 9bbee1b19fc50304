"""Topics of the batch: keys of the reference rows onto the functions of the room."""

from __future__ import annotations

from collections.abc import Callable

from blendlab import units
from blendlab.batch import (
    dusting,
    filling,
    formula,
    preservative,
    spoons,
    weighing,
    whip,
)
from blendlab.facts.read import figure
from blendlab.forms.jars import brim_ml
from blendlab.jar import corner_loss_ml, layout, named, rope_mm
from blendlab.jar.arrangements.chord import beyond
from blendlab.jar.arrangements.helix import stripe
from blendlab.jar.volume import cap_ml, tone_grams
from blendlab.recipe import Design, Ref, Tone
from blendlab.shelf import Jar
from blendlab.units import convert
from tests.adapters import jar


def check_sum(row: dict) -> dict:
    total, ok = formula.check_sum(row["percents"], row.get("tolerance_pct", formula.SUM_TOLERANCE))
    return {"sum_pct": total, "ok": ok}


def scale(row: dict) -> dict:
    return {"grams": list(formula.scale(row["percents"], row["batch_g"]))}


def asm(row: dict) -> dict:
    return {"asm_pct": formula.weighted((part["pct"], part["active_pct"]) for part in row["items"])}


def asm_after_dilution(row: dict) -> dict:
    return {"asm_pct": formula.after_dilution(row["asm_base_pct"], row["base_g"], row["final_g"])}


def total_water(row: dict) -> dict:
    return {"water_pct": formula.weighted((part["pct"], part["water_pct"]) for part in row["items"])}


def percents(row: dict) -> dict:
    return {"percents": list(formula.percents(row["grams"]))}


def density_mix(row: dict) -> dict:
    return {"density": formula.mix_density([(part["g"], part["density"]) for part in row["items"]])}


def topup_open(row: dict) -> dict:
    made = preservative.top_up_open(
        row["base_g"],
        row["base_pct"],
        row["additions_g"],
        row["target_pct"],
        row.get("topup_strength_pct", 100),
        row.get("additions_pct", 0.0),
    )
    return {"topup_g": made.topup_g, "final_g": made.final_g, "final_pct": made.final_pct}


def topup_fixed_total(row: dict) -> dict:
    made = preservative.top_up_fixed(
        row["final_g"],
        row["base_pct"],
        row["additions_g"],
        row["target_pct"],
        row.get("topup_strength_pct", 100),
        row.get("additions_pct", 0.0),
    )
    return {"topup_g": made.topup_g, "base_g": made.base_g, "final_pct": made.final_pct}


def blend_cap(row: dict) -> dict:
    cap = preservative.blend_cap(row["fractions_pct"], row["limits_pct"], row.get("existing_pct"))
    return {"max_blend_pct": cap}


def unknown_base_range(row: dict) -> dict:
    made = preservative.top_up_range(
        row["base_g"],
        row["base_pct_low"],
        row["base_pct_high"],
        row["additions_g"],
        row["target_pct"],
        row["max_pct"],
        row.get("topup_strength_pct", 100),
    )
    return {
        "topup_g": made.topup_g,
        "final_pct_low": made.final_pct_low,
        "final_pct_high": made.final_pct_high,
        "ok": made.within,
    }


def acid_equivalent(row: dict) -> dict:
    return {"acid_pct": preservative.acid_equivalent(row["salt_pct"], row["mw_acid"], row["mw_salt"])}


def undissociated(row: dict) -> dict:
    return {"fraction": preservative.undissociated(row["pH"], row["pKa"])}


def overrun_weight(row: dict) -> dict:
    return {"overrun_pct": whip.overrun(row["cup_mix_g"], row["cup_whipped_g"])}


def overrun_volume(row: dict) -> dict:
    return {"overrun_pct": whip.overrun(row["volume_whipped_ml"], row["volume_mix_ml"])}


def density_from_overrun(row: dict) -> dict:
    return {
        "density": whip.density_from_overrun(row["density_mix"], row["overrun_pct"]),
        "air_fraction": whip.air_fraction(row["overrun_pct"]),
    }


def density_after_fold_in(row: dict) -> dict:
    density = whip.density_after_fold_in(
        row["foam_density"], row["solid_mass_fraction"], row["solid_true_density"]
    )
    return {"density": density}


def _glass(row: dict) -> Jar:
    """A straight jar of the row."""
    wide, high = row["inner_diameter_mm"], row["inner_height_mm"]
    return Jar(
        id="row",
        name="row",
        nominal_ml=1,
        inner_mm=wide,
        outer_mm=wide,
        height_mm=high,
        headspace_mm=row.get("headspace_mm", 0.0),
    )


def brimful(row: dict) -> dict:
    return {"brimful_ml": brim_ml(_glass(row))}


def fill_and_net(row: dict) -> dict:
    tone = Tone(id="a", name="a", share_pct=100)
    nobody = Ref(kind="base", id="row")
    glass = _glass(row)
    filled = layout(
        Design(id="row", name="row", product="whipped_soap", tones=(tone,), jar=glass.ref, base=nobody),
        glass,
        {"a": row["density"]},
    )
    told = named(filled)
    return {"fill_ml": filled.fill_ml, "net_g": told.net_g, "net_oz": told.net_oz}


def dome_cap(row: dict) -> dict:
    return {"cap_ml": cap_ml(row["base_radius_mm"], row["cap_height_mm"])}


def corner_loss(row: dict) -> dict:
    return {"loss_ml": corner_loss_ml(row["inner_radius_mm"], row["corner_radius_mm"])}


def batch_from_jars(row: dict) -> dict:
    grams = filling.batch_for_jars(
        row["jars"],
        row["net_g"],
        row.get("overfill_fraction", figure("batch", "overfill").value),
        row.get("retained_g", figure("batch", "retained").value),
        row.get("loss_fraction", figure("batch", "loss").value),
    )
    return {"batch_g": grams}


def jars_from_batch(row: dict) -> dict:
    jars, _ = filling.jars_from_batch(
        row["batch_g"],
        row["net_g"],
        row.get("overfill_fraction", figure("batch", "overfill").value),
        row.get("retained_g", figure("batch", "retained").value),
        row.get("loss_fraction", figure("batch", "loss").value),
    )
    return {"jars": jars}


def portions(row: dict) -> dict:
    return {"grams": list(filling.portions(row["batch_g"], row["weights"], row["step_g"]))}


def layers(row: dict) -> dict:
    heights = jar.layer_heights(row)
    grams = tone_grams(row["height_fractions"], row["densities"], jar.brim(row), 0.0)
    return {"heights_mm": heights, "grams": list(grams)}


def chord_fraction(row: dict) -> dict:
    mass = beyond(row["offset_over_radius"])
    return {"mass_fraction": mass, "wall_arc_fraction": jar.chord_views({"volume_share": mass})["wall_share"]}


def chord_offset(row: dict) -> dict:
    seen = jar.chord_views({"volume_share": row["mass_fraction"]})
    return {"offset_over_radius": seen["offset_over_radius"], "wall_arc_fraction": seen["wall_share"]}


def helix(row: dict) -> dict:
    made = stripe(row["fill_height_mm"], row["pitch_mm"], row["inner_diameter_mm"], row["fraction"])
    return {"turns": made.turns, "stripe_vertical_mm": made.high_mm, "angle_deg": made.angle_deg}


def rope_length(row: dict) -> dict:
    return {"length_mm": rope_mm(row["volume_ml"], row["nozzle_diameter_mm"])}


def core_radius(row: dict) -> dict:
    radius = row["inner_radius_mm"]
    share = row["mass_fraction_core"]
    seen = jar.core_buried({"volume_share": share, "inner_radius_mm": radius, "fill_height_mm": 1.0})
    return {"core_radius_mm": seen["core_radius_mm"], "wall_visible_core_fraction": seen["wall_share"]}


def grams_in_portion(row: dict) -> dict:
    basis = row.get("basis", "finished_portion")
    return {"colour_g": dusting.pigment_grams(row["uncoloured_g"], row["colour_pct"], basis)}


def spoon_to_grams(row: dict) -> dict:
    made = spoons.spoons(row["teaspoons"], row["bulk_density_low"], row["bulk_density_high"])
    return {"grams_low": made.low_g, "grams_high": made.high_g}


def spoon_per_lb(row: dict) -> dict:
    made = spoons.spoons(row["teaspoons"], row["bulk_density_low"], row["bulk_density_high"])
    portion, basis = convert(row["pounds"], "lb", "g"), row.get("basis", "uncoloured")
    low, high = (dusting.pigment_pct(portion, grams, basis) for grams in made)
    return {"pct_low": low, "pct_high": high, "ratio": made.ratio}


def dust_top(row: dict) -> dict:
    made = dusting.dusting(row["inner_diameter_mm"], row["dose_mg_per_cm2"], row["jars"])
    return made._asdict()


def round_largest_remainder(row: dict) -> dict:
    amounts = row["amounts_g"]
    steps = [row["step_g"]] * len(amounts)
    return {"grams": list(units.round_lines(amounts, steps, total=row.get("total_g")))}


def relative_error(row: dict) -> dict:
    error = weighing.relative_error(row["mass_g"], row["resolution_g"])
    return {"rounding_error_pct": error.rounding_pct, "practical_error_pct": error.practical_pct}


def min_mass(row: dict) -> dict:
    least = weighing.least(row["resolution_g"], factor=row.get("factor"))
    return {
        "min_g": least,
        **relative_error({"mass_g": least, "resolution_g": row["resolution_g"]}),
    }


def min_mass_usp41(row: dict) -> dict:
    return {"min_g": weighing.least_usp41(row["resolution_g"], row["tolerance_pct"])}


def predilution(row: dict) -> dict:
    return weighing.predilution(row["needed_g"], row["dilution_pct"], row["resolution_g"])._asdict()


def max_dilution_strength(row: dict) -> dict:
    strongest = weighing.strongest_dilution(row["needed_g"], row["resolution_g"], row.get("factor"))
    return {"max_strength_pct": strongest}


TOPICS: dict[str, Callable[[dict], dict]] = {
    "formula.check_sum": check_sum,
    "formula.scale": scale,
    "formula.asm": asm,
    "formula.asm_after_dilution": asm_after_dilution,
    "formula.total_water": total_water,
    "formula.percents": percents,
    "formula.density_mix": density_mix,
    "preservative.topup_open": topup_open,
    "preservative.topup_fixed_total": topup_fixed_total,
    "preservative.blend_cap": blend_cap,
    "preservative.unknown_base_range": unknown_base_range,
    "preservative.acid_equivalent": acid_equivalent,
    "preservative.undissociated": undissociated,
    "whip.overrun_weight": overrun_weight,
    "whip.overrun_volume": overrun_volume,
    "whip.density_from_overrun": density_from_overrun,
    "whip.density_after_fold_in": density_after_fold_in,
    "jar.brimful_ml": brimful,
    "jar.fill_and_net": fill_and_net,
    "jar.dome_cap_ml": dome_cap,
    "jar.corner_fillet_loss_ml": corner_loss,
    "plan.batch_from_jars": batch_from_jars,
    "plan.jars_from_batch": jars_from_batch,
    "split.portions": portions,
    "layer.horizontal": layers,
    "stripe.chord_fraction": chord_fraction,
    "stripe.chord_offset": chord_offset,
    "swirl.helix": helix,
    "swirl.rope_length": rope_length,
    "core.radius": core_radius,
    "colour.grams_in_portion": grams_in_portion,
    "colour.spoon_to_grams": spoon_to_grams,
    "colour.spoon_per_lb_to_pct": spoon_per_lb,
    "colour.dust_top": dust_top,
    "weigh.round_largest_remainder": round_largest_remainder,
    "weigh.relative_error": relative_error,
    "weigh.min_mass": min_mass,
    "weigh.min_mass_usp41": min_mass_usp41,
    "weigh.predilution": predilution,
    "weigh.max_dilution_strength": max_dilution_strength,
}
