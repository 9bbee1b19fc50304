"""Derive the 24-patch chart again: `python -m blendlab.facts.derive.chart > chart24.csv`.

Lab in daylight (D65, 2 degrees) of the reflectance spectra that ISO 17321-1 prints for its chart of 24
patches, four rows of six, from the dark skin patch to black; spectra as colour-science carries them.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator

SOURCE = "ISO 17321-1, reflectance of the 24 patches; Lab computed with colour-science 0.4.7"


def labs() -> dict[str, list[float]]:
    """Patch -> Lab, in the order of the chart."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
        lamp = colour.SDS_ILLUMINANTS["D65"]
        white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
        return {
            name: list(colour.XYZ_to_Lab(colour.sd_to_XYZ(spectrum, observer, lamp) / 100, white))
            for name, spectrum in colour.SDS_COLOURCHECKERS["ISO 17321-1"].items()
        }


def rows() -> Iterator[str]:
    """Lines of the table."""
    yield "name*,L,a,b,unit,source,source_kind,checked_on"
    for name, lab in labs().items():
        figures = ",".join(f"{coordinate:.3f}" for coordinate in lab)
        yield f'{name},{figures},"Lab, D65, 2 degrees","{SOURCE}",derived,2026-11-25'


if __name__ == "__main__":
    print("\n".join(rows()))
