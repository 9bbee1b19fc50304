"""White bases, lots of them, and what a pack costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from blendlab.codec import Noun, band, choice, digest, number, reference, text
from blendlab.recipe import Ref
from blendlab.shelf.item import BANDS, KNOWN, Item
from blendlab.shelf.oil import Sheet
from blendlab.shelf.pigment import Calibration


@dataclass(frozen=True, kw_only=True)
class Price(Noun):
    """What a pack costs. Money in the one currency of the folder.

    shipping  share of the postage; tax: what of the tax does not come back
    waste     share of the pack that never reaches a jar; None = common practice
    """

    pack_price: float = number(0, 1_000_000, "money")
    pack_g: float = number(0.001, 1_000_000, "g")
    shipping: float = number(0, 100_000, "money", default=0.0)
    tax: float = number(0, 100_000, "money", default=0.0)
    waste: float | None = number(0, 0.99, "share of the pack", default=None)


@dataclass(frozen=True, kw_only=True)
class BaseLine(Noun):
    """An ingredient of a base and its percent of the base."""

    ingredient: Ref = reference("ingredient")
    pct: float = number(0, 100, "% of the base")


@dataclass(frozen=True, kw_only=True)
class Lot(Noun):
    """What came in one delivery, or one cooked base: code, what it is of, dates, document."""

    code: str = text(60)
    of: Ref
    name: str = text(80, default="")
    supplier: str = text(80, default="")
    received: date | None = None
    expiry: date | None = None
    opened: date | None = None
    document: str = text(120, default="")


@dataclass(frozen=True, kw_only=True)
class Base(Item):
    """The white whipped base of one product kind.

    k0, s0               its own absorption and scattering, 31 bands; s0 = 1 by convention
    ref_overrun_pct      overrun at which k0, s0 hold
    density_mix_g_ml     before whipping; None = not known
    density_whipped_g_ml her weighed cup, or None: not weighed
    actives              preservative and surfactant actives: name -> percent of the base
    own_fragrance_pct    fragrance it already carries; None = unknown
    own_sheet            certificate of that fragrance
    anhydrous            holds no water, so that pH has no meaning for it
    contents             CAS -> highest percent of restricted substances in the base
    lines                what it is cooked from; empty for a bought base
    declared             ingredient names of a bought base in the order its supplier declares
    calibrations         her own swatches of it, oldest first; the last one is in use
    foam_power           exponent on the foam law from her unwhipped and whipped swatch; None = the trend
    foam_power_sd        its standard error
    brown_rate           browning per percent of vanillin from her own aged photo; None = rule of thumb
    preservative         what it was preserved with; None = read from the actives
    preservative_pct     low and high percent of that in the base; None = read from the actives
    add_below_c          highest temperature for the preservative, by the sheet of the base or of its lot
    unconfirmed          what a changed formula moved and she has not confirmed yet, in words
    """

    kind: ClassVar[str] = "base"
    product: str = text(40)
    k0: tuple[float, ...] = band(BANDS)
    s0: tuple[float, ...] = band(BANDS)
    known: str = choice(KNOWN)
    basis: str = text(400)
    ref_overrun_pct: float = number(0, 400, "% overrun")
    density_mix_g_ml: float | None = number(0.3, 2.5, "g/ml", default=None)
    density_whipped_g_ml: float | None = number(0.1, 2, "g/ml", default=None)
    pH: float | None = number(0, 14, "", default=None)
    anhydrous: bool = False
    actives: Mapping[str, float] = field(default_factory=dict)
    own_fragrance_pct: float | None = number(0, 100, "% of the base", default=None)
    own_sheet: Sheet | None = None
    contents: Mapping[str, float] = field(default_factory=dict)
    lines: tuple[BaseLine, ...] = ()
    declared: tuple[str, ...] = ()
    preservative: Ref | None = reference("ingredient", default=None)
    preservative_pct: tuple[float, float] | None = None
    add_below_c: float | None = number(0, 150, "C", default=None)
    lot: str = text(40, default="")
    made_on: date | None = None
    opened_on: date | None = None
    best_before: date | None = None
    price: Price | None = None
    calibrations: tuple[Calibration, ...] = ()
    foam_power: float | None = number(0, 10, "", default=None)
    foam_power_sd: float = number(0, 10, "", default=0.0)
    brown_rate: float | None = number(0, 1000, "per % vanillin", default=None)
    unconfirmed: tuple[str, ...] = ()

    @property
    def formula(self) -> str:
        """Digest of what it is cooked from and how much of each; "" for a bought base."""
        return digest([(line.ingredient.id, line.pct) for line in self.lines]) if self.lines else ""
