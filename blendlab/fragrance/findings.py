"""The findings of a scent, in words: what stops a sale, what needs care, what is good to know."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from blendlab.errors import Finding, Level
from blendlab.facts.browning import vanillin_band
from blendlab.facts.law import small_children
from blendlab.facts.products import Product
from blendlab.facts.read import figure
from blendlab.fragrance.blend import BASE, Blend
from blendlab.fragrance.contents import at_least, high_pct
from blendlab.fragrance.load import in_product
from blendlab.fragrance.percent_conversions import fragrance_of_final
from blendlab.fragrance.result import Head, ScentCheck
from blendlab.fragrance.thresholds import keeps
from blendlab.recipe import slug
from blendlab.shelf import Base
from blendlab.units import beside, degrees, floored

PRACTICE, MEMORY = "common practice", "from memory"
SHEET_RULE = "IFRA Standards: the supplier's certificate speaks for the oil"


def of_load(made: ScentCheck, blend: Blend) -> Iterator[Finding]:
    """Load against the ceiling and against what is usual."""
    load, ceiling = made.load_pct, made.ceiling_pct
    over = [row for row in made.rows if row.over and row.binds]
    if load > 0 and not made.sheets:
        yield _stop(
            f"The load is {load:.2f} % of the jar and no oil is in the scent.", "Add an oil.", "empty"
        )
    elif ceiling is not None and not keeps(load, ceiling):
        yield _over(made, blend, over, ceiling)
    elif over:
        base = load == 0
        text = _row_text(over[0]) + (" The base alone brings it." if base else "")
        fix = "Choose another base." if base else "Lower the load, or leave an oil out."
        yield _stop(text, fix, "base" if base else "over", over[0].source)
    elif ceiling is not None and load >= figure("fragrance", "near.share").value * ceiling > 0:
        yield _near(made, ceiling)
    high = blend.product.usual_high_pct
    if high is not None and load > high:
        test_g, (used, most) = figure("fragrance", "foam.test_g").value, beside(load, high, 2)
        yield Finding(
            "caution",
            "load.usual",
            "scent.load_pct",
            f"{used} % of the jar is more than the usual {most} % for this kind of product;"
            " foam may soften or collapse, oil may bleed.",
            f"Whip three tests of {test_g:g} g, at none, half and full load; "
            "weigh a cup after a day and a week.",
            PRACTICE,
            {"scent.load_pct": high},
            f"Lower to {high:.2f} %",
        )
    yield from _house(made)


def _house(made: ScentCheck) -> Iterator[Finding]:
    """Her own ceilings that the scent breaks."""
    for row in made.rows:
        if row.kind == "house" and row.over:
            used, most = beside(row.used_pct, at_least(row.limit_pct))
            text = f"{row.name}: {used} {row.unit}, you allow {most} {row.unit}."
            fix = "Find the closest blend, or raise your ceiling."
            yield Finding("caution", f"house.{slug(row.name)}", "scent.rows", text, fix, row.source)
        elif row.kind == "house" and row.at_least:
            text = f"{row.name} cannot be kept for certain: an oil does not say."
            yield Finding(
                "caution", f"house.{slug(row.name)}", "scent.rows", text, "Ask for its papers.", row.source
            )


def _near(made: ScentCheck, ceiling: float) -> Finding:
    row = next((row for row in made.rows if row.name == made.governing), None)
    return Finding(
        "caution",
        "load.near",
        "scent.load_pct",
        f"The load uses {100 * made.load_pct / ceiling:.0f} % of the highest, {floored(ceiling):.2f} %"
        f" of the jar. {made.governing} binds.",
        "Leave room for a new lot.",
        _source(row),
    )


def _over(made: ScentCheck, blend: Blend, over: list[Head], ceiling: float) -> Finding:
    row = next((row for row in over if row.name == made.governing), over[0] if over else None)
    lower = floored(ceiling)
    load, _ = beside(made.load_pct, lower, 2)
    text = _row_text(row) if row else f"Over the highest load: {load} % of the jar."
    if lower <= 0:
        holders = _holders(blend, made.governing)
        fix = f"Take {holders} out." if holders else "Choose another base."
        return _stop(f"{text} No load is left.", fix, "over", _source(row))
    return Finding(
        "stop",
        "load.over",
        "scent.load_pct",
        f"{text} Highest load {lower:.2f} % of the jar.",
        "Lower the load, or find the closest blend.",
        _source(row),
        {"scent.load_pct": lower},
        f"Lower to {lower:.2f} %",
    )


def _holders(blend: Blend, row_name: str) -> str:
    """Oils that bring what a row counts."""
    held = {
        name
        for row in blend.constraints
        if row.name == row_name
        for name, pct in zip(blend.names, row.contents_pct, strict=True)
        if pct
    }
    held |= {name for name, sheet in zip(blend.names, blend.sheets, strict=True) if sheet.limit_pct == 0}
    return ", ".join(sorted(held))


def _row_text(row: Head) -> str:
    limit = row.limit_pct or 0.0
    if row.kind == "sheets":
        used, most = beside(row.used_pct, limit, 2)
        return f"Over the sheets: {used} % of the jar, all sheets together allow {most} %."
    if row.kind == "sum":
        used, most = beside(row.used_pct, limit, 0)
        return f"Over a listed limit: {row.name} {used} % of their sum, {most} % listed."
    used, most = beside(row.used_pct, limit, 4)
    if limit == 0:
        return f"{row.name} may not be used at all; the scent brings {used} % of the jar."
    return f"Over a listed limit: {row.name} {used} % of the jar, {most} % listed."


def _source(row: Head | None) -> str:
    return row.source if row and row.source else SHEET_RULE


def _stop(text: str, fix: str, name: str, source: str = PRACTICE) -> Finding:
    return Finding("stop", f"load.{name}", "scent.load_pct", text, fix, source)


def of_sheets(made: ScentCheck, blend: Blend) -> Iterator[Finding]:
    """One finding for each sheet that stops or needs care, and for one lot under two names."""
    without = {left.oil: left.ceiling_pct for left in made.without}
    for name, oil, sheet in zip(blend.names, blend.oils, blend.sheets, strict=True):
        if sheet.state == "use":
            continue
        level: Level = "stop" if sheet.state == "stop" else "caution"
        rest = _relaxed(name, without.get(name), blend.product.usual_high_pct) if level == "stop" else ""
        yield Finding(
            level, f"sheet.{oil.id}", f"scent.oils.{oil.id}", sheet.text + rest, sheet.fix, SHEET_RULE
        )
    lots = [(oil.supplier, oil.lot) for oil in blend.oils if oil.lot]
    for supplier, lot in sorted({lot for lot in lots if lots.count(lot) > 1}):
        yield Finding(
            "caution",
            f"same.{slug(lot)}",
            "scent.oils",
            f"Two oils are lot {lot} of {supplier or 'one supplier'}: the same oil under two names?",
            "Keep one of them.",
            PRACTICE,
        )


def _relaxed(name: str, ceiling: float | None, usual: float | None) -> str:
    if ceiling is None:
        return ""
    if usual is not None and ceiling > usual:
        return f" Without {name} the limits leave room for any usual load."
    return f" Without {name} the load could be {floored(ceiling):.2f} %."


def of_base(base: Base, made: ScentCheck) -> Iterator[Finding]:
    """What the base's own fragrance means."""
    if base.own_fragrance_pct is None:
        stays = made.rinse == "leave_on"
        yield Finding(
            "stop" if stays else "caution",
            "base.unknown",
            "scent.base",
            f"It is not known whether {base.name} carries fragrance of its own.",
            "Enter it on Shelf with the base, 0 if it has none; ask its maker where you do not know.",
            PRACTICE,
        )
    elif base.own_fragrance_pct > 0:
        own = base.own_fragrance_pct
        *_, whole = fragrance_of_final(100.0 - made.load_pct, own, made.load_pct, 100.0)
        text = f"This base already carries {own:g} % of scent; with the load that is up to {whole:.2f} %"
        text += " of the jar. It counts."
        if made.governing == BASE:
            yield Finding(
                "stop",
                "base.sheet",
                "scent.base",
                text + " It has no sheet for this use.",
                "Ask for its sheet.",
                SHEET_RULE,
            )
        else:
            yield Finding("note", "base.own", "scent.base", text, "", SHEET_RULE)


