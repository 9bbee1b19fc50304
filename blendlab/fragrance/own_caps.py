"""Her own ceilings as rows: substances, names to keep off the label, vanillin, cost.

They are wishes. They never raise a limit, and a limit never gives way to them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from blendlab.errors import UnknownName
from blendlab.facts.allergens import Allergen, by_name
from blendlab.fragrance.contents import WHOLE, in_base, known_pct
from blendlab.fragrance.labels import held_pct
from blendlab.recipe import Caps
from blendlab.shelf import Base, Oil

House = tuple[str, tuple[float | None, ...], float, float, str]
PER_100_G = 100.0


def listed(name: str) -> Allergen:
    """A name of the list; UnknownName when it is not there.

    >>> listed("Coumarin").entry
    77
    """
    if name not in by_name():
        raise UnknownName("name of the list", name, by_name())
    return by_name()[name]


def house_rows(caps: Caps, oils: Sequence[Oil], base: Base, rinse: str) -> Iterator[House]:
    """Rows of her own: name, percent of each oil (None = unknown), what the base brings, most, unit."""
    brought = in_base(base)
    for name, most in caps.contents.items():
        yield _substance(f"Your ceiling for {name}", listed(name), oils, brought, most)
    for name in caps.unnamed:
        one = listed(name)
        yield _substance(f"Keeping {name} off the label", one, oils, brought, one.above(rinse))
    if caps.vanillin_pct is not None:
        vanillin = tuple(oil.vanillin_pct for oil in oils)
        yield "Your ceiling for vanillin", vanillin, brought.get("121-33-5", 0.0), caps.vanillin_pct, "%"
    if caps.cost is not None:
        prices = tuple(None if oil.price_per_g is None else PER_100_G * oil.price_per_g for oil in oils)
        yield "Your ceiling for cost", prices, 0.0, caps.cost, "per 100 g"


def _substance(
    name: str, one: Allergen, oils: Sequence[Oil], brought: dict[str, float], most: float
) -> House:
    inside = tuple(held_pct(oil, one) for oil in oils)
    return name, inside, sum(pct for cas, pct in brought.items() if cas in one.cas), most, "%"


def bound(oil: Oil, content: float | None, unit: str) -> float:
    """Content to reckon with where an oil cannot say: all of it that is not known; no price, no use."""
    if content is not None:
        return content
    return WHOLE - known_pct(oil) if unit == "%" else WHOLE * WHOLE
