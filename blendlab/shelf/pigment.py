"""What colours a jar: pigments, her swatches of them, what a day of measuring said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import ClassVar

from blendlab.codec import Noun, band, choice, number, text
from blendlab.shelf.item import BANDS, KNOWN, Item

SURFACES = ("open", "glass", "film")

MEASURED_WITH = ("spectrum", "lab", "hex", "photo")

PIGMENT_CLASSES = ("white", "filler", "pearl", "interference", "pearl-absorbing", "absorbing", "lake")


@dataclass(frozen=True, kw_only=True)
class Swatch(Noun):
    """One swatch of the whipped base as it was measured.

    doses    pigment id -> percent of the portion; empty for the base alone
    R        reflectance of the open surface, 31 bands; what lay over it is taken out already
    how      what it was measured with
    surface  what it was seen through
    error    CIEDE2000 that the way of measuring adds
    words    the way of measuring, in words
    """

    doses: Mapping[str, float] = field(default_factory=dict)
    R: tuple[float, ...] = band(BANDS)
    how: str = choice(MEASURED_WITH)
    surface: str = choice(SURFACES, default="open")
    error: float = number(0, 100, "Delta E", default=0.0)
    words: str = text(300, default="")


@dataclass(frozen=True, kw_only=True)
class Calibration(Noun):
    """What one day of measuring said; older ones stay beside the one in use.

    k, s       as in the item it belongs to (k0, s0 for a base)
    residuals  CIEDE2000 of each swatch in its own fit; empty where nothing could be checked
    kept_out   CIEDE2000 of the swatch that was kept out as a test
    """

    on: date | None
    lot: str = text(40, default="")
    how: str = text(300, default="")
    k: tuple[float, ...] = band(BANDS)
    s: tuple[float, ...] = band(BANDS)
    strength_sd: float = number(0, 3, "", default=0.0)
    swatches: tuple[Swatch, ...] = ()
    residuals: tuple[float, ...] = ()
    kept_out: float | None = number(0, 200, "Delta E", default=None)


@dataclass(frozen=True, kw_only=True)
class Pigment(Item):
    """A colorant as it acts in the whipped base.

    ci           colour index numbers, the union of its parts
    k, s         absorption and scattering per percent of the finished portion, 31 bands,
                 on a base whose scattering is 1
    strength_sd  standard deviation of the natural logarithm of its strength
    known        "estimate" (starter value) or "measured" (her own swatches)
    basis        how it is known, in words
    cap_pct      highest use, percent of the finished portion
    composite_of parts by mass, names with shares that add up to 1; empty for a single pigment
    surface      what its swatch was seen through
    sheen        words for what is not predicted, such as "gold sheen"
    powder_srgb  colour of the dry powder for a dusting, 0 to 1; None = unknown
    calibrations her own measurements, oldest first; the last one is in use
    """

    kind: ClassVar[str] = "pigment"
    group: str = choice(PIGMENT_CLASSES)
    ci: tuple[str, ...]
    k: tuple[float, ...] = band(BANDS)
    s: tuple[float, ...] = band(BANDS)
    strength_sd: float = number(0, 3, "")
    known: str = choice(KNOWN)
    basis: str = text(400)
    cap_pct: float = number(0, 100, "% of the finished portion")
    composite_of: Mapping[str, float] = field(default_factory=dict)
    surface: str = choice(SURFACES, default="open")
    sheen: str = text(120, default="")
    caution: str = text(400, default="")
    powder_srgb: tuple[float, float, float] | None = None
    density_g_ml: float | None = number(0.1, 25, "g/ml", default=None)
    price_per_g: float | None = number(0, 10_000, "per g", default=None)
    lot: str = text(40, default="")
    calibrations: tuple[Calibration, ...] = ()

    def measured(self, lot: str) -> Calibration | None:
        """The newest of her own measurements of a lot, or None."""
        found = (each for each in reversed(self.calibrations) if each.swatches and same_lot(each.lot, lot))
        return next(found, None)

    def of_lot(self, lot: str) -> Pigment:
        """The pigment as one of its lots was measured, or corrected by test jars.

        As it stands where that is the lot in use, and where nobody measured that lot.
        """
        found = [each for each in self.calibrations if same_lot(each.lot, lot)]
        if not found or found[-1] is self.calibrations[-1]:
            return self
        told = found[-1]
        known = known_by(told.swatches) if told.swatches else self.known
        return replace(
            self, k=told.k, s=told.s, strength_sd=told.strength_sd, known=known, basis=told.how, lot=told.lot
        )


def same_lot(code: str, other: str) -> bool:
    """Whether two codes name one lot, however they were typed; one that is not named is no lot.

    >>> same_lot("P-1", " p-1"), same_lot("", "")
    (True, False)
    """
    return bool(code.strip()) and code.strip().casefold() == other.strip().casefold()


def known_by(swatches: Sequence[Swatch]) -> str:
    """How a colour is known by some swatches: one that was only read off a screen is an estimate."""
    return "estimate" if all(swatch.how == "hex" for swatch in swatches) else "measured"
