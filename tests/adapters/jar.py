"""Topics of the jar: keys of the reference rows onto the functions of the room."""

from __future__ import annotations

from collections.abc import Callable

from blendlab.facts.read import figure
from blendlab.jar import arrangement, dust, glass, light, projection, volume
from blendlab.jar.top import default_peak


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
    share = projection.share_interval(row["phi_from_deg"], row["phi_to_deg"], row.get("turn_deg", 0))
    return {"picture_share": share}


def volume_shares(row: dict) -> dict:
    shares, density = arrangement.volume_shares(row["mass_shares"], row["densities"])
    return {"volume_shares": list(shares), "mean_density": density}


def wedge_angles(row: dict) -> dict:
    return {"angles_deg": list(arrangement.wedge_angles(row["mass_shares"], row["densities"]))}


def layer_edges(row: dict) -> dict:
    edges, walls = arrangement.layer_edges(
        row["volume_shares"], row["bottom_radius_mm"], row["top_radius_mm"], row["fill_height_mm"]
    )
    return {"edges_mm": list(edges), "wall_shares": list(walls)}


def layer_edges_fillet(row: dict) -> dict:
    radius, height = row["inner_radius_mm"], row["fill_height_mm"]
    corner = row.get("corner_radius_mm", 0)
    return {
        "edges_mm": list(arrangement.layer_edges_fillet(row["volume_shares"], radius, height, corner)),
        "fill_ml": volume.fill_ml(radius, height, corner),
    }


def core_buried(row: dict) -> dict:
    height = row["fill_height_mm"]
    radius, wall, top = arrangement.core_buried(
        row["volume_share"], row["inner_radius_mm"], height, row.get("core_height_mm", height)
    )
    return {"core_radius_mm": radius, "wall_share": wall, "top_share": top}


def chord_views(row: dict) -> dict:
    offset, wall, front, top = arrangement.chord_views(row["volume_share"])
    return {"offset_over_radius": offset, "wall_share": wall, "front_share_facing": front, "top_share": top}


def tone_at(row: dict) -> dict:
    return {"tone": TONE_AT[row["kind"]](row)}


def _layers(row: dict) -> int:
    return arrangement.layer_tone(row["edges_mm"], row["z_mm"])


def _pattern(row: dict) -> int:
    hand = arrangement.HANDS[row.get("hand", "right")]
    u = arrangement.pattern_u(
        row["phi_deg"], row.get("z_over_h", 0), row.get("start_deg", 0), row.get("turns", 0), hand
    )
    return arrangement.pattern_tone(row["volume_shares"], u)


def _chord(row: dict) -> int:
    return arrangement.chord_tone(
        row["offset_over_radius"], row.get("direction_deg", 0), row["phi_deg"], row.get("r_over_R", 1.0)
    )


def _core(row: dict) -> int:
    core = row["core_radius_over_R"] if "core_radius_over_R" in row else row["core_over_R"]
    return arrangement.core_tone(core, row["r_over_R"])


TONE_AT: dict[str, Callable[[dict], int]] = {
    "layers": _layers,
    "wedges": _pattern,
    "halves": _pattern,
    "helix": _pattern,
    "chord": _chord,
    "core": _core,
}


def wavy_edge(row: dict) -> dict:
    height = arrangement.wavy_edge(
        row["edge_mm"],
        row["amplitudes_mm"],
        row["orders"],
        row["phases_deg"],
        row["phi_deg"],
        row.get("r_over_R", 1.0),
    )
    return {"z_mm": height}


def seen_shares(row: dict) -> dict:
    shares = arrangement.seen_shares(
        row["wall_area_mm2"], row["wall_shares"], row["top_area_mm2"], row["top_shares"]
    )
    return {"seen_shares": list(shares)}


def turn_shift(row: dict) -> dict:
    hand = arrangement.HANDS[row.get("hand", "right")]
    return {"pattern_moves_up_mm": arrangement.turn_shift(row["pitch_mm"], row["turn_deg"], hand)}


def fade_fraction(row: dict) -> dict:
    return {"upper_fraction": float(arrangement.fade_fraction(row["z_over_h"], row["centre"], row["width"]))}


def fade_mean(row: dict) -> dict:
    return {"upper_mass_share": arrangement.fade_mean(row["centre"], row["width"])}


def fade_centre(row: dict) -> dict:
    return {"centre": arrangement.fade_centre(row["upper_mass_share"], row["width"])}


def fade_mix(row: dict) -> dict:
    mixed = arrangement.fade_mix(row["K_a"], row["S_a"], row["K_b"], row["S_b"], row["fraction_b"])
    return {"R": mixed.tolist()}


def frustum(row: dict) -> dict:
    return {"ml": volume.frustum_ml(row["bottom_radius_mm"], row["top_radius_mm"], row["height_mm"])}


def profile(row: dict) -> dict:
    return {"ml": volume.profile_ml(row["profile_z_r_mm"])}


def round_shoulder(row: dict) -> dict:
    ml = volume.round_shoulder_ml(
        row["body_radius_mm"],
        row["body_height_mm"],
        row["shoulder_radius_mm"],
        row["neck_height_mm"],
        row.get("corner_radius_mm", 0),
    )
    return {"ml": ml}


def punt_loss(row: dict) -> dict:
    return {"loss_ml": volume.cap_ml(row["punt_radius_mm"], row["punt_height_mm"])}


def level_for_grams(row: dict) -> dict:
    ml = row["grams"] / row["density"]
    return {"level_mm": volume.level_mm(row["inner_radius_mm"], ml, row.get("corner_radius_mm", 0))}


def rosette(row: dict) -> dict:
    radius, peak = row["base_radius_mm"], row["peak_mm"]
    fraction = row.get("fraction_of_cap", 0.62)
    return {
        "cap_ml": volume.cap_ml(radius, peak),
        "rosette_ml": volume.rosette_ml(radius, peak, fraction),
    }


def fill_shares(row: dict) -> dict:
    shares, feasible = volume.fill_shares(
        row["volume_shares"], row["fill_ml"], row["top_ml"], row.get("top_tone", "shared")
    )
    return {"fill_shares": list(shares), "feasible": feasible}


def tone_grams(row: dict) -> dict:
    radius = row["inner_diameter_mm"] / 2
    top = row.get("top", {"kind": "flat"})
    fill = volume.fill_ml(radius, row["fill_height_mm"], row.get("corner_radius_mm", 0))
    above = volume.top_ml(
        top["kind"],
        top.get("base_radius_mm", radius),
        top.get("peak_mm", default_peak(top["kind"], radius)),
        top.get("fraction_of_cap", 0.62),
    )
    grams = volume.tone_grams(
        row["volume_shares"],
        row["densities"],
        fill,
        above,
        row.get("top_tone", "shared"),
        row.get("overfill", 0),
    )
    return {"fill_ml": fill, "top_ml": above, "grams": list(grams), "net_g": sum(grams)}


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
    return {"srgb8": list(light.shade_srgb8(row["srgb8"], row["factor"]))}


def max_factor(row: dict) -> dict:
    return {"max_factor": light.max_factor(row["srgb8"])}


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
    "volume.profile": profile,
    "volume.round_shoulder": round_shoulder,
    "volume.punt_loss": punt_loss,
    "volume.level_for_grams": level_for_grams,
    "volume.rosette": rosette,
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
