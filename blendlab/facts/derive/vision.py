"""Derive the vision table again: `python -m blendlab.facts.derive.vision > vision.csv`.

Matrices that turn linear sRGB into what an eye with a colour vision deficiency sees, by kind and
severity 0 to 1 in steps of 0.1.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

NAMES = {"protan": "Protanomaly", "deutan": "Deuteranomaly", "tritan": "Tritanomaly"}
SOURCE = (
    "Machado, Oliveira, Fernandes 2009, A physiologically-based model for simulation of color vision"
    " deficiency, table of matrices; taken from colour-science 0.4.7"
)


def matrix(kind: str, severity: float) -> np.ndarray:
    """Matrix [3, 3] on linear sRGB; that the tritan ones are an approximation is warned of and known."""
    import colour

    with colour.utilities.suppress_warnings(colour_usage_warnings=True):
        return np.asarray(colour.matrix_cvd_Machado2009(NAMES[kind], severity))


def rows() -> Iterator[str]:
    """Lines of the table."""
    yield "kind*,severity*,row*,c1,c2,c3,unit,source,source_kind,checked_on"
    for kind in NAMES:
        for step in range(11):
            for position, each in enumerate(matrix(kind, step / 10), start=1):
                numbers = ",".join(f"{weight:.6f}" for weight in each)
                yield (
                    f'{kind},{step / 10:.1f},{position},{numbers},linear sRGB,"{SOURCE}",published,2026-11-25'
                )


if __name__ == "__main__":
    print("\n".join(rows()))
