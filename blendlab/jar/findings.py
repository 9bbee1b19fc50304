"""What a design of a jar is told: findings of the look, with their numbers and a way out."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from blendlab import shelf
from blendlab.errors import Finding
from blendlab.facts.read import figure
from blendlab.jar.arrangements import RULES
from blendlab.jar.filled_jar import JarTone, Layout
from blendlab.jar.profile import scale_factor
from blendlab.jar.volume import clearance_mm
from blendlab.recipe import SHARED, Design
from blendlab.units import TO_GRAMS, TO_ML

PRACTICE = "common practice"


def findings(design: Design, jar: shelf.Jar, layout: Layout) -> tuple[Finding, ...]:
    """Findings about the top, the shares that are seen, and the net weight."""
    return (
        *_lid(design, jar, layout),
        *_top_tone(design, layout),
        *(layout.solid.rule.findings(layout) if len(layout.tones) > 1 else ()),
        *_piped(design),
        *_seen(layout),
        *_water(jar),
        *_weight(jar, layout),
    )


def _lid(design: Design, jar: shelf.Jar, layout: Layout) -> Iterator[Finding]:
    peak, margin = layout.peak_mm, figure("jar", "lid_margin").value
    room = clearance_mm(layout.headspace_mm, jar.lid_inner_mm, peak)
    if peak == 0 or room >= margin:
        return
    wanted = ceil(peak + margin - layout.headspace_mm)
    headspace = ceil(peak + margin - jar.lid_inner_mm)
    fits = headspace < figure("jar", "headspace_most").value * jar.height_mm
    fix = f"Use a domed lid of at least {wanted} mm inside"
    fix += f", or fill to {jar.height_mm - headspace:.0f} mm." if fits else ", or a lower top."
    yield Finding(
        "caution",
        "top_under_lid",
        "look.top",
        f"The {design.top.kind} top stands {peak:.0f} mm high; the lid leaves {peak + room:.0f} mm, "
        f"{margin:.0f} mm of it as margin. A domed lid of {wanted} mm takes it.",
        fix,
        PRACTICE,
        {"top.headspace_mm": float(headspace)} if fits else None,
        f"Leave {headspace} mm under the rim" if fits else "",
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


def _by_id(layout: Layout, tone_id: str) -> JarTone:
    return next(tone for tone in layout.tones if tone.id == tone_id)


def _piped(design: Design) -> Iterator[Finding]:
    """Many sides in one bag are hard to lay."""
    pattern, most = design.arrangement, figure("jar", "bag_tones").value
    if not pattern.one_bag or not RULES[pattern.kind].piped or len(design.tones) <= most:
        return
    yield Finding(
        "note",
        "many_sides_in_a_bag",
        "look.arrangement",
        f"{len(design.tones)} tones lie side by side in one bag; more than {most:.0f} rarely stay apart.",
        "Pipe from two bags, or spoon the wedges.",
        PRACTICE,
    )


def _water(jar: shelf.Jar) -> Iterator[Finding]:
    """Water and caliper that disagree."""
    gap = 100 * (scale_factor(jar) - 1)
    if abs(gap) <= figure("jar", "caliper_gap").value:
        return
    yield Finding(
        "caution",
        "water_against_caliper",
        "look.jar",
        f"The water weighed in {jar.name} is {abs(gap):.0f} % {'more' if gap > 0 else 'less'} than its "
        f"measures hold; volumes follow the water, the picture follows the measures.",
        "Measure the inside once more with the caliper, or weigh the water again.",
        PRACTICE,
    )


def _seen(layout: Layout) -> Iterator[Finding]:
    apart = max(
        layout.tones,
        key=lambda tone: max(abs(tone.wall_pct - tone.weight_pct), abs(tone.picture_pct - tone.weight_pct)),
    )
    most = max(abs(apart.wall_pct - apart.weight_pct), abs(apart.picture_pct - apart.weight_pct))
    if most <= figure("jar", "seen_difference").value:
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
            f"The whipped density was not weighed: a jar sold as {ounces:.1f} fl oz holds between "
            f"{low:.0f} and {high:.0f} g, about {layout.net_g:.0f} g ({held:.1f} oz) "
            f"at {layout.density_g_ml:.2f} g/ml.",
            "Weigh a full cup of known volume; until then there is no label weight.",
            PRACTICE,
        )
    elif 100 * abs(held - ounces) > figure("jar", "nominal_difference").value * ounces:
        yield Finding(
            "note",
            "net_is_not_nominal",
            "look.jar",
            f"A jar sold as {jar.nominal_ml:.0f} ml ({ounces:.1f} fl oz) holds {layout.net_g:.0f} g "
            f"({held:.1f} oz) of this at {layout.density_g_ml:.2f} g/ml.",
            "Put the weight on the label, not the size of the jar.",
            "NIST SP 811, appendix B",
        )
