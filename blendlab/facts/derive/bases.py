"""Derive the table of bases again: `python -m blendlab.facts.derive.bases > bases.csv`.

The whipped soap is a flat white of 0.86 to 0.905. The others add the two carotenoid bands and the
blue shoulder of a butter or an oil (448, 476 and 422 nm) and a flat greying, set so that b* lies
where common practice puts it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

WAVELENGTHS = np.arange(400.0, 701.0, 10.0)
ADDED = {
    "whipped_soap": (0.0, 0.0),
    "sugar_scrub": (0.0035, 0.0030),
    "oil_sugar_scrub": (0.030, 0.0060),
    "body_butter": (0.016, 0.0010),
}
"""Product -> absorption added at the carotenoid peak and over the whole range, base scattering 1."""


def white() -> np.ndarray:
    """K of the whipped soap base: reflectance 0.86 at 400 nm rising to 0.905."""
    reflectance = 0.905 - 0.045 * np.exp(-(WAVELENGTHS - 400) / 35)
    return np.asarray((1 - reflectance) ** 2 / (2 * reflectance))


def carotenoid() -> np.ndarray:
    """Shape of the carotenoid bands, 1 at the highest band."""

    def band(centre: float, width: float) -> np.ndarray:
        return np.asarray(np.exp(-0.5 * ((WAVELENGTHS - centre) / width) ** 2))

    shape = 0.6 * band(422, 20) + band(448, 16) + 0.85 * band(476, 13)
    return np.asarray(shape / shape.max())


def rows() -> Iterator[str]:
    """Lines of the table."""
    bands = ",".join(f"V{wavelength:.0f}" for wavelength in WAVELENGTHS)
    yield f"product*,{bands},unit,source,source_kind,checked_on"
    for product, (peak, flat) in ADDED.items():
        numbers = ",".join(f"{absorption:.6f}" for absorption in white() + peak * carotenoid() + flat)
        source = "estimate: flat white 0.86 to 0.905"
        if peak:
            source += f" with carotenoid bands {peak:g} and {flat:g} grey; b* 4 to 15 is common practice"
        yield f'{product},{numbers},"K on base scattering 1","{source}",derived,2026-11-25'


if __name__ == "__main__":
    print("\n".join(rows()))
