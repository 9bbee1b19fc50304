"""Topics of the jar: keys of the reference rows onto the functions of the room."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from blendlab.facts.read import figure
from blendlab.jar import dust, glass, light, palette, projection, solid, volume
from blendlab.jar.arrangements import chord, core, fade, helix, layers, rule
from blendlab.jar.profile import Profile, profile
from blendlab.jar.solid import Figures, Solid, figures
from blendlab.jar.top import Top, default_peak, volume_ml
from blendlab.recipe import SHARED, Arrangement
from blendlab.shelf import Jar
from blendlab.tint.appearance import decode

TALL = 200.0
"""Height of a jar that a level is asked for in [mm]: above every level."""

A_HAIR = 1e-6
"""A point on an edge belongs to the next tone: it is asked for a hair beyond."""


def _solid(shares: list[float], inside: Profile, kind: str, **more: float | str) -> Solid:
    """A filled jar without a wall of its own, in air."""
    whole, radius, height = tuple(shares), inside.widest, inside.height
    top = Top("flat", radius, 0.0)
    return Solid(kind, _figures(kind, **more), whole, whole, SHARED, top, inside, height, radius, 1.0)


def _figures(kind: str, **more: float | str) -> Figures:
    return figures(Arrangement(kind=kind, **more))


def _cylinder(radius: float, height: float) -> Profile:
    return Profile((0.0, height), (radius, radius))


def _inside(row: dict, radius: float, height: float, **more: float) -> Profile:
    """The inside of a straight jar with a rounded bottom corner."""
    corner = row.get("corner_radius_mm", 0)
    return profile(
        Jar(
            id="row", name="row", nominal_ml=1, inner_mm=2 * radius, outer_mm=2 * radius, height_mm=height,
            corner_mm=corner, **more,
        )
    )  # fmt: skip


def apparent_radius(row: dict) -> dict:
    wall = (
        row["outer_radius_mm"],
        row["inner_radius_mm"],
        row["n"],
        row.get("contact", "wetted") == "wetted",
    )
    radius = glass.apparent_radius(*wall)
    return {
        "apparent_radius_mm": radius,
        "fills_to_outside": radius >= row["outer_radius_mm"],
        "visible_half_angle_deg": glass.visible_half_angle(*wall),
    }


def wall_angle(row: dict) -> dict:
    angle = glass.wall_angle(row["x_mm"], row["outer_radius_mm"], row["inner_radius_mm"], row["n"])
    return {"phi_deg": float(angle)}


def centre_magnification(row: dict) -> dict:
    return {
        "magnification": glass.centre_magnification(row["outer_radius_mm"], row["inner_radius_mm"], row["n"])
    }


def share_interval(row: dict) -> dict:
    share = glass.share_interval(row["phi_from_deg"], row["phi_to_deg"], row.get("turn_deg", 0), 1, 1, 1)
    return {"picture_share": float(share)}


def volume_shares(row: dict) -> dict:
    shares, density = volume.volume_shares(row["mass_shares"], row["densities"])
    return {"volume_shares": list(shares), "mean_density": density}


def wedge_angles(row: dict) -> dict:
    return {"angles_deg": list(volume.wedge_angles(row["mass_shares"], row["densities"]))}


def layer_edges(row: dict) -> dict:
    inside = Profile((0.0, row["fill_height_mm"]), (row["bottom_radius_mm"], row["top_radius_mm"]))
    filled = _solid(row["volume_shares"][::-1], inside, "layers", wave_mm=0.0)
    return {"edges_mm": list(layers.edges(filled)), "wall_shares": list(solid.wall_shares(filled))[::-1]}


def layer_heights(row: dict) -> list[float]:
    """Heights of layers in a straight jar, in the order of the row."""
    inside = _cylinder(row["inner_diameter_mm"] / 2, row["fill_height_mm"])
    return list(layers.heights(_solid(row["height_fractions"], inside, "layers", wave_mm=0.0)))


def brim(row: dict) -> float:
    """What a straight jar holds up to the height of its filling [ml]."""
    return _cylinder(row["inner_diameter_mm"] / 2, row["fill_height_mm"]).ml(row["fill_height_mm"])


def layer_edges_fillet(row: dict) -> dict:
    inside = _inside(row, row["inner_radius_mm"], row["fill_height_mm"])
    edges = layers.edges(_solid(row["volume_shares"][::-1], inside, "layers"))
    return {"edges_mm": list(edges), "fill_ml": inside.ml(inside.height)}


def core_buried(row: dict) -> dict:
    share, radius, height = row["volume_share"], row["inner_radius_mm"], row["fill_height_mm"]
    inside = _cylinder(radius, height)
    lower = row.get("core_height_mm", height) / height
    filled = _solid([share, 1 - share], inside, "core", core_height=lower)
    return {
        "core_radius_mm": core.radii(filled)[0] * radius,
        "wall_share": solid.wall_shares(filled)[0],
        "top_share": solid.above_shares(filled)[0],
    }


def chord_views(row: dict) -> dict:
    share = row["volume_share"]
    filled = _solid([share, 1 - share], _cylinder(1.0, 1.0), "chord")
    return {
        "offset_over_radius": chord.cuts(filled.shares)[0],
        "wall_share": solid.wall_shares(filled)[0],
        "front_share_facing": solid.picture_shares(filled, 0.0)[0],
        "top_share": solid.above_shares(filled)[0],
    }


def tone_at(row: dict) -> dict:
    return {"tone": int(np.argmax(TONE_AT[row["kind"]](row)))}


def _layers(row: dict) -> np.ndarray:
    return rule.between(np.float64(row["z_mm"] + A_HAIR), row["edges_mm"], A_HAIR)[::-1]


def _pattern(row: dict) -> np.ndarray:
    kind = "helix" if row["kind"] == "helix" else "wedges"
    given = {name: row[name] for name in ("start_deg", "turns", "hand") if name in row}
    filled = _solid(row["volume_shares"], _cylinder(1.0, 1.0), kind, **given)
    return filled.coverage(row["phi_deg"] + A_HAIR, 1.0, np.float64(row.get("z_over_h", 0)))


def _chord(row: dict) -> np.ndarray:
    angle = row["phi_deg"] - row.get("direction_deg", 0)
    return chord.sliced([row["offset_over_radius"]], angle, row.get("r_over_R", 1.0), A_HAIR)[::-1]


def _core(row: dict) -> np.ndarray:
    radius = row["core_radius_over_R"] if "core_radius_over_R" in row else row["core_over_R"]
    return core.ringed([radius, 1.0], row["r_over_R"] + A_HAIR, A_HAIR)


TONE_AT: dict[str, Callable[[dict], np.ndarray]] = {
    "layers": _layers,
    "wedges": _pattern,
    "halves": _pattern,
    "helix": _pattern,
    "chord": _chord,
    "core": _core,
}


def wavy_edge(row: dict) -> dict:
    height = layers.wavy_edge(
        row["edge_mm"],
        row["amplitudes_mm"],
        row["orders"],
        row["phases_deg"],
        row["phi_deg"],
        row.get("r_over_R", 1.0),
    )
    return {"z_mm": height}


def seen_shares(row: dict) -> dict:
    shares = solid.seen_shares(
        row["wall_area_mm2"], row["wall_shares"], row["top_area_mm2"], row["top_shares"]
    )
    return {"seen_shares": list(shares)}


def turn_shift(row: dict) -> dict:
    hand = rule.HANDS[row.get("hand", "right")]
    return {"pattern_moves_up_mm": helix.moved_up(row["pitch_mm"], row["turn_deg"], hand)}


def fade_fraction(row: dict) -> dict:
    return {"upper_fraction": float(fade.fade_fraction(row["z_over_h"], row["centre"], row["width"]))}


def fade_mean(row: dict) -> dict:
    return {"upper_mass_share": fade.fade_mean(row["centre"], row["width"])}


def fade_centre(row: dict) -> dict:
    return {"centre": fade.fade_centre(row["upper_mass_share"], row["width"])}


def fade_mix(row: dict) -> dict:
    part = row["fraction_b"]
    mixed = palette.mixed([1 - part, part], [row["K_a"], row["K_b"]], [row["S_a"], row["S_b"]])
    return {"R": mixed.tolist()}


def frustum(row: dict) -> dict:
    return {"ml": volume.frustum_ml(row["bottom_radius_mm"], row["top_radius_mm"], row["height_mm"])}


def profile_(row: dict) -> dict:
    inside = Profile(*zip(*row["profile_z_r_mm"], strict=True))
    return {"ml": inside.ml(inside.height)}


def round_shoulder(row: dict) -> dict:
    shoulder, neck = row["shoulder_radius_mm"], row["neck_height_mm"]
    height = row["body_height_mm"] + shoulder + neck
    inside = _inside(row, row["body_radius_mm"], height, shoulder_mm=shoulder, neck_mm=neck)
    return {"ml": inside.ml(inside.height)}


def punt_loss(row: dict) -> dict:
    return {"loss_ml": volume.cap_ml(row["punt_radius_mm"], row["punt_height_mm"])}


def level_for_ml(row: dict) -> dict:
    return {"level_mm": _inside(row, row["inner_radius_mm"], TALL).level(row["ml"])}


def top_ml(row: dict) -> dict:
    return {"ml": volume_ml(Top(row["kind"], row["radius_mm"], row["peak_mm"]))}


def fill_shares(row: dict) -> dict:
    shares, feasible = volume.fill_shares(
        row["volume_shares"], row["fill_ml"], row["top_ml"], row.get("top_tone", "shared")
    )
    return {"fill_shares": list(shares), "feasible": feasible}


def tone_grams(row: dict) -> dict:
    radius = row["inner_diameter_mm"] / 2
    inside = _inside(row, radius, row["fill_height_mm"])
    fill, above = inside.ml(inside.height), row["top_ml"] if "top_ml" in row else _above(row["top"], radius)
    grams = volume.tone_grams(
        row["volume_shares"],
        row["densities"],
        fill,
        above,
        row.get("top_tone", SHARED),
        row.get("overfill", 0),
    )
    return {"fill_ml": fill, "top_ml": above, "grams": list(grams)}


def _above(top: dict, radius: float) -> float:
    base = top.get("base_radius_mm", radius)
    return volume_ml(Top(top["kind"], base, top.get("peak_mm", default_peak(top["kind"], base))))


def clearance(row: dict) -> dict:
    room = volume.clearance_mm(row["headspace_mm"], row["lid_inner_height_mm"], row["peak_mm"])
    return {"clearance_mm": room, "ok": room >= row.get("margin_mm", figure("jar", "lid_margin").value)}


def dust_coverage(row: dict) -> dict:
    lie = row.get("lie_factor", figure("jar", "lie_factor").value)
    areal = dust.areal_cover(row["flake_thickness_um"], row["flake_density"], lie)
    return {"areal_cm2_per_mg": areal, "coverage": dust.coverage(row["dose_mg_per_cm2"], areal)}


def dust_grain(row: dict) -> dict:
    flakes, sd = dust.grain(row["coverage"], row["flake_diameter_um"], row["pixel_mm"])
    return {"flakes_per_pixel": flakes, "coverage_sd": sd}


def fresnel(row: dict) -> dict:
    return dict(zip(("r_s", "r_p", "r"), glass.fresnel(row["angle_deg"], row["n"]), strict=True))


def shade_srgb8(row: dict) -> dict:
    lit = light.shaded(decode(np.array(row["srgb8"]) / 255), row["factor"])
    return {"srgb8": light.to_codes(lit).tolist()}


def max_factor(row: dict) -> dict:
    return {"max_factor": float(light.max_factor(decode(np.array(row["srgb8"]) / 255))[0])}


def scale_bar(row: dict) -> dict:
    mm, px = projection.scale_bar(row["px_per_mm"], row["jar_width_mm"])
    return {"bar_mm": mm, "bar_px": px}


def project(row: dict) -> dict:
    x, v, near = projection.project(
        row["phi_deg"], row["r_mm"], row["z_mm"], row.get("turn_deg", 0), row.get("tilt_deg", 0)
    )
    return {"x_mm": x, "v_mm": v, "towards_viewer": near}


def turntable(row: dict) -> dict:
    return {"turns_deg": list(projection.turntable(row["frames"], row.get("start_deg", 0)))}


def coverage_1d(row: dict) -> dict:
    covered = projection.coverage_1d(row["u"], row["footprint"], row["edges"], row.get("periodic", True))
    return {"coverages": covered.tolist()}


TOPICS: dict[str, Callable[[dict], dict]] = {
    "glass.apparent_radius": apparent_radius,
    "glass.wall_angle": wall_angle,
    "glass.centre_magnification": centre_magnification,
    "picture.share_interval": share_interval,
    "arrangement.volume_shares": volume_shares,
    "arrangement.wedge_angles": wedge_angles,
    "arrangement.layer_edges": layer_edges,
    "arrangement.layer_edges_fillet": layer_edges_fillet,
    "arrangement.core_buried": core_buried,
    "arrangement.chord_views": chord_views,
    "arrangement.tone_at": tone_at,
    "arrangement.wavy_edge": wavy_edge,
    "arrangement.seen_shares": seen_shares,
    "arrangement.turn_shift": turn_shift,
    "fade.fraction": fade_fraction,
    "fade.mean": fade_mean,
    "fade.centre": fade_centre,
    "fade.mix": fade_mix,
    "volume.frustum": frustum,
    "volume.profile": profile_,
    "volume.round_shoulder": round_shoulder,
    "volume.punt_loss": punt_loss,
    "volume.level_for_ml": level_for_ml,
    "top.volume_ml": top_ml,
    "volume.fill_shares": fill_shares,
    "volume.tone_grams": tone_grams,
    "top.clearance": clearance,
    "dust.coverage": dust_coverage,
    "dust.grain": dust_grain,
    "light.fresnel": fresnel,
    "light.shade_srgb8": shade_srgb8,
    "light.max_factor": max_factor,
    "picture.scale_bar": scale_bar,
    "picture.project": project,
    "picture.turntable": turntable,
    "picture.coverage_1d": coverage_1d,
}
