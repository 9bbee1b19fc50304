"""A white base from raw materials: checks of the formula, lines to weigh, working order."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from blendlab import units
from blendlab.batch import formula, ledger, plan_findings, steps, weighing
from blendlab.batch.acidity import PhWindow, window
from blendlab.batch.preservative import blend_cap, gate
from blendlab.batch.rounding import NO_SCALE
from blendlab.batch.sheet import Line, Plan, Step
from blendlab.errors import Finding, worst_first
from blendlab.facts.read import figure
from blendlab.shelf import Base, Ingredient, Scale, Shelf, Stirred, lines_of
from blendlab.units import degrees, digits

BASE = "the base"
_PHASES = ("water", "fat", "dry", "cool", "fold")


class BaseFigures(NamedTuple):
    """What a formula adds up to, percent of the base; None = an ingredient does not say.

    water_class  "anhydrous", "low-water", "water-bearing" or "" while the water is not known
    """

    sum_pct: float
    adds_up: bool
    active_surfactant_pct: float
    water_pct: float | None
    water_class: str
    density_g_ml: float | None


def figures(parts: Sequence[Stirred]) -> BaseFigures:
    """Sum, active surfactant, water and density of a base that is cooked from raw materials.

    parts  its lines, percent of the base

    >>> from blendlab.facts.ingredients import ingredients, whip_formula
    >>> known = {ingredient.id: ingredient for ingredient in ingredients()}
    >>> made = figures([Stirred(known[line.ingredient.id], line.pct) for line in whip_formula()])
    >>> made.adds_up, round(made.active_surfactant_pct, 2), made.water_class
    (True, 27.5, 'water-bearing')
    """
    total, adds_up = formula.check_sum([part.pct for part in parts])
    water = formula.total_water(parts)
    return BaseFigures(
        total,
        adds_up,
        formula.active_surfactant(parts),
        water,
        formula.water_class(water) if water is not None else "",
        formula.base_density(parts),
    )


def cook(
    base: Base, shelf: Shelf, grams: float, scales: Sequence[Scale] = (), on: date | None = None
) -> Plan:
    """The batch sheet of cooking a base lot.

    grams   of the base to make; scales  to use, empty = all on the shelf

    A formula that does not add up to 100 % gets a stop and no lines. Raises UnknownName for an
    ingredient that is not on the shelf.
    """
    day = on or date.today()
    parts = lines_of(base, shelf)
    made = figures(parts)
    kept = None if base.anhydrous else window(part.ingredient for part in parts if _keeps(part))
    findings = [*_formula_findings(base, parts, made), *plan_findings.base_findings(base, day, kept)]
    if not made.adds_up or not base.lines:
        return _plan(base, 0.0, (), (), findings, kept)
    usable = tuple(scales) or tuple(shelf.of("scale"))
    lines = tuple(_lines(parts, grams, usable))
    smallest = weighing.smallest_batch((line.wanted_pct, line.least_g) for line in lines)
    findings += plan_findings.line_findings(lines, smallest)
    findings += plan_findings.lot_findings(lines, _finder(parts), day)
    findings += _law(base, parts, lines)
    return _plan(base, smallest, lines, _order(parts, lines, kept), findings, kept)


def _keeps(part: Stirred) -> bool:
    return part.ingredient.function == "preservative" and part.pct > 0


def _finder(parts: Sequence[Stirred]) -> Callable[[str, str], Ingredient | None]:
    known = {part.ingredient.id: part.ingredient for part in parts}
    return lambda _, item_id: known.get(item_id)


def _lines(parts: Sequence[Stirred], grams: float, scales: Sequence[Scale]) -> Iterator[Line]:
    ordered = sorted(parts, key=lambda part: _PHASES.index(part.ingredient.phase))
    items: list[Ingredient] = [part.ingredient for part in ordered]
    exact = formula.scale([part.pct for part in ordered], grams)
    chosen = [weighing.scale_for(mass, scales) or NO_SCALE for mass in exact]
    rounded = _rounded(items, exact, [scale.step_g for scale in chosen], grams)
    percents, displays = formula.percents(rounded), weighing.Displays()
    for at, (item, asked_pct) in enumerate(ordered):
        kept, scale = item.function == "preservative", chosen[at]
        cup = "Preservative" if kept else f"{item.phase.capitalize()} phase"
        yield Line(
            id=f"ingredient:{item.id}",
            item=f"ingredient:{item.id}",
            what="preservative" if kept else "ingredient",
            name=item.name,
            cup=cup,
            tone="",
            exact_g=exact[at],
            grams=rounded[at],
            pct=percents[at],
            of=BASE,
            wanted_pct=asked_pct,
            cap_pct=item.high_pct,
            stock_pct=100.0,
            scale=scale.name,
            step_g=scale.step_g,
            capacity_g=scale.capacity_g,
            protected=kept,
            good=weighing.good_between(rounded[at], scale.step_g),
            display_g=displays.after(cup, scale, rounded[at]),
            least_g=weighing.least(scale.step_g, kept),
            lot=item.lot,
            note=item.care,
        )


def _rounded(
    items: Sequence[Ingredient], exact: Sequence[float], steps_g: Sequence[float], total: float
) -> tuple[float, ...]:
    """Grams on the scales; a preservative up, unless that brings it above its sheet."""
    kept = [item.function == "preservative" for item in items]
    ways = ["up" if protected else "near" for protected in kept]
    rounded = units.round_lines(exact, steps_g, kept, ways, total)
    over = list(_over(items, rounded))
    for at in over:
        ways[at] = "down"
    return units.round_lines(exact, steps_g, kept, ways, total) if over else rounded


def _over(items: Sequence[Ingredient], rounded: Sequence[float]) -> Iterator[int]:
    """Preservatives that rounding up brought above their sheet."""
    for at, (item, pct) in enumerate(zip(items, formula.percents(rounded), strict=True)):
        if item.function == "preservative" and item.high_pct is not None and pct > item.high_pct:
            yield at


def _order(parts: Sequence[Stirred], lines: Sequence[Line], acid: PhWindow | None) -> tuple[Step, ...]:
    item_of = _finder(parts)
    items = {line.id: item_of(*line.item.split(":", 1)) for line in lines}
    phases = {key: getattr(item, "phase", "water") for key, item in items.items()}
    cares = {key: getattr(item, "care", "") for key, item in items.items()}
    kept = next((item for item in items.values() if getattr(item, "function", "") == "preservative"), None)
    limit = gate(getattr(kept, "add_below_c", None), getattr(kept, "name", ""))
    text = f"Measure the melt: what follows goes in at {degrees(limit.below_c)} or below."
    held = steps.gate("preservative-gate", text, limit.below_c, limit.source)
    alike = {
        key: item.components[0].inci
        for key, item in items.items()
        if isinstance(item, Ingredient) and item.phase == "dry" and item.function == "surfactant"
    }
    return steps.cooking(lines, phases, cares, held, acid, alike=alike)


def _formula_findings(base: Base, parts: Sequence[Stirred], made: BaseFigures) -> Iterator[Finding]:
    if not made.adds_up:
        yield plan_findings.found(
            "stop",
            "base-sum",
            "base.lines",
            f"The formula of {base.name} adds up to {made.sum_pct:.3f} %; nothing is scaled "
            "before it makes 100 %.",
            "Let water or the base fill up to 100 %.",
            "a formula is 100 % of its lines",
        )
    preserved = any(_keeps(part) for part in parts)
    if made.water_pct is None:
        text = f"The water in {base.name} is not known: an ingredient does not say how much it brings."
        yield plan_findings.found("caution", "water-unknown", "base.lines", text, "Ask its supplier.")
    if made.water_class != "anhydrous" and not preserved:
        told = f"{made.water_pct:.1f} % water" if made.water_pct is not None else "an unknown share of water"
        text = f"{base.name} holds {told} and no preservative."
        yield plan_findings.found("stop", "no-preservative", "base.lines", text, "Add a preservative line.")
    if made.active_surfactant_pct > 0:
        yield from _surfactant(base, made.active_surfactant_pct)
    yield from _charges(parts)


def _surfactant(base: Base, pct: float) -> Iterator[Finding]:
    window, alarm = figure("batch", "asm_soap"), figure("batch", "asm_alarm")
    if pct < alarm.low:
        text = f"{pct:.1f} % active surfactant: weak foam below {alarm.low:g} %."
    elif pct > alarm.high:
        text = f"{pct:.1f} % active surfactant: harsh and stiff above {alarm.high:g} %."
    elif not window.low <= pct <= window.high:
        text = f"{pct:.1f} % active surfactant in {base.name}; usual is {window.low:g} to {window.high:g} %."
    else:
        return
    yield plan_findings.found("caution", "surfactant", "base.lines", text, "Move surfactant against water.")


def _charges(parts: Sequence[Stirred]) -> Iterator[Finding]:
    there = [ingredient for ingredient, pct in parts if pct > 0]
    anionic = next((ingredient.name for ingredient in there if ingredient.charge == "anionic"), None)
    for ingredient in there:
        if anionic and ingredient.charge == "cationic":
            text = f"{ingredient.name} is cationic and {anionic} anionic: they take each other's effect away."
            yield plan_findings.found(
                "stop", f"charge-{ingredient.id}", "base.lines", text, "Take one without charge."
            )


def _law(base: Base, parts: Sequence[Stirred], lines: Sequence[Line]) -> Iterator[Finding]:
    """Preservatives of the base by law and sheet, after rounding."""
    limits, item_of = ledger.limits(base.product), _finder(parts)
    for line in lines:
        item = item_of(*line.item.split(":", 1))
        if line.what != "preservative" or item is None:
            continue
        law = blend_cap(ledger.of_ingredient(item), limits)
        most = min(law, item.high_pct if item.high_pct is not None else law)
        if round(line.pct, 9) > most:
            text = f"{digits(line.pct)} % of {item.name} in the base; {digits(most)} % is the most."
            yield plan_findings.found(
                "stop", f"base-most-{item.id}", "base.lines", text, "Lower it.", "law and sheet"
            )
        elif item.low_pct is not None and line.pct < item.low_pct:
            text = f"{digits(line.pct)} % of {item.name}; its sheet asks for at least {item.low_pct:g} %."
            yield plan_findings.found(
                "stop", f"base-least-{item.id}", "base.lines", text, "Raise it.", "sheet"
            )


def _plan(
    base: Base,
    smallest: float,
    lines: tuple[Line, ...],
    order: tuple[Step, ...],
    findings: list[Finding],
    kept: PhWindow | None,
) -> Plan:
    total = float(sum((Decimal(repr(line.grams)) for line in lines), Decimal(0)))
    return Plan(
        title=base.name,
        asked=None,
        jars=0,
        last_jar_g=0.0,
        net_g=0.0,
        net_low_g=0.0,
        net_high_g=0.0,
        density=None,
        batch_g=total,
        overfill_pct=0.0,
        loss_pct=0.0,
        retained_g=0.0,
        lines=lines,
        portions=(),
        preservative=None,
        steps=order,
        smallest_g=smallest,
        acidity=kept,
        findings=worst_first(findings),
    )
