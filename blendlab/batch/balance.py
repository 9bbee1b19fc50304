"""Where the grams of a batch went."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from blendlab.errors import Finding
from blendlab.facts.read import figure


@dataclass(frozen=True)
class Balance:
    """Where the grams of a batch went.

    in_g = jars_g + base_g + steam_g + retained_g + left_g + scent_g + lost_g

    base_g     the base that came out; steam_g  water that the pot lost in the heat, by its weight
    scent_g    scent that was mixed and that no tone asks for any more: it stays in its cup
    lost_g     the rest: neither in jars nor set aside nor left over; less than 0 = more came out than went in
    estimated  some jars were not weighed and count at the mean of those that were
    """

    in_g: float
    jars_g: float
    retained_g: float
    left_g: float
    estimated: bool
    base_g: float = 0.0
    steam_g: float = 0.0
    scent_g: float = 0.0

    @property
    def lost_g(self) -> float:
        """What nobody can account for [g]."""
        made = self.jars_g + self.base_g + self.steam_g
        return round(self.in_g - made - self.retained_g - self.left_g - self.scent_g, 9)

    @property
    def lost_pct(self) -> float:
        """The same, percent of what went in."""
        return 100 * self.lost_g / self.in_g if self.in_g else 0.0


def balance_findings(kept: Balance) -> Iterator[Finding]:
    """Caution for a balance that does not close: grams lost, or more out than in."""
    bound = figure("batch", "mass_lost")
    lost = round(kept.lost_pct, 9)
    if bound.low <= lost <= bound.high or not kept.in_g:
        return
    made = "the base" if kept.base_g else "jars"
    about = "about " if kept.estimated else ""
    text = f"{kept.in_g:.0f} g were weighed in and {about}{-kept.lost_g:.0f} g more came out."
    fix = "Correct a weight or a count that was misread, or write down why."
    if lost > 0:
        fix = "Correct a weight that was misread, or write down where it went."
        text = (
            f"Of {kept.in_g:.0f} g weighed in, {about}{kept.lost_g:.0f} g ({lost:.1f} %) are neither in "
            f"{made} nor set aside nor left over; usual is up to {bound.high:g} %."
        )
    yield Finding("caution", "mass-balance", "book.balance", text, fix, bound.source)
