"""Derive the weights table again: `python -m blendlab.facts.derive.weights > weights_10nm.csv`.

Tristimulus weights of ASTM E2022 on 400 to 700 nm at 10 nm for five lamps and two observers. What lies
below 400 nm or above 700 nm is folded into the end bands. The row "white" is the full white point.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

LAMPS = ("D65", "D50", "A", "FL2", "LED-B3")
OBSERVERS = {
    2: "CIE 1931 2 Degree Standard Observer",
    10: "CIE 1964 10 Degree Standard Observer",
}
SOURCE = (
    "ASTM E2022 weights of the CIE standard observer and illuminant, computed with colour-science 0.4.7,"
    " tails folded into 400 and 700 nm"
)


def weights(lamp: str, observer: int) -> np.ndarray:
    """Weights [32, 3]: 31 bands, then the white point; Y of the white is 100."""
    import colour

    fine, coarse = colour.SpectralShape(360, 830, 1), colour.SpectralShape(360, 830, 10)
    seen = colour.MSDS_CMFS[OBSERVERS[observer]].copy().align(fine)
    shine = colour.SDS_ILLUMINANTS[lamp].copy().align(fine)
    every = colour.colorimetry.tristimulus_weighting_factors_ASTME2022(seen, shine, coarse)
    inside = every[4:35].copy()
    inside[0] += every[:4].sum(axis=0)
    inside[-1] += every[35:].sum(axis=0)
    return np.vstack([inside, every.sum(axis=0)])


def rows() -> Iterator[str]:
    """Lines of the table."""
    yield "observer_deg*,lamp*,wavelength_nm*,WX,WY,WZ,unit,source,source_kind,checked_on"
    for observer in OBSERVERS:
        for lamp in LAMPS:
            for name, each in zip([*range(400, 701, 10), "white"], weights(lamp, observer), strict=True):
                numbers = ",".join(f"{weight:.6f}" for weight in each)
                yield f'{observer},{lamp},{name},{numbers},XYZ 0-100,"{SOURCE}",derived,2026-11-25'


if __name__ == "__main__":
    print("\n".join(rows()))
