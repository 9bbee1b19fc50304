"""Where the pH of a batch must lie, and what sets that: its kind of product and what preserves it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from blendlab.batch import ledger
from blendlab.codec import Noun, number
from blendlab.errors import Finding
from blendlab.facts.preservatives import system_of
from blendlab.facts.read import figure
from blendlab.shelf import Ingredient, Resolved


@dataclass(frozen=True, kw_only=True)
class PhWindow(Noun):
    """Where the pH of a batch must lie before it is sold, and where it is brought to.

    low, high  limits, both allowed; low above high = no pH fits everything in it
    wanted     low and high of what it is brought to, inside the limits
    set_by     what sets the limits, with the figures of each
    unknown    of what the range is not known, as a sentence; ""
    source     where the figures come from
    """

    low: float = number(0, 14, "")
    high: float = number(0, 14, "")
    wanted: tuple[float, float]
    set_by: str
    unknown: str = ""
    source: str

    def holds(self, pH: float) -> bool:
        """Whether a measured pH lies inside the limits."""
        return self.low <= pH <= self.high

    @property
    def limits(self) -> str:
        """The limits in words."""
        return between(self.low, self.high) if self.low <= self.high else "no pH at all"

    @property
    def words(self) -> str:
        """What it is brought to and what is released, in words."""
        return f"wanted {between(*self.wanted)}, released within {self.limits}"

    def outside(self, pH: float, of: str = "") -> str:
        """The sentence about a pH outside; of  what was measured, where that is not the batch."""
        return f"pH {pH:g}{f' of {of}' if of else ''} lies outside {self.limits}: {self.set_by}."


def between(low: float, high: float) -> str:
    """A range in words.

    >>> between(5.0, 6.5), between(5.0, 5.0)
    ('5 to 6.5', '5')
    """
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def window(keepers: Iterable[Ingredient] = (), nameless: str = "") -> PhWindow:
    """The window of a whipped cleanser, cut down to where each of its preservatives works.

    nameless  what preserves it but is on no shelf, in words

    >>> window().limits, window().wanted
    ('5 to 7', (5.5, 6.5))
    """
    usual, wanted = figure("batch", "ph_soap"), figure("batch", "ph_wanted")
    low, high, blind = usual.low, usual.high, [nameless] if nameless else []
    said, sources = [f"a whipped cleanser is kept at {between(low, high)}"], [usual.source]
    for item in keepers:
        system = system_of(item)
        if system is None or system.ph_low is None or system.ph_high is None:
            blind.append(item.name)
            continue
        low, high = max(low, system.ph_low), min(high, system.ph_high)
        said.append(f"{item.name} works at {between(system.ph_low, system.ph_high)}")
        sources.append(system.source)
    return PhWindow(
        low=low,
        high=high,
        wanted=(min(max(wanted.low, low), high), max(min(wanted.high, high), low)),
        set_by=", ".join(said),
        unknown=f"At which pH {' and '.join(blind)} works is not known; only the product's window counts."
        if blind
        else "",
        source="; ".join(dict.fromkeys(sources)),
    )


def of_design(resolved: Resolved) -> PhWindow | None:
    """The window of a batch of jars; None where its base holds no water, so that pH means nothing.

    Raises nothing for a preservative that nobody has: its range is not known, and that is said.
    """
    base = resolved.base
    if base.anhydrous:
        return None
    there = [item for item in (resolved.base_kept_by, ledger.choose(resolved)) if item is not None]
    keepers = {item.id: item for item in there}
    gone = base.preservative.id if base.preservative is not None and resolved.base_kept_by is None else ""
    return window(keepers.values(), gone or ("" if keepers else f"what preserves {base.name}"))


def ph_points(kept: PhWindow, pH: float) -> Iterator[Finding]:
    """What a measured pH keeps from sale: a stop outside its window, a caution for a range nobody knows."""
    if not kept.holds(pH):
        fix = "Measure again, or do not sell this batch."
        text = f"{kept.outside(pH)} {kept.unknown}".strip()
        yield Finding("stop", "release-ph-window", "book.release.ph-window", text, fix, kept.source)
    elif kept.unknown:
        text = f"pH {pH:g} lies in {kept.limits}: {kept.set_by}. {kept.unknown}"
        fix = "Ask its supplier for the range it works in, and keep the sheet with the lot."
        yield Finding("caution", "release-ph-system", "book.release.ph-system", text, fix, kept.source)
