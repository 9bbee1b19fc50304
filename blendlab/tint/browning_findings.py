"""Findings on browning by vanillin: the band it falls in and what the rule of thumb makes of it."""

from __future__ import annotations

from collections.abc import Iterator

from blendlab.errors import Finding
from blendlab.facts.browning import VanillinBand, vanillin_band
from blendlab.facts.read import figure
from blendlab.shelf import Resolved
from blendlab.tint.arrays import Array
from blendlab.tint.browning import BROWNING
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.prediction import tone_recipes
from blendlab.tint.spectra import lab_of
from blendlab.units import digits

_SHOWN_WEEKS = 12.0
"""Weeks shown while the design says none."""


def band(vanillin_pct: float, pH: float | None) -> VanillinBand:
    """Band of a percent of vanillin in the portion; an alkaline base is one worse.

    >>> band(0.06, 6.5).effect, band(0.06, 8.0).effect
    ('tan expected', 'clear brown expected')
    """
    return vanillin_band(vanillin_pct, int(pH is not None and pH > figure("tint", "brown_ph").value))


def browning_findings(resolved: Resolved, vanillin_pct: float | None) -> Iterator[Finding]:
    """The browning of a design, or that it is unknown while a scent is in it."""
    design, base = resolved.design, resolved.base
    if vanillin_pct is None:
        if design.scent.oils and design.scent.load_pct > 0:
            yield Finding(
                "caution",
                "tint.browning",
                "look.weeks",
                "How much vanillin the scent brings is unknown, so browning is not drawn.",
                "Ask for the vanillin percent of each oil.",
                "common practice",
            )
        return
    if vanillin_pct <= 0:
        return
    usual = band(vanillin_pct, base.pH)
    weeks = design.weeks or _SHOWN_WEEKS
    name, change = _most_changed(resolved, vanillin_pct, weeks)
    yield Finding(
        usual.level,
        "tint.browning",
        "look.weeks",
        f"Vanillin is {digits(vanillin_pct)} % of the portion; by the usual bands {usual.effect}. The rule "
        f"of thumb that is drawn says Delta E {change[1]:.1f} ({change[0]:.1f} to {change[2]:.1f}) for "
        f"{name} after {weeks:g} weeks.",
        "Lower the load, take an oil with less vanillin, or keep a jar for "
        f"{figure('tint', 'look_again').value:g} weeks and photograph it.",
        usual.source,
    )


def _most_changed(resolved: Resolved, vanillin_pct: float, weeks: float) -> tuple[str, list[float]]:
    def labs(pct: float, how: str) -> list[Array]:
        made = tone_recipes(resolved, weeks=weeks, vanillin_pct=pct, how_brown=how)
        return [lab_of(recipe.mixed()[2]) for recipe in made]

    fresh = labs(0.0, "likely")
    aged = [labs(vanillin_pct, how) for how in BROWNING]
    changes = [[float(delta_e_2000(a, b)) for a, b in zip(fresh, each, strict=True)] for each in aged]
    worst = max(range(len(fresh)), key=lambda at: changes[1][at])
    return resolved.tones[worst].tone.name, [each[worst] for each in changes]
