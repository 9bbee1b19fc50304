"""Topics of what follows a batch: money, labels, records, shelf life, stock, units."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from blendlab.batch import cost, kitchen, record, spoons, stability, stock, weight
from blendlab.facts.read import figure
from blendlab.fragrance.heat import gate_c, may_add
from blendlab.units import convert


def per_gram(row: dict) -> dict:
    made = cost.per_gram(
        row["pack_price"],
        row["pack_g"],
        row.get("shipping_share", 0),
        row.get("nonrecoverable_tax", 0),
        row.get("waste_fraction", figure("batch", "waste").value),
    )
    return {"cost_per_g": float(made)}


def per_jar(row: dict) -> dict:
    made = cost.per_jar(
        row["batch_material_cost"],
        row["jars_filled"],
        row.get("packaging_per_jar", 0),
        row.get("label_per_jar", 0),
        row.get("labour_minutes", 0),
        row.get("labour_rate_per_h", 0),
        row.get("batch_overhead", 0),
        row.get("parcel_share", 0),
    )
    return {"cost_per_jar": float(made.total)}


def price_from_margin(row: dict) -> dict:
    made = cost.price_from_margin(
        row["cost"],
        row["margin_fraction"],
        row.get("fee_fraction", 0),
        row.get("fixed_fee", 0),
        row.get("vat_fraction", 0),
    )
    return {"net_price": float(made.net), "gross_price": float(made.gross)}


def margin_markup(row: dict) -> dict:
    if "margin_fraction" in row:
        return {"markup_fraction": float(cost.markup_of_margin(row["margin_fraction"]))}
    return {"margin_fraction": float(cost.margin_of_markup(row["markup_fraction"]))}


def break_even(row: dict) -> dict:
    return {"units": cost.break_even_jars(row["fixed_cost"], row["net_price"], row["variable_cost"])}


def make_or_buy(row: dict) -> dict:
    kg = cost.make_or_buy_kg(row["buy_per_kg"], row["make_variable_per_kg"], row["make_fixed_per_year"])
    return {"break_even_kg_per_year": None if kg is None else float(kg)}


def us_net_weight(row: dict) -> dict:
    return weight.us_net_weight(row["min_net_g"])._asdict()


def tne(row: dict) -> dict:
    return {"tne_g": weight.tolerable_error(row["nominal_g"])}


def eu_average(row: dict) -> dict:
    made = weight.average_check(row["nominal_g"], row["net_g"])
    return {**made._asdict(), "ok": made.keeps}


def us_pdp(row: dict) -> dict:
    made = weight.us_panel(row["diameter_mm"], row["label_height_mm"])
    return {"area_sq_in": made.area_sq_in, "min_type_in": made.type_in}


def batch_code(row: dict) -> dict:
    made = date.fromisoformat(row["date"])
    return {"code": record.batch_code(made, row["sequence"], row.get("sku", ""))}


def best_before(row: dict) -> dict:
    last = record.best_before(date.fromisoformat(row["made"]), row["months"])
    return {"best_before_end_of": f"{last:%Y-%m}"}


def batch_yield(row: dict) -> dict:
    return record.batch_yield(row["planned_g"], row["actual_filled_g"], row.get("retained_g", 0.0))._asdict()


def evaporation_addback(row: dict) -> dict:
    grams = kitchen.water_back(row["ingredients_g"], row["vessel_tare_g"], row["gross_after_g"])
    return {"water_addback_g": grams}


def fragrance_gate(row: dict) -> dict:
    cap = row.get("cap_c", figure("fragrance", "gate.cap_c").value)
    margin = row.get("margin_c", figure("fragrance", "gate.margin_k").value)
    flash = row.get("flash_point_c")
    limit = gate_c([] if flash is None else [flash], cap, margin)
    return {"limit_c": limit, "ok": may_add(row["product_temp_c"], limit)}


def q10_weeks(row: dict) -> dict:
    weeks = stability.q10_weeks(row["weeks"], row["temp_c"], row["ref_c"], row.get("q10", 2))
    return {"weeks_equivalent": weeks}


def fill_drop(row: dict) -> dict:
    made = stability.fill_drop(
        row["fill_height_mm"], row["density_start"], row["density_now"], row["density_mix"]
    )
    return {"drop_mm": made.drop_mm, "overrun_lost_fraction": made.overrun_lost}


def convert_units(row: dict) -> dict:
    names = {"fl_oz_us": "fl oz", "degF": "F", "degC": "C"}
    unit, to = (names.get(row[end], row[end]) for end in ("from", "to"))
    return {"value": convert(row["value"], unit, to)}


def drops_to_g(row: dict) -> dict:
    return {"grams": spoons.drops(row["drops"], row["drops_per_ml"], row["density"])}


def max_batch(row: dict) -> dict:
    grams, first = stock.largest_batch(row["stock_g"], row["percents"])
    return {"max_batch_g": grams, "limiting_index": first}


def reorder_point(row: dict) -> dict:
    return {"reorder_at": stock.reorder_at(row["daily_use"], row["lead_days"], row["safety_days"])}


TOPICS: dict[str, Callable[[dict], dict]] = {
    "cost.per_gram": per_gram,
    "cost.jar": per_jar,
    "cost.price_from_margin": price_from_margin,
    "cost.margin_markup": margin_markup,
    "cost.break_even_units": break_even,
    "cost.make_or_buy": make_or_buy,
    "label.us_net_weight": us_net_weight,
    "label.tne_g": tne,
    "label.eu_average_check": eu_average,
    "label.us_pdp": us_pdp,
    "record.batch_code": batch_code,
    "record.best_before": best_before,
    "record.yield": batch_yield,
    "process.evaporation_addback": evaporation_addback,
    "process.fragrance_gate": fragrance_gate,
    "stability.q10_equivalent_weeks": q10_weeks,
    "stability.fill_drop_mm": fill_drop,
    "units.convert": convert_units,
    "units.drops_to_g": drops_to_g,
    "stock.max_batch": max_batch,
    "stock.reorder_point": reorder_point,
}
