"""What is unwise about a batch: the preservative, the base, the scales, the vessels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from blendlab.batch import ledger, weighing
from blendlab.batch.draft import Draft
from blendlab.batch.filling import mixer_holds
from blendlab.batch.settle import NoRoom, Settled
from blendlab.batch.sheet import Line, Portion
from blendlab.batch.whip import Density
from blendlab.errors import Finding, Level
from blendlab.facts.materials import practice, usage_rate, usual
from blendlab.recipe import Design
from blendlab.shelf import Base, Ingredient, Shelf
from blendlab.units import digits, plain

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


def base_findings(base: Base, on: date) -> Iterator[Finding]:
    """Age and pH of the base."""
    if base.best_before is not None and base.best_before < on:
        yield found(
            "stop",
            "base-ended",
            "base",
            f"{base.name} ended on {base.best_before}; a top-up does not rescue it.",
            "Take a fresh base lot.",
        )
    months = usual("opened_months")
    if base.opened_on is not None and (on - base.opened_on).days > months * 30.44:
        yield found(
            "stop",
            "base-opened",
            "base",
            f"{base.name} was opened on {base.opened_on}, more than {months:g} months ago.",
            "Take a fresh base lot.",
        )
    if not base.anhydrous:
        yield from ph_findings(base.pH, base.name)


def ph_findings(pH: float | None, name: str) -> Iterator[Finding]:
    """PH against the window of a whipped cleanser."""
    window, alarm = practice("ph_soap"), practice("ph_alarm")
    if pH is None:
        yield found(
            "caution", "ph-unknown", "base", f"The pH of {name} is not known.", "Measure a 10 % dispersion."
        )
    elif not alarm.low <= pH <= alarm.high:
        yield found(
            "stop",
            "ph",
            "base",
            f"pH {pH:g} of {name} lies outside {alarm.low:g} to {alarm.high:g}; isethionate esters do not last there.",
            "Bring it to 5.5 to 6.5.",
        )
    elif not window.low <= pH <= window.high:
        text = f"pH {pH:g} of {name} lies outside the usual {window.low:g} to {window.high:g}."
        yield found("caution", "ph", "base", text, "Bring it to 5.5 to 6.5.")


def preservative_findings(drafted: Draft, shelf: Shelf) -> Iterator[Finding]:
    """What is known of the preservative before anything is weighed."""
    base, wish = drafted.base, drafted.wish
    if wish is None:
        yield from _without(drafted)
        return
    name = wish.ingredient.name
    if wish.held.how == "other":
        other = base.preservative.id if base.preservative else "something else"
        yield found(
            "stop",
            "preservative-other",
            "preservative",
            f"{base.name} was preserved with {other}; percents of two blends do not add up, so no top-up with {name} is sized.",
            "Top up with the same preservative.",
        )
    elif not wish.held.known:
        yield found(
            "stop",
            "preservative-unknown",
            "preservative",
            f"How much {name} {base.name} holds is not known; no top-up is sized and nothing is released for sale.",
            "Ask for lot, date of manufacture, name and percent of its preservative.",
        )
    least = wish.ingredient.low_pct
    if least is not None and wish.most < least:
        yield found(
            "stop",
            "preservative-impossible",
            "preservative",
            f"At most {digits(wish.most)} % of {name} may be in the product, its sheet asks for at least {least:g} %.",
            "Take another preservative.",
            "law and sheet",
        )
    if wish.unknown:
        listed = ", ".join(wish.unknown)
        yield found(
            "note",
            "active-unknown",
            "preservative",
            f"Whether the scent holds {listed} is not known; it would count towards its limit.",
            "Ask the suppliers of the oils.",
        )
    yield from _system(base, wish.ingredient, drafted.design)
    yield from _charges(drafted, shelf)


def _without(drafted: Draft) -> Iterator[Finding]:
    base = drafted.base
    if not base.anhydrous:
        yield found(
            "stop",
            "no-preservative",
            "preservative",
            f"{base.name} holds water and no preservative is named for it.",
            "Name what it was preserved with, and put that on the shelf.",
        )
    elif drafted.design.product in ("sugar_scrub", "oil_sugar_scrub", "foot_scrub"):
        yield found(
            "caution",
            "wet-fingers",
            "preservative",
            "Wet fingers bring water into a scrub jar in the bath; without a preservative nothing holds that.",
            "Preserve it anyway, or sell it with a spoon.",
        )


def _system(base: Base, item: Ingredient, design: Design) -> Iterator[Finding]:
    shares = ledger.free_acid(base, item)
    others = [name for name in ledger.of_ingredient(item) if name not in shares]
    bounds = practice("undissociated")
    for name, share in shares.items():
        if share >= bounds.usual or (others and share >= bounds.low):
            continue
        sole = not others and len(shares) == 1
        level: Level = "stop" if sole and share < bounds.low else "caution"
        yield found(
            level,
            f"acid-{name}",
            "preservative",
            f"At pH {base.pH:g} only {100 * share:.1f} % of the {name} is unsplit and preserves.",
            "Lower the pH, or take a preservative that does not need acid.",
            "J. Cosmet. Sci. 56 (2005) 361",
        )


def _charges(drafted: Draft, shelf: Shelf) -> Iterator[Finding]:
    known = [shelf.find(line.ingredient) for line in drafted.base.lines if shelf.has(line.ingredient)]
    there = [*known, *(one.item for one in drafted.wants if one.what in ("addition", "preservative"))]
    anionic = any(one.charge == "anionic" for one in known) or drafted.design.product in (
        "whipped_soap",
        "sugar_scrub",
    )
    for one in there:
        if anionic and one.charge == "cationic":
            yield found(
                "stop",
                f"charge-{one.id}",
                "preservative" if one.function == "preservative" else "additions",
                f"{one.name} is cationic; the anionic surfactant of the base takes its effect away.",
                "Take one without charge.",
            )


def settled_findings(
    drafted: Draft, made: Settled, actives: Sequence[ledger.Active], low: float, high: float
) -> Iterator[Finding]:
    """The preservative after rounding: caps first, then the wish."""
    level = law_level(drafted.design)
    for one in actives:
        if not one.within:
            yield found(
                level,
                f"active-{one.name}-{one.tone}",
                "preservative",
                f"{one.name} reaches {one.pct:.4f} % of {one.tone}; {one.limit_pct:g} % is listed.",
                "Lower the preservative.",
                one.source,
            )
    wish = drafted.wish
    if wish is None or made.target is None:
        return
    name = wish.ingredient.name
    if high > wish.most * (1 + 1e-9):
        yield found(
            "stop" if wish.held.how == "declared" else level,
            "preservative-most",
            "preservative",
            f"{name} may reach {high:.3f} % in the least diluted tone; {wish.most:.3f} % is the most.",
            "Ask the supplier for the exact percent in the base, or lower what is wanted.",
            "law and sheet",
        )
    if low < wish.wanted * (1 - 1e-9):
        least = wish.ingredient.low_pct
        under = least is not None and low < least
        yield found(
            "stop" if under else "caution",
            "preservative-short",
            "preservative",
            f"{low:.3f} % of {name} in the most diluted tone instead of {wish.wanted:.3f} %: law and sheet allow no more"
            + (f", and its sheet asks for at least {least:g} %." if under else "."),
            "Make a larger batch, weigh it through a dilution, or bring the tones nearer to each other.",
            "law, then sheet, then wish",
        )


def line_findings(lines: Sequence[Line], smallest_g: float, batch_g: float) -> Iterator[Finding]:
    """Amounts against the scales, drift of percents after rounding."""
    for one in lines:
        if 0 < one.grams < one.least_g:
            steps = round(one.least_g / one.step_g)
            stock = weighing.stock_for(one.exact_g, one.step_g, one.least_g > weighing.least(one.step_g))
            way = (
                f"Weigh {digits(one.grams * 100 / stock)} g of a {stock:g} % stock instead"
                if stock
                else "Use a finer scale"
            )
            yield found(
                "caution",
                f"small-{one.id}",
                f"lines.{one.id}",
                f"{plain(one.grams, 3)} g of {one.name} is less than {steps} steps of the {one.step_g:g} g scale.",
                f"{way}, or make at least {smallest_g:.0f} g.",
            )
        if one.grams > one.capacity_g:
            yield found(
                "caution",
                f"capacity-{one.id}",
                f"lines.{one.id}",
                f"{one.grams:.0f} g of {one.name} is more than {one.scale} carries ({one.capacity_g:g} g).",
                "Weigh it in parts.",
            )
        most = usual("drift_fragrance") if one.what == "oil" else usual("drift_colour")
        if one.what in ("oil", "pigment") and abs(one.drift_pct) > most:
            yield found(
                "caution",
                f"drift-{one.id}",
                f"lines.{one.id}",
                f"Rounding moves {one.name} from {digits(one.wanted_pct)} to {digits(one.pct)} % of {one.of} "
                f"({one.drift_pct:+.1f} %).",
                f"Use a finer scale or a dilution, or make at least {smallest_g:.0f} g.",
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
    elif asked is None and rest_g > 0.1 * net_g:
        yield found(
            "note", "short-jar", "jars", f"The last jar holds {rest_g:.0f} g: a tester, not for sale."
        )


def scale_findings(drafted: Draft) -> Iterator[Finding]:
    """Stop without any scale."""
    if not drafted.scales:
        text = "No scale on the shelf: grams are rounded to 1 g and nothing small can be weighed."
        yield found("stop", "no-scale", "scales", text, "Put a scale on the shelf.")


def vessel_findings(
    drafted: Draft, batch_g: float, density: Density | None, portions: Sequence[Portion]
) -> Iterator[Finding]:
    """Bowl of the mixer, piping bags, density that was not weighed."""
    if density is None:
        return
    bowl, volume = drafted.design.batch.bowl_ml, batch_g / density.g_ml
    if bowl is not None and not mixer_holds(volume, bowl):
        parts = -(-volume // (usual("mixer_fill") * bowl))
        yield found(
            "caution",
            "mixer",
            "bowl",
            f"Whipped, the batch fills {volume:.0f} ml; a bowl of {bowl:.0f} ml takes {usual('mixer_fill') * bowl:.0f} ml.",
            f"Whip it in {parts:.0f} parts.",
        )
    full = [one for one in portions if one.bags > 1]
    if full:
        told = ", ".join(f"{one.name} {one.bags}" for one in full)
        yield found("note", "bags", "portions", f"Piping bags of {usual('bag'):g} ml: {told}.")


def addition_findings(drafted: Draft) -> Iterator[Finding]:
    """Light oils and pigments above what is usual."""
    product = drafted.design.product
    oil = sum(one.pct for one in drafted.wants if one.what == "addition" and one.item.function == "oil")
    rate = usage_rate("added light liquid oil", product)
    if rate is not None and oil > rate.high:
        yield found(
            "caution",
            "oil-high",
            "additions",
            f"{oil:g} % of light oil in the finished product; usual is up to {rate.high:g} %: {rate.why}.",
            "Lower it.",
            rate.source,
        )


def lot_findings(lines: Sequence[Line], shelf: Shelf, on: date) -> Iterator[Finding]:
    """Lots that ended or that nobody named."""
    missing = [one.name for one in lines if not one.lot and one.what != "dust"]
    if missing:
        listed = ", ".join(dict.fromkeys(missing))
        text = f"Lots not named yet: {listed}. A batch without its lots is not released."
        yield found("note", "lots", "lines", text, "Write each lot down while weighing.")
    for one in {line.item: line for line in lines}.values():
        kind, _, item_id = one.item.partition(":")
        item = shelf.today(kind, item_id)
        ends = getattr(item, "expiry", None)
        if ends is not None and ends < on:
            text = f"Lot {one.lot or '?'} of {one.name} ended on {ends}."
            yield found("stop", f"lot-ended-{one.item}", f"lines.{one.id}", text, "Open a fresh lot.")
