"""What a design of a jar is told: findings of the look, with their numbers and a way out."""

from __future__ import annotations

from collections.abc import Iterator

from blendlab import shelf
from blendlab.errors import Finding
from blendlab.facts.jars import habit
from blendlab.jar.filling import Layout, Portion
from blendlab.jar.volume import clearance_mm
from blendlab.recipe import SHARED, Design
from blendlab.units import TO_GRAMS, TO_ML

PRACTICE = "common practice"


def findings(design: Design, jar: shelf.Jar, layout: Layout) -> tuple[Finding, ...]:
    """Findings about the top, the shares that are seen, and the net weight."""
    return (
        *_lid(design, jar, layout),
        *_top_tone(design, layout),
        *_seen(layout),
        *_weight(jar, layout),
    )


def _lid(design: Design, jar: shelf.Jar, layout: Layout) -> Iterator[Finding]:
    peak, margin = layout.peak_mm, habit("lid_margin")
    room = clearance_mm(layout.headspace_mm, jar.lid_inner_mm, peak)
    if peak == 0 or room >= margin:
        return
    lid = peak + margin - layout.headspace_mm
    lower = jar.height_mm - (peak + margin - jar.lid_inner_mm)
    fix = f"Use a domed lid of at least {lid:.0f} mm inside"
    fix += f", or fill to {lower:.0f} mm." if lower > 0.3 * jar.height_mm else ", or a lower top."
    yield Finding(
        "caution",
        "top_under_lid",
        "look.top",
        f"The {design.top.kind} top stands {peak:.0f} mm high; the lid leaves {peak + room:.0f} mm, "
        f"{margin:.0f} mm of it as margin.",
        fix,
        PRACTICE,
    )


def _top_tone(design: Design, layout: Layout) -> Iterator[Finding]:
    if layout.feasible:
        return
    tone = layout.tones[0] if design.top.tone == SHARED else _by_id(layout, design.top.tone)
    yield Finding(
        "caution",
        "not_enough_for_top",
        "look.top.tone",
        f"The top takes {layout.top_ml:.0f} ml; there are {tone.ml:.0f} ml of {tone.name} in the jar.",
        f"Give {tone.name} at least {100 * layout.top_ml / layout.volume_ml:.0f} % of the jar, "
        "or make the top lower or of another tone.",
        "geometry of the jar that is drawn",
    )


def _by_id(layout: Layout, tone_id: str) -> Portion:
    return next(tone for tone in layout.tones if tone.id == tone_id)


def _seen(layout: Layout) -> Iterator[Finding]:
    apart = max(
        layout.tones,
        key=lambda tone: max(abs(tone.wall_pct - tone.weight_pct), abs(tone.picture_pct - tone.weight_pct)),
    )
    most = max(abs(apart.wall_pct - apart.weight_pct), abs(apart.picture_pct - apart.weight_pct))
    if most <= habit("seen_difference"):
        return
    yield Finding(
        "note",
        "seen_is_not_weighed",
        "look.arrangement",
        f"{apart.name} is {apart.weight_pct:.0f} % by weight, {apart.wall_pct:.0f} % of the wall "
        f"and {apart.picture_pct:.0f} % of this view.",
        "Turn the jar or show two views; price and label use the weight.",
        "geometry of the jar that is drawn",
    )


def _weight(jar: shelf.Jar, layout: Layout) -> Iterator[Finding]:
    ounces = jar.nominal_ml / TO_ML["fl oz"]
    held = layout.net_g / TO_GRAMS["oz"]
    if layout.net_range_g is not None:
        low, high = layout.net_range_g
        yield Finding(
            "note",
            "density_not_weighed",
            "look.jar",
            f"The whipped density was not weighed: a jar holds between {low:.0f} and {high:.0f} g.",
            "Weigh a full cup of known volume; until then there is no label weight.",
            PRACTICE,
        )
    elif abs(held - ounces) > 0.05 * ounces:
        yield Finding(
            "note",
            "net_is_not_nominal",
            "look.jar",
            f"A jar sold as {jar.nominal_ml:.0f} ml ({ounces:.1f} fl oz) holds {layout.net_g:.0f} g "
            f"({held:.1f} oz) of this.",
            "Put the weight on the label, not the size of the jar.",
            "NIST SP 811, appendix B",
        )
