"""Her swatches on the shelf: a measured base, a measured pigment, a new lot against the old one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import BlendlabError, Finding, OutOfRange
from blendlab.facts.read import figure
from blendlab.shelf import BANDS, Base, Calibration, Pigment, Swatch, known_by
from blendlab.tint.arrays import Array
from blendlab.tint.calibration import Calibrated, calibrate
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.kubelka_munk import measured_k_over_s, reflectance
from blendlab.tint.spectra import lab_of
from blendlab.tint.swatches import mean_of


class WrongSwatch(BlendlabError, ValueError):
    """A swatch that does not belong to what is calibrated; the sentence says why."""


@dataclass(frozen=True, eq=False)
class LotChange:
    """A new lot against the old one.

    ratio        strength of the new lot as a factor on the old one
    se           standard error of the logarithm of that factor
    apart        CIEDE2000 that is left when only the strength is changed
    hue_changed  the rest is too large for a change of strength alone
    """

    ratio: float
    se: float
    apart: float
    hue_changed: bool

    @property
    def words(self) -> str:
        """The change as a sentence with its numbers."""
        change = 100.0 * (self.ratio - 1.0)
        said = f"{abs(change):.0f} % {'stronger' if change >= 0 else 'weaker'} than the last lot"
        hue = "its hue changed too" if self.hue_changed else "its hue is the same"
        error, left = f"standard error {100 * self.se:.0f} %", f"Delta E {self.apart:.1f} left"
        return f"The new lot is {said} ({error}); {hue}: {left}."


def base_reflectance(base: Base) -> Array:
    """Reflectance [31] of the undyed base at the overrun it is known at."""
    return reflectance(np.array(base.k0) / np.array(base.s0))


def measured_base(base: Base, swatches: Sequence[Swatch], on: date | None = None, lot: str = "") -> Base:
    """The base as her own swatches of it show it; several readings are averaged.

    Raises WrongSwatch for a swatch that holds a pigment, OutOfRange for no swatch.

    >>> from blendlab.facts.palette import bases
    >>> white = Swatch(R=(0.9,) * 31, how="spectrum")
    >>> measured_base(bases()[0], [white]).known
    'measured'
    """
    if not swatches:
        raise OutOfRange("number of swatches", 0, 1, float("inf"), "swatches")
    if any(swatch.doses for swatch in swatches):
        raise WrongSwatch("This swatch holds a pigment; the base is measured undyed.")
    k0 = tuple(float(value) for value in measured_k_over_s(mean_of(swatches)))
    how = _how(swatches)
    record = Calibration(
        on=on, lot=lot, how=how, k=k0, s=(1.0,) * BANDS, swatches=tuple(swatches), residuals=()
    )
    kept = base.calibrations or (_starter(base.basis, base.k0, base.s0, 0.0),)
    return replace(
        base,
        k0=k0,
        s0=(1.0,) * BANDS,
        known=known_by(swatches),
        basis=how,
        lot=lot or base.lot,
        calibrations=(*kept, record),
    )


def measured_pigment(
    pigment: Pigment,
    base: Base,
    swatches: Sequence[Swatch],
    on: date | None = None,
    lot: str = "",
    same_kind: bool = False,
) -> tuple[Pigment, Calibrated]:
    """The pigment as her own swatches in that base show it, and the fit with its residuals.

    same_kind  keep the spectrum known so far and fit one strength; where Delta E above 3 is left the
               spectrum is learned from the swatches instead

    Raises WrongSwatch for a swatch without the pigment or with others beside it, OutOfRange.
    """
    for swatch in swatches:
        if set(swatch.doses) != {pigment.id}:
            raise WrongSwatch(
                f"A swatch of {pigment.name} alone is wanted; "
                f"this one holds {', '.join(swatch.doses) or 'no pigment'}. "
                "A mixed swatch belongs to a tone, as one of its trials."
            )
    pairs = [(swatch.doses[pigment.id], swatch.R) for swatch in swatches]
    errors = [swatch.error for swatch in swatches]
    white = base_reflectance(base)
    found = calibrate(white, pairs, (pigment.k, pigment.s) if same_kind else None, errors)
    if same_kind and max(found.residuals) > figure("tint", "residual_refused").value:
        found = calibrate(white, pairs, None, errors)
    return _with(pigment, found, swatches, on, lot, base), found


def _with(
    pigment: Pigment, found: Calibrated, swatches: Sequence[Swatch], on: date | None, lot: str, base: Base
) -> Pigment:
    k, s = (tuple(float(value) for value in each) for each in (found.k, found.s))
    how = f"{_how(swatches)} in {base.name}"[:300]
    record = Calibration(
        on=on,
        lot=lot,
        how=how,
        k=k,
        s=s,
        strength_sd=min(found.sd, 3.0),
        swatches=tuple(swatches),
        residuals=found.residuals,
        kept_out=found.kept_out,
    )
    kept = pigment.calibrations or (_starter(pigment.basis, pigment.k, pigment.s, pigment.strength_sd),)
    return replace(
        pigment,
        k=k,
        s=s,
        strength_sd=min(found.sd, 3.0),
        known=known_by(swatches),
        basis=how,
        surface=swatches[0].surface,
        lot=lot or pigment.lot,
        calibrations=(*kept, record),
    )


def _starter(basis: str, k: Sequence[float], s: Sequence[float], sd: float) -> Calibration:
    return Calibration(on=None, how=basis[:300], k=tuple(k), s=tuple(s), strength_sd=sd)


def _how(swatches: Sequence[Swatch]) -> str:
    ways = ", ".join(dict.fromkeys(swatch.words or swatch.how for swatch in swatches))
    count = f"{len(swatches)} swatches" if len(swatches) > 1 else "1 swatch"
    return f"{count}: {ways}"[:300]


def new_lot(pigment: Pigment, base: Base, swatches: Sequence[Swatch]) -> LotChange:
    """A swatch or more of a new lot against the pigment as it is known.

    >>> from blendlab.facts.palette import bases, starter
    >>> from blendlab.tint.kubelka_munk import mix
    >>> red, base = starter("iron_oxide_red"), bases()[0]
    >>> R = mix([0.3 * 1.1], np.array([red.k]), np.array([red.s]), base.k0, base.s0)[2]
    >>> new_lot(red, base, [Swatch(doses={red.id: 0.3}, R=tuple(R), how="spectrum")]).words.split(" (")[0]
    'The new lot is 10 % stronger than the last lot'
    """
    pairs = [(swatch.doses[pigment.id], swatch.R) for swatch in swatches]
    found = calibrate(
        base_reflectance(base), pairs, (pigment.k, pigment.s), [swatch.error for swatch in swatches]
    )
    ratio = float(np.dot(found.k, pigment.k) / np.dot(pigment.k, pigment.k))
    apart = max(found.residuals)
    return LotChange(ratio, found.se or 0.0, apart, apart > figure("tint", "hue_changed").value)


def between_lots(pigment: Pigment, base: Base, before: str, now: str) -> LotChange | None:
    """One lot of a pigment against an earlier one, each by her own swatches; None where one has none."""
    old, new = pigment.measured(before), pigment.measured(now)
    if old is None or new is None:
        return None
    return new_lot(replace(pigment, k=old.k, s=old.s), base, new.swatches)


def self_check(base: Base, R: ArrayLike) -> float:
    """CIEDE2000 of a swatch of the base from the base as it is known."""
    return float(delta_e_2000(lab_of(base_reflectance(base)), lab_of(np.asarray(R, dtype=float))))


def fit_findings(pigment: Pigment, found: Calibrated, swatches: Sequence[Swatch]) -> Iterator[Finding]:
    """What the swatches of one pigment are told: what cannot be checked, what does not fit."""
    where = f"shelf.pigment.{pigment.id}"
    wrong = figure("tint", "residual_wrong")
    if not found.residuals:
        yield Finding(
            "note",
            "tint.fit.one",
            where,
            f"Not checkable. {found.tells}",
            "Add a swatch at another percent.",
            "one swatch has no residual",
        )
    yield from _residual_findings(pigment, found, swatches)
    if found.kept_out is not None and found.kept_out > wrong.value:
        yield Finding(
            "caution",
            "tint.fit.test",
            where,
            f"One swatch was kept out as a test; the others miss it by Delta E {found.kept_out:.1f}.",
            "Weigh, disperse and measure the ladder again.",
            wrong.source,
        )
    if any(swatch.how == "photo" and "unchecked" in swatch.words for swatch in swatches):
        yield Finding(
            "note",
            "tint.fit.hue",
            where,
            "Hue unchecked: only a grey card was in the picture.",
            "Put a chart of colours beside the swatch, or measure it.",
            figure("tint", "grey_photo_error").source,
        )


def _residual_findings(pigment: Pigment, found: Calibrated, swatches: Sequence[Swatch]) -> Iterator[Finding]:
    wrong, refused = figure("tint", "residual_wrong"), figure("tint", "residual_refused")
    for at, apart in enumerate(found.residuals):
        if apart > wrong.value:
            pct, stopped = swatches[at].doses[pigment.id], apart > refused.value
            yield Finding(
                "stop" if stopped else "caution",
                f"tint.fit.{at}",
                f"shelf.pigment.{pigment.id}",
                f"The swatch at {pct:g} % lies Delta E {apart:.1f} from its own fit"
                + ("; these swatches are no ladder of one pigment." if stopped else "."),
                "Weigh, disperse and measure it again.",
                wrong.source,
            )
