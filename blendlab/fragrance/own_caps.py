"""Her own ceilings as rows: substances, names to keep off the label, vanillin, cost.

They are wishes. They never raise a limit, and a limit never gives way to them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from blendlab.errors import UnknownName
from blendlab.facts.allergens import Allergen, by_name
from blendlab.fragrance.contents import WHOLE, in_base, known_pct
from blendlab.fragrance.labels import held_pct, summed
from blendlab.recipe import Caps
from blendlab.shelf import Base, Oil

Own = tuple[str, tuple[float | None, ...], float, float, str]
PER_100_G = 100.0


def listed(name: str) -> Allergen:
    """A name of the list; UnknownName when it is not there.

    >>> listed("Coumarin").entry
    77
    """
    if name not in by_name():
        raise UnknownName("name of the list", name, by_name())
    return by_name()[name]


def own_rows(caps: Caps, oils: Sequence[Oil], base: Base, rinse: str) -> Iterator[Own]:
    """Rows of her own: name, percent of each oil (None = unknown), what the base brings, most, unit.

    A preservative of the base counts against a ceiling; it never brings a name onto the label.
    """
    brought = in_base(base)
    held, named = summed(brought), summed(base.contents)
    for name, most in caps.contents.items():
        yield _substance(f"Your ceiling for {name}", listed(name), oils, held, most)
    for name in caps.unnamed:
        allergen = listed(name)
        yield _substance(f"Keeping {name} off the label", allergen, oils, named, allergen.above(rinse))
    if caps.vanillin_pct is not None:
        vanillin = tuple(oil.vanillin_pct for oil in oils)
        yield "Your ceiling for vanillin", vanillin, brought.get("121-33-5", 0.0), caps.vanillin_pct, "%"
    if caps.cost is not None:
        prices = tuple(None if oil.price_per_g is None else PER_100_G * oil.price_per_g for oil in oils)
        yield "Your ceiling for cost", prices, 0.0, caps.cost, "per 100 g"


def _substance(
    name: str, allergen: Allergen, oils: Sequence[Oil], brought: Mapping[str, float], most: float
) -> Own:
    inside = tuple(held_pct(oil, allergen) for oil in oils)
    return name, inside, brought.get(allergen.name, 0.0), most, "%"


def bound(oil: Oil, content: float | None, unit: str) -> float:
    """Content to reckon with where an oil cannot say: all of it that is not known; no price, no use."""
    if content is not None:
        return content
    return WHOLE - known_pct(oil) if unit == "%" else WHOLE * WHOLE