def of_contents(made: ScentCheck, blend: Blend) -> Iterator[Finding]:
    """What is restricted without a figure, sums near their limit, advice, small children."""
    named = [row.name for row in blend.constraints if row.name in made.unchecked]
    if named:
        yield Finding(
            "caution",
            "unchecked",
            "scent.rows",
            f"No figure here for {', '.join(named)}. That is not the same as none.",
            "Ask for the sheets of the oils that hold them.",
            f"IFRA index: {made.counts.restricted_total} restricted Standards",
        )
    for row in blend.constraints:
        used = row.used(blend.shares, blend.load_pct)
        if row.kind == "sum" and figure("fragrance", "phototoxic.advice_pct").value < used <= 100:
            text = (
                f"{row.name} use {used:.0f} % of their sum: avoid sun on the skin "
                f"for {figure('fragrance', 'phototoxic.hours').value:g} hours."
            )
            fix = "Use a furocoumarin-free oil."
            yield Finding("caution", "photo", "scent.rows", text, fix, row.limit.source)
        if row.limit.use.act == "advice" and row.pct is not None and used > row.pct:
            amount, most = beside(used, row.pct)
            text = f"{row.name}: {amount} % of the jar; an opinion names {most} %."
            name = f"advice.{slug(row.name)}"
            yield Finding("caution", name, "scent.rows", text, "Lower its share.", row.limit.source)
    least = figure("fragrance", "children.from_pct").value
    young = sorted({word for cas, word in small_children().items() if _known(blend, cas) >= least})
    if young:
        text = f"Holds {', '.join(young)}: not for children under three."
        yield Finding("note", "young", "scent.rows", text, "Say so on the label.", MEMORY)


