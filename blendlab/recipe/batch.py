"""How much is made, and how."""

from __future__ import annotations

from dataclasses import dataclass

from blendlab.codec import Noun, number, reference
from blendlab.recipe.refs import Ref


@dataclass(frozen=True, kw_only=True)
class Addition(Noun):
    """Something stirred into all of the base, such as a light oil or sugar."""

    ingredient: Ref = reference("ingredient")
    pct: float = number(0, 100, "% of the finished product")


@dataclass(frozen=True, kw_only=True)
class Dilution(Noun):
    """A pigment, oil or preservative that is weighed through a stock dilution.

    pct      percent of the pure thing in the stock
    carrier  ingredient it was diluted in
    """

    of: Ref = reference("pigment", "oil", "ingredient")
    pct: float = number(0.01, 100, "% of the pure thing in the stock")
    carrier: Ref = reference("ingredient")


@dataclass(frozen=True, kw_only=True)
class Batch(Noun):
    """How much is made, and how. What is None or empty takes the default of common practice.

    jars              jars asked for; `grams` asks for a mass instead
    spare             jars on top of those asked for
    overrun_pct       how far the base is whipped; None = as its swatch was
    scales            scales to use; empty = all on the shelf
    preservative      what tops up the preservative; None = what the base was preserved with
    preservative_pct  wanted in every tone; None = as in the base
    additions         stirred into all of the base, percent of the finished product
    dilutions         stocks that tiny amounts are weighed through
    bowl_ml           volume of the mixer's bowl; None = not known
    """

    jars: int = number(1, 100_000, "jars", default=1)
    overrun_pct: float | None = number(0, 400, "% overrun", default=None)
    grams: float | None = number(1, 1_000_000, "g", default=None)
    spare: int = number(0, 1000, "jars", default=0)
    scales: tuple[Ref, ...] = reference("scale", default=())
    retained_g: float | None = number(0, 10_000, "g", default=None)
    overfill_pct: float | None = number(0, 50, "% of the net weight", default=None)
    loss_pct: float | None = number(0, 90, "% of the batch", default=None)
    preservative: Ref | None = reference("ingredient", default=None)
    preservative_pct: float | None = number(0, 20, "% of the finished product", default=None)
    additions: tuple[Addition, ...] = ()
    dilutions: tuple[Dilution, ...] = ()
    bowl_ml: float | None = number(10, 1_000_000, "ml", default=None)

    @property
    def asked(self) -> int | None:
        """Jars asked for with the spare ones; None where grams are asked for."""
        return self.jars + self.spare if self.grams is None else None
