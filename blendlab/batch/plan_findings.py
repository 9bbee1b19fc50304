"""What is unwise about a batch: the base, the scales, the vessels, the jars."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from blendlab.batch import formula, weighing
from blendlab.batch.acidity import PhWindow, between
from blendlab.batch.filling import mixer_holds
from blendlab.batch.line_wishes import Draft
from blendlab.batch.record import opened_until
from blendlab.batch.rounding import NoRoom, Settled
from blendlab.batch.sheet import Line, Portion
from blendlab.batch.whip import Density, taken_mix
from blendlab.codec import encode
from blendlab.errors import Finding, Level
from blendlab.facts.read import figure
from blendlab.recipe import Design, Dilution, Ref
from blendlab.shelf import Base, Item
from blendlab.units import digits, floored, plain

PRACTICE = "common practice"


def found(level: Level, id: str, where: str, text: str, fix: str = "", source: str = PRACTICE) -> Finding:
    """A finding of the batch."""
    return Finding(level, id, f"batch.{where}", text, fix, source)


def law_level(design: Design) -> Level:
    """How hard a European figure binds: a stop where it is law, a caution elsewhere."""
    return "stop" if {"EU", "GB"} & set(design.markets) else "caution"


def no_room(drafted: Draft, full: NoRoom) -> Finding:
    """Stop for a tone or a batch without room for the base."""
    where = drafted.design.tones[full.tone].name if full.tone >= 0 else "The batch"
    return found(
        "stop",
        "no-room",
        "lines",
        f"{where} has no room for the base: pigments, scent and additions take all of it.",
        "Lower them, or weigh a stronger dilution.",
        "a portion holds 100 %",
    )


def nothing_to_weigh(made: Settled) -> Finding:
    """Stop for a batch of which the scales show nothing."""
    coarse = max(scale.step_g for scale in made.scales)
    return found(
        "stop",
        "nothing-to-weigh",
        "lines",
        f"The batch is smaller than the scale of {coarse:g} g can show.",
        "Make more, or use a finer scale.",
    )


def empty_tones(drafted: Draft, made: Settled) -> Iterator[Finding]:
    """Stop for a tone whose share is less than its scale can show."""
    for tone, weight, grams in zip(drafted.design.tones, drafted.weights, made.tones, strict=True):
        if weight > 0 and grams <= 0:
            yield found(
                "stop",
                f"tone-nothing-{tone.id}",
                f"tones.{tone.id}",
                f"{tone.name} would be {digits(made.batch_g * weight)} g of this batch, less than the "
                f"{made.scales[0].step_g:g} g scale of the base can show; nothing of it is weighed.",
                "Give it a larger share, make a larger batch, or take it out.",
            )


def base_findings(base: Base, on: date, kept: PhWindow | None) -> Iterator[Finding]:
    """Age and pH of the base, and what of its formula nobody confirmed.

    kept  where the pH of the batch must lie; None = it holds no water
    """
    if base.unconfirmed:
        text = f"The formula of {base.name} was changed: {'; '.join(base.unconfirmed)}."
        fix = "Look at it on the Shelf, under Bases, and confirm it."
        yield found("stop", "base-unconfirmed", "base", text, fix, "your formula")
    if base.best_before is not None and base.best_before < on:
        yield found(
            "stop",
            "base-ended",
            "base",
            f"{base.name} ended on {base.best_before}; a top-up does not rescue it.",
            "Take a fresh base lot.",
        )
    if base.opened_on is not None and opened_until(base.opened_on) < on:
        months = figure("batch", "opened_months").value
        yield found(
            "stop",
            "base-opened",
            "base",
            f"{base.name} was opened on {base.opened_on}, more than {months:g} months ago.",
            "Take a fresh base lot.",
        )
    if kept is not None:
        yield from ph_findings(base.pH, base.name, kept)


def ph_findings(pH: float | None, name: str, kept: PhWindow) -> Iterator[Finding]:
    """PH of the base against the window of its batch, and against where its surfactant does not last."""
    alarm = figure("batch", "ph_alarm")
    bring = f"Bring it to {between(*kept.wanted)}."
    if pH is None:
        measure = f"Measure a {figure('batch', 'dispersion').value:g} % dispersion."
        yield found("caution", "ph-unknown", "base", f"The pH of {name} is not known.", measure)
    elif not alarm.low <= pH <= alarm.high:
        yield found(
            "stop",
            "ph",
            "base",
            f"pH {pH:g} of {name} lies outside {alarm.low:g} to {alarm.high:g}; isethionate "
            "esters do not last there.",
            bring,
        )
    elif not kept.holds(pH):
        text = f"{kept.outside(pH, name)} A batch that measures so is not released."
        yield found("caution", "ph", "base", text, bring, kept.source)


def line_findings(
    lines: Sequence[Line],
    smallest_g: float,
    carrier: Ref | None = None,
    design: Design | None = None,
) -> Iterator[Finding]:
    """Amounts against the scales, drift of percents after rounding.

    carrier, design  what a stock dilution is made in, and the design that would take it
    """
    for line in lines:
        if line.grams > 0 and not weighing.weighable(line.grams, line.least_g):
            yield _small(line, smallest_g, carrier, design)
        if line.grams > line.capacity_g:
            yield found(
                "caution",
                f"capacity-{line.id}",
                f"lines.{line.id}",
                f"{line.grams:.0f} g of {line.name} is more than {line.scale} carries "
                f"({line.capacity_g:g} g).",
                "Weigh it in parts.",
            )
        most = (
            figure("batch", "drift_fragrance").value
            if line.what == "oil"
            else figure("batch", "drift_colour").value
        )
        if line.what in ("oil", "pigment") and abs(line.drift_pct) > most:
            yield found(
                "caution",
                f"drift-{line.id}",
                f"lines.{line.id}",
                f"Rounding moves {line.name} from {digits(line.wanted_pct)} to {digits(line.pct)} % "
                f"of {line.of} ({line.drift_pct:+.1f} %).",
                f"Use a finer scale or a dilution, or make at least {smallest_g:.0f} g.",
            )


def _small(line: Line, smallest_g: float, carrier: Ref | None, design: Design | None) -> Finding:
    """Caution for an amount below what its scale can weigh, with the stock that helps."""
    steps = round(line.least_g / line.step_g)
    stock = weighing.stock_for(line.exact_g, line.step_g, line.least_g > weighing.least(line.step_g))
    through = weighing.predilution(line.grams, stock, line.step_g) if stock else None
    error = weighing.relative_error(line.grams, line.step_g)
    said = f"{digits(through.weigh_g)} g" if through else ""
    way = "Use a finer scale"
    if stock and through:
        way = (
            f"Weigh {said} of a {stock:g} % stock instead: its step is "
            f"±{digits(through.error_diluted_pct)} % of it"
        )
    act = None
    pure = line.what in ("pigment", "oil", "preservative") and line.stock_pct == 100
    if stock and carrier is not None and design is not None and pure:
        kind, _, item_id = line.item.partition(":")
        made = Dilution(of=Ref(kind=kind, id=item_id), pct=stock, carrier=carrier)
        act = {"batch.dilutions": [encode(each) for each in (*design.batch.dilutions, made)]}
    return Finding(
        "caution",
        f"small-{line.id}",
        f"batch.lines.{line.id}",
        f"{plain(line.grams, 3)} g of {line.name} is less than {steps} steps of the {line.step_g:g} g scale: "
        f"±{digits(error.rounding_pct)} % by its step alone, ±{digits(error.practical_pct)} % in practice. "
        f"From a batch of {smallest_g:.0f} g on every line can be weighed.",
        f"{way}, or make at least {smallest_g:.0f} g.",
        PRACTICE,
        act,
        f"Use the {stock:g} % stock: {said}" if act else "",
    )


def density_findings(density: Density, jars: int) -> Iterator[Finding]:
    """How many jars may come out while the foam was never weighed."""
    if density.weighed or jars < 1:
        return
    least, most = (floored(jars * density.g_ml / bound, 0) for bound in (density.high, density.low))
    yield found(
        "note",
        "density-unweighed",
        "density",
        f"Until the whipped base is weighed, {least:.0f} to {most:.0f} jars may come out of this batch.",
        "Weigh a level cup of it; the cup replaces the range.",
    )


def mix_findings(base: Base, density: Density) -> Iterator[Finding]:
    """What was taken for a density before whipping that nobody knows, where the foam was not weighed."""
    taken = taken_mix(base)
    if density.weighed or base.density_mix_g_ml is not None or taken is None:
        return
    yield found(
        "note",
        "density-mix-taken",
        "density",
        f"What {base.name} weighs before whipping is not known; {taken:g} g/ml is taken.",
        "Weigh a level cup of it and enter that on Shelf.",
        "an estimate for its kind",
    )


def load_findings(drafted: Draft, loads: Sequence[float]) -> Iterator[Finding]:
    """The scent in the least diluted tone after rounding, against its ceiling."""
    ceiling, highest = drafted.ceiling_pct, max(loads, default=0.0)
    if ceiling is not None and highest > ceiling * (1 + 1e-9):
        yield found(
            "stop",
            "load-rounded",
            "lines",
            f"{highest:.3f} % of scent in one tone; {ceiling:.3f} % is the highest load for sale.",
            "Lower the load.",
            "supplier's sheets and law",
        )


def jar_findings(asked: int | None, jars: int, rest_g: float, net_g: float) -> Iterator[Finding]:
    """A batch too small, or with a short last jar."""
    if jars < 1:
        text = f"The batch does not fill one jar of {net_g:.0f} g after loss and retained sample."
        yield found("stop", "no-jar", "jars", text, "Make more.")
    elif asked is None and rest_g > figure("batch", "short_jar").value * net_g:
        yield found(
            "note", "short-jar", "jars", f"The last jar holds {rest_g:.0f} g: a tester, not for sale."
        )


def scale_findings(drafted: Draft) -> Iterator[Finding]:
    """Stop without any scale."""
    if not drafted.scales:
        text = "No scale on the shelf: grams are rounded to 1 g and nothing small can be weighed."
        yield found("stop", "no-scale", "scales", text, "Put a scale on the shelf.")


def foam_findings(drafted: Draft, made: Settled) -> Iterator[Finding]:
    """Active surfactant that is left after the additions."""
    lines = drafted.resolved.base_lines
    if not lines:
        return
    own = formula.active_surfactant(lines)
    left = formula.after_dilution(own, made.grams[0], made.batch_g)
    window = figure("batch", "asm_soap")
    if own >= window.low > left:
        text = (
            f"{left:.1f} % active surfactant after the additions; the foam gets weak below {window.low:g} %."
        )
        yield found("caution", "foam-weak", "additions", text, "Lower the additions.")


def vessel_findings(
    drafted: Draft, batch_g: float, density: Density, portions: Sequence[Portion]
) -> Iterator[Finding]:
    """Bowl of the mixer and piping bags."""
    bowl, volume = drafted.design.batch.bowl_ml, batch_g / density.g_ml
    if bowl is not None and not mixer_holds(volume, bowl):
        parts = -(-volume // (figure("batch", "mixer_fill").value * bowl))
        yield found(
            "caution",
            "mixer",
            "bowl",
            f"Whipped, the batch fills {volume:.0f} ml; a bowl of {bowl:.0f} ml takes "
            f"{figure('batch', 'mixer_fill').value * bowl:.0f} ml.",
            f"Whip it in {parts:.0f} parts.",
        )
    full = [portion for portion in portions if portion.bags > 1]
    if full:
        told = ", ".join(f"{portion.name} {portion.bags}" for portion in full)
        yield found(
            "note", "bags", "portions", f"Piping bags of {figure('batch', 'bag').value:g} ml: {told}."
        )


def flash_findings(drafted: Draft) -> Iterator[Finding]:
    """Oils whose flash point nobody wrote down: the gate then rests on the others."""
    unknown = [want.item.name for want in drafted.wants if want.what == "oil" and want.item.flash_c is None]
    if unknown:
        text = f"Flash point not known: {', '.join(unknown)}. The gate of the scent does not count it."
        yield found(
            "caution", "flash-unknown", "steps.scent-gate", text, "Look it up in the sheet; no flame near."
        )


def addition_findings(drafted: Draft) -> Iterator[Finding]:
    """Light oils and pigments above what is usual."""
    product = drafted.design.product
    oil = sum(want.pct for want in drafted.wants if want.what == "addition" and want.item.function == "oil")
    usual = figure("batch", "oil_light")
    if product == "whipped_soap" and oil > usual.high:
        yield found(
            "caution",
            "oil-high",
            "additions",
            f"{oil:g} % of light oil in the finished product; usual is up to {usual.high:g} %: "
            "the foam can collapse or weep.",
            "Lower it.",
            usual.source,
        )


def lot_findings(
    lines: Sequence[Line], item_of: Callable[[str, str], Item | None], on: date
) -> Iterator[Finding]:
    """Lots that ended or that nobody named.

    item_of  kind and id -> the thing a line weighs; its date is that of its own lot, of no other
    """
    missing = [line.name for line in lines if not line.lot and line.what != "dust"]
    if missing:
        listed = ", ".join(dict.fromkeys(missing))
        text = f"Lots not named yet: {listed}. A batch without its lots is not released."
        yield found("note", "lots", "lines", text, "Write each lot down while weighing.")
    for line in {line.item: line for line in lines}.values():
        kind, _, item_id = line.item.partition(":")
        item = item_of(kind, item_id)
        ends, own = getattr(item, "expiry", None), getattr(item, "lot", "")
        if ends is not None and ends < on and line.lot in ("", own):
            text = f"Lot {line.lot or '?'} of {line.name} ended on {ends}."
            yield found("stop", f"lot-ended-{line.item}", f"lines.{line.id}", text, "Open a fresh lot.")