def _known(blend: Blend, cas: str) -> float:
    """Known percent of a substance in the product, at its high bounds."""
    held = [at_least(high_pct(oil, {cas})) for oil in blend.oils]
    in_scent = fsum(share * pct for share, pct in zip(blend.shares, held, strict=True))
    return in_product(blend.load_pct, in_scent)


def of_process(made: ScentCheck, blend: Blend) -> Iterator[Finding]:
    """Heat gate and browning."""
    if not blend.oils:
        return
    yield _gate(made, blend)
    yield from _browning(made)


def _browning(made: ScentCheck) -> Iterator[Finding]:
    brown = made.vanillin
    if brown.pct is not None and vanillin_band(brown.pct).level == "note" and not brown.ethyl_pct:
        return
    amount = "unknown" if brown.pct is None else f"{brown.pct:.3f} % of the jar"
    text = f"Vanillin {amount}: {brown.colour}."
    if brown.ethyl_pct:
        text += (
            f" Ethyl vanillin {brown.ethyl_pct:.3f} %, not in that figure; how much it browns is unmeasured."
        )
    fix = "Look at the jar after some weeks on the Look page."
    yield Finding("note", "vanillin", "scent.vanillin", text, fix, PRACTICE)


def _gate(made: ScentCheck, blend: Blend) -> Finding:
    dim = [name for name, oil in zip(blend.names, blend.oils, strict=True) if oil.flash_c is None]
    text = f"Scent goes in below {degrees(made.heat_gate_c)}."
    heats: tuple[float, ...] = (made.heat_gate_c,)
    if made.flash_min_c is not None:
        text += f" Lowest flash point {degrees(made.flash_min_c)}."
        heats += (made.flash_min_c,)
    if not dim:
        return Finding("note", "heat", "scent.heat", text, "", PRACTICE, heats=heats)
    text += f" No flash point known for {', '.join(dim)}."
    fix = "Take flash points from the data sheets."
    return Finding("caution", "heat", "scent.heat", text, fix, PRACTICE, heats=heats)


def of_other_category(made: ScentCheck, product: Product, ceiling: float | None) -> Iterator[Finding]:
    """A second category whose figure is shown as a caution."""
    if ceiling is not None and made.load_pct <= ceiling:
        return
    figure_text = "has no figure" if ceiling is None else f"allows {floored(ceiling):.2f} %"
    yield Finding(
        "caution",
        "also",
        "scent.load_pct",
        f"Category {product.also} {figure_text}, the load is {made.load_pct:.2f} %: {product.also_why}.",
        "Stay below it, or test the rinse.",
        PRACTICE,
    )
