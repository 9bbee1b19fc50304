"""What is unwise about the preservative of a batch, before and after rounding."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from blendlab.batch import ledger
from blendlab.batch.line_wishes import Draft, Wish
from blendlab.batch.plan_findings import found, law_level
from blendlab.batch.rounding import Settled
from blendlab.errors import Finding, Level
from blendlab.facts.preservatives import system_of
from blendlab.facts.read import figure
from blendlab.shelf import Base, Ingredient
from blendlab.units import digits


def preservative_findings(drafted: Draft) -> Iterator[Finding]:
    """What is known of the preservative before anything is weighed."""
    yield from _charges(drafted)
    base, wish = drafted.base, drafted.wish
    if wish is None:
        yield from _without(drafted)
        return
    name = wish.ingredient.name
    yield from _held(base, wish)
    least = wish.ingredient.low_pct
    if least is not None and wish.most < least:
        yield found(
            "stop",
            "preservative-impossible",
            "preservative",
            f"At most {digits(wish.most)} % of {name} may be in the product, its sheet asks for "
            f"at least {least:g} %.",
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
    yield from _acids(drafted, wish.ingredient)
    yield from _system(drafted, wish.ingredient)


def _held(base: Base, wish: Wish) -> Iterator[Finding]:
    """What is known of the preservative that the base holds already."""
    name = wish.ingredient.name
    if wish.held.how == "other":
        other = base.preservative.id if base.preservative else "something else"
        yield found(
            "stop",
            "preservative-other",
            "preservative",
            f"{base.name} was preserved with {other}; percents of two blends do not add up, so no "
            f"top-up with {name} is sized.",
            "Top up with the same preservative.",
        )
    elif not wish.held.known:
        yield found(
            "stop",
            "preservative-unknown",
            "preservative",
            f"How much {name} {base.name} holds is not known; no top-up is sized and nothing is "
            "released for sale.",
            "Ask for lot, date of manufacture, name and percent of its preservative.",
        )


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
            "Wet fingers bring water into a scrub jar in the bath; without a preservative "
            "nothing holds that.",
            "Preserve it anyway, or sell it with a spoon.",
        )


def _acids(drafted: Draft, item: Ingredient) -> Iterator[Finding]:
    """Acids that are split too far at the pH of the base, beside nothing else that preserves a stop."""
    pH, shares = drafted.base.pH, ledger.free_acid(drafted.base, item)
    listed = ledger.limits(drafted.design.product)
    others = any(name in listed and name not in shares for name in ledger.of_ingredient(item))
    bounds = figure("batch", "undissociated")
    none_left = not others and all(share < bounds.low for share in shares.values())
    level: Level = "stop" if none_left else "caution"
    for name, share in shares.items():
        if share >= bounds.value or (others and share >= bounds.low):
            continue
        yield found(
            level,
            f"acid-{name}",
            "preservative",
            f"At pH {pH:g} only {100 * share:.1f} % of the {name} is unsplit and preserves.",
            "Lower the pH, or take a preservative that does not need acid.",
            "J. Cosmet. Sci. 56 (2005) 361",
        )


def _system(drafted: Draft, item: Ingredient) -> Iterator[Finding]:
    """The system a preservative belongs to; where its pH must lie is said with that of the base."""
    system = system_of(item)
    if system is None:
        text = f"{item.name} is of no system that is known here; its sheet alone says how it is used."
        yield found("note", "system-unknown", "preservative", text, "Keep its sheet with the lot.")
        return
    if system.refused == "yes" or (system.refused == "anionic" and _maybe_anionic(drafted)):
        text = f"{item.name} ({system.name}): {system.warning}."
        yield found(
            "stop", "system-refused", "preservative", text, "Take another preservative.", system.source
        )


def _maybe_anionic(drafted: Draft) -> bool:
    """Whether an anionic surfactant is in it, or may be: of a base whose formula nobody wrote down."""
    lines = drafted.resolved.base_lines
    return not lines or _anionic(drafted)


def _anionic(drafted: Draft) -> bool:
    return drafted.design.product in ("whipped_soap", "sugar_scrub") or any(
        ingredient.charge == "anionic" for ingredient in _charged(drafted)
    )


def _charged(drafted: Draft) -> list[Ingredient]:
    """What is in the base, as far as its formula is known, what is stirred in, what preserves it."""
    known = [ingredient for ingredient, _ in drafted.resolved.base_lines or ()]
    return [*known, *(want.item for want in drafted.wants if want.what in ("addition", "preservative"))]


def _charges(drafted: Draft) -> Iterator[Finding]:
    anionic = _anionic(drafted)
    for ingredient in _charged(drafted):
        if anionic and ingredient.charge == "cationic":
            yield found(
                "stop",
                f"charge-{ingredient.id}",
                "preservative" if ingredient.function == "preservative" else "additions",
                f"{ingredient.name} is cationic; the anionic surfactant beside it takes its effect away.",
                "Take one without charge.",
            )


def settled_findings(
    drafted: Draft, made: Settled, actives: Sequence[ledger.Active], low: float, high: float
) -> Iterator[Finding]:
    """The preservative after rounding: caps first, then the wish."""
    level = law_level(drafted.design)
    for active in actives:
        if not active.within:
            yield found(
                level,
                f"active-{active.name}-{active.tone}",
                "preservative",
                f"{active.name} reaches {active.pct:.4f} % of {active.tone}; "
                f"{active.limit_pct:g} % is listed.",
                "Lower the preservative.",
                active.source,
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
    least = wish.ingredient.low_pct
    under = least is not None and low < least * (1 - 1e-9)
    if under or low < wish.wanted * (1 - 1e-9):
        yield _short(made, wish, low, least if under else None)


def _short(made: Settled, wish: Wish, low: float, least: float | None) -> Finding:
    """Less preservative than was wanted, or than its sheet asks for.

    least  what its sheet asks for, where less than that would be in: a stop
    """
    asked = f"its sheet asks for at least {least:g} %" if least is not None else ""
    told, act = f"{low:.3f} % of {wish.ingredient.name} in the most diluted tone", None
    if low < wish.wanted * (1 - 1e-9):
        why = "by what was weighed" if made.done else "law and sheet allow no more"
        told = f"{told} instead of {wish.wanted:.3f} %: {why}" + (f", and {asked}." if asked else ".")
        fix = "Make a larger batch, weigh it through a dilution, or bring the tones nearer to each other."
    else:
        told, fix, act = f"{told}; {asked}.", "Top it up to that.", {"batch.preservative_pct": least}
    level: Level = "stop" if asked else "caution"
    button = f"Top up to {least:g} %" if act else ""
    where, source = "batch.preservative", "law and its sheet before your wish"
    return Finding(level, "preservative-short", where, told, fix, source, act, button)
