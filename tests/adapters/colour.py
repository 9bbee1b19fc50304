"""Colour topics: keys of the rows onto the functions of `blendlab.tint`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from blendlab.facts import palette
from blendlab.tint import appearance, calibration, difference, kubelka_munk, recipe_search, spectra, vision

if TYPE_CHECKING:
    from collections.abc import Callable

EYES = {"Protanomaly": "protan", "Deuteranomaly": "deutan", "Tritanomaly": "tritan"}


STARTERS = {pigment.id: pigment for pigment in palette.pigments()}


def plain(value: Any) -> Any:
    return np.asarray(value).tolist()


def ciede2000(row: dict) -> dict:
    return {"dE00": plain(difference.delta_e_2000(row["lab1"], row["lab2"]))}


def oklab(row: dict) -> dict:
    return {"oklab": plain(appearance.xyz_to_oklab(row["XYZ"]))}


def srgb_transfer(row: dict) -> dict:
    if "encoded" in row:
        return {"linear": plain(appearance.decode(row["encoded"]))}
    return {"encoded": plain(appearance.encode(row["linear"]))}


def white_point(row: dict) -> dict:
    white = spectra.white_point(row["illuminant"], row["observer_deg"])
    return {"XYZ": plain(white), "xy": plain(spectra.chromaticity(white))}


def km_inverse(row: dict) -> dict:
    return {"K_over_S": plain(kubelka_munk.k_over_s(row["R"]))}


def km_forward(row: dict) -> dict:
    return {"R": plain(kubelka_munk.reflectance(row["K_over_S"]))}


def km_finite(row: dict) -> dict:
    return {"R": plain(kubelka_munk.finite(row["K"], row["S"], row["X"], row["Rg"]))}


def saunderson(row: dict) -> dict:
    surface = (row["k1"], row["k2"], row.get("k_instrument", 0.0))
    if "R_measured" in row:
        return {"R_internal": plain(kubelka_munk.below_surface(row["R_measured"], *surface))}
    return {"R_measured": plain(kubelka_munk.through_surface(row["R_internal"], *surface))}


def starter_mix(row: dict) -> dict:
    base = palette.bases()[0]
    found = [STARTERS[name] for name in row["percents"]]
    k, s = ([getattr(pigment, part) for pigment in found] for part in ("k", "s"))
    shape = (len(found), spectra.WAVELENGTHS.size)
    percents = list(row["percents"].values())
    R = kubelka_munk.mix(percents, np.reshape(k, shape), np.reshape(s, shape), base.k0, base.s0)[2]
    return {"R": plain(R), "lab_D65_2deg": plain(lab(R, "D65", 2))}


def lab(R: Any, lamp: str, observer: int) -> Any:
    return appearance.xyz_to_lab(
        spectra.spectrum_to_xyz(R, lamp, observer), spectra.white_point(lamp, observer)
    )


def wavelengths(row: dict) -> range:
    start, stop, step = row["wavelengths"]
    return range(start, stop + step, step)


def chart_patch(row: dict) -> dict:
    R = spectra.on_grid(row["R"], wavelengths(row))
    return {
        "XYZ_D65_2deg": plain(spectra.spectrum_to_xyz(R, "D65", 2)),
        "lab_D65_2deg": plain(lab(R, "D65", 2)),
        "lab_D50_2deg": plain(lab(R, "D50", 2)),
    }


def cvd_matrix(row: dict) -> dict:
    return {"matrix_linear_sRGB": plain(vision.eye_matrix(EYES[row["deficiency"]], row["severity"]))}


def contrast_ratio(row: dict) -> dict:
    return {"ratio": appearance.contrast_ratio(appearance.from_hex(row["a"]), appearance.from_hex(row["b"]))}


def calibration_ladder(row: dict) -> dict:
    def spectrum(R: Any) -> Any:
        return spectra.on_grid(R, wavelengths(row))

    base = spectrum(row["base_R"])
    swatches = [(swatch["percent"], spectrum(swatch["R"])) for swatch in row["swatches"]]
    found = calibration.calibrate(base, swatches)
    c = np.reshape(row["predict_percent"], (-1, 1))
    R = kubelka_munk.mix(c, found.k[None], found.s[None], kubelka_munk.k_over_s(base), np.ones_like(base))[2]
    return {"lab_D65_2deg": plain(lab(R, "D65", 2))}


def inverse(row: dict) -> dict:
    chosen = row.get("pigments")
    among = [STARTERS[name] for name in chosen] if isinstance(chosen, list) else [*STARTERS.values()]
    found = recipe_search.match(
        row["target_lab_D65_2deg"],
        among,
        palette.bases()[0],
        most=row["max_pigments"],
        caps={pigment.id: row["max_percent_each"] for pigment in among},
        total_pct=row["max_total"],
    )
    return {"best_dE00": min(recipe.delta_e00 for recipe in found)}


TOPICS: dict[str, Callable[[dict], dict]] = {
    "ciede2000": ciede2000,
    "oklab": oklab,
    "srgb_transfer": srgb_transfer,
    "white_point": white_point,
    "km_inverse": km_inverse,
    "km_forward": km_forward,
    "km_finite": km_finite,
    "saunderson": saunderson,
    "starter_mix": starter_mix,
    "chart_patch": chart_patch,
    "cvd_matrix": cvd_matrix,
    "contrast_ratio": contrast_ratio,
    "calibration.ladder": calibration_ladder,
    "inverse": inverse,
}
