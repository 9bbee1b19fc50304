"""Derive the error of recovered spectra: `python -m blendlab.tint.derive.recovery > recovery_error.csv`.

Tints of every coloured starter pigment in the whipped soap base are seen under a lamp by an observer, their
spectrum is recovered from that Lab alone, and what it looks like in daylight (2 degrees) is held against the
true tint. Mean CIEDE2000.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from blendlab.facts.palette import bases, pigments
from blendlab.recipe import LAMPS, OBSERVERS
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.kubelka_munk import mix, reflectance
from blendlab.tint.recovery import NoSuchSpectrum
from blendlab.tint.spectra import lab_of, spectrum_to_xyz
from blendlab.tint.swatches import recovered

SHARES = (0.25, 0.5, 1.0)
"""Parts of the highest use at which each pigment is tried."""
SOURCE = "own tints of the starter pigments, least-slope recovery below the base; script tint/derive/recovery"


def tints() -> np.ndarray:
    """Reflectance [n, 31] of the tints."""
    base = bases()[0]
    kept = [pigment for pigment in pigments() if pigment.group in ("absorbing", "lake", "pearl-absorbing")]
    return np.array(
        [
            mix([share * pigment.cap_pct], np.array([pigment.k]), np.array([pigment.s]), base.k0, base.s0)[2]
            for pigment in kept
            for share in SHARES
        ]
    )


def errors(lamp: str, observer: int) -> np.ndarray:
    """CIEDE2000 [n] of the recovered tints; what has no smooth spectrum is left out."""
    white = reflectance(np.array(bases()[0].k0))
    found = []
    for R in tints():
        try:
            again = recovered(spectrum_to_xyz(R, lamp, observer), white, lamp, observer)
        except NoSuchSpectrum:
            continue
        found.append(float(delta_e_2000(lab_of(again), lab_of(R))))
    return np.array(found)


def rows() -> Iterator[str]:
    """Lines of the table."""
    yield "lamp*,observer_deg*,mean,unit,source,source_kind,checked_on"
    for lamp in LAMPS:
        for observer in OBSERVERS:
            mean = errors(lamp, observer).mean()
            yield f'{lamp},{observer},{mean:.2f},deltaE2000,"{SOURCE}",derived,2026-11-25'


if __name__ == "__main__":
    print("\n".join(rows()))
