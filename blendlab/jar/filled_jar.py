"""From a design to a filled jar: volumes, grams and the shares that are seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from blendlab import shelf
from blendlab.facts.read import figure
from blendlab.jar import solid as geometry
from blendlab.jar import volume
from blendlab.jar.arrangements import RULES
from blendlab.jar.glass import centre_magnification
from blendlab.jar.profile import Profile, profile
from blendlab.jar.solid import Figures, Solid, figures
from blendlab.jar.top import Top, default_peak, volume_ml
from blendlab.recipe import SHARED, Design

THINNEST = 0.6
"""Two walls of a jar are drawn at least this thick together [mm], whatever was typed."""

Glass = tuple[Profile, float, float, float]
TopKey = tuple[str, float | None, int | str, int, float | None]


@dataclass(frozen=True)
class JarTone:
    """What one tone is in one jar; shares in percent.

    weight_pct   by weight of the jar
    wall_pct     of the unrolled wall
    picture_pct  of the level front view at the design's turn
    above_pct    of the view from above
    seen_pct     of all that is seen: wall and top by their areas
    """

    id: str
    name: str
    ml: float
    grams: float
    weight_pct: float
    wall_pct: float
    picture_pct: float
    above_pct: float
    seen_pct: float


@dataclass(frozen=True)
class Layout:
    """A filled jar: what it holds, what is seen of it, and the solid that is drawn.

    fill_ml, top_ml  volume below and above the edge of the fill
    fill_mm          height of the edge of the fill above the inside bottom
    headspace_mm     from there to the rim
    net_g            net weight at the given densities
    net_range_g      lowest and highest net weight while the density was not weighed, else None
    feasible         False when the top needs more of its tone than there is
    dust_mg_per_cm2  dose of a dusting, 0 without
    sunk_mm          how far the filling has sunk since it was filled; its grams stay
    """

    jar: shelf.Jar
    solid: Solid
    tones: tuple[JarTone, ...]
    fill_ml: float
    top_ml: float
    fill_mm: float
    headspace_mm: float
    net_g: float
    net_range_g: tuple[float, float] | None
    feasible: bool
    dust_mg_per_cm2: float
    turn_deg: float
    sunk_mm: float = 0.0

    @property
    def peak_mm(self) -> float:
        """Height of the top above the edge of the fill."""
        return self.solid.top.peak

    @property
    def densities(self) -> dict[str, float]:
        """Density of each tone that was reckoned with, g/ml; a tone of nothing has none."""
        return {tone.id: tone.grams / tone.ml for tone in self.tones if tone.ml}

    @property
    def magnification(self) -> float:
        """How much wider the middle of the wall looks than without a jar."""
        return centre_magnification(self.solid.outer, self.solid.radius, self.solid.n)

    @property
    def density_g_ml(self) -> float:
        """Mean density that the net weight was reckoned at."""
        return self.net_g / self.volume_ml

    @property
    def volume_ml(self) -> float:
        """Everything in the jar."""
        return self.fill_ml + self.top_ml


def layout(design: Design, jar: shelf.Jar, densities: Mapping[str, float], weighed: bool = True) -> Layout:
    """The filled jar of a design.

    jar        the jar of the shelf that the design names
    densities  tone id -> g/ml of the whipped, finished portion; a tone that is absent was not
               weighed: it is reckoned at the usual density and the net weight becomes a range
    weighed    False when the densities were reckoned, not weighed: they count, with a range

    Shares that do not add up to 100 are drawn in proportion.

    >>> from blendlab.facts.jars import jars
    >>> from blendlab.recipe import Ref, Tone
    >>> pair = (Tone(id="a", name="a", share_pct=50), Tone(id="b", name="b", share_pct=50))
    >>> plain = Design(id="x", name="x", product="whipped_soap", tones=pair,
    ...                jar=jars()[0].ref, base=Ref(kind="base", id="white"))
    >>> filled = layout(plain, jars()[0], {"a": 0.62, "b": 0.62})
    >>> round(filled.fill_ml, 2), round(filled.net_g, 2), filled.net_range_g
    (31.42, 19.48, None)
    """
    density = tuple(densities.get(tone.id, figure("batch", "whipped_density").value) for tone in design.tones)
    masses = _masses(tuple(tone.share_pct for tone in design.tones))
    whole, mean = volume.volume_shares(masses, density)
    outer = max(jar.outer_mm, jar.inner_mm + THINNEST) / 2
    pattern = design.arrangement
    glass = profile(jar), jar.headspace_mm, outer, figure("jar/materials", jar.material).value
    solid, feasible = _shaped(pattern.kind, figures(pattern), _top_key(design), glass, whole)
    fill = solid.profile.ml(solid.height)
    above = volume_ml(solid.top)
    total, turn = fill + above, design.view.turn_deg
    tones = tuple(
        JarTone(tone.id, tone.name, share * total, mass * total * mean, 100 * mass, *seen)
        for tone, share, mass, seen in zip(design.tones, whole, masses, _seen(solid, turn), strict=True)
    )
    known = weighed and all(tone.id in densities for tone in design.tones)
    usual = figure("batch", "whipped_density")
    bounds = (usual.low * total, usual.high * total)
    dust = design.top.dust.mg_per_cm2 if design.top.dust else 0.0
    return Layout(
        jar=jar,
        solid=solid,
        tones=tones,
        fill_ml=fill,
        top_ml=above,
        fill_mm=solid.height,
        headspace_mm=jar.height_mm - solid.height,
        net_g=total * mean,
        net_range_g=None if known else (min(bounds[0], total * mean), max(bounds[1], total * mean)),
        feasible=feasible,
        dust_mg_per_cm2=dust,
        turn_deg=turn,
    )


def _seen(solid: Solid, turn: float) -> list[tuple[float, ...]]:
    """Percent of wall, picture, view from above and of all that is seen, for each tone."""
    wall, above = geometry.wall_shares(solid), geometry.above_shares(solid)
    side, top = geometry.areas(solid)
    views = (wall, geometry.picture_shares(solid, turn), above, geometry.seen_shares(side, wall, top, above))
    return [tuple(100 * share for share in tone) for tone in zip(*views, strict=True)]


def _masses(shares: tuple[float, ...]) -> tuple[float, ...]:
    total = sum(shares)
    return tuple(share / total if total else 1 / len(shares) for share in shares)


def _top_key(design: Design) -> TopKey:
    top = design.top
    ids = [tone.id for tone in design.tones]
    tone = SHARED if top.tone == SHARED else ids.index(top.tone)
    return top.kind, top.height_mm, tone, top.points, top.headspace_mm


@lru_cache(maxsize=256)
def _shaped(
    kind: str, pattern: Figures, top: TopKey, glass: Glass, whole: tuple[float, ...]
) -> tuple[Solid, bool]:
    inside, headspace, outer, n = glass
    shape, height = _top_of(top, inside, headspace)
    top_tone = top[2]
    uppermost = RULES[kind].stacked and shape.kind != "star" and top_tone == SHARED
    taken_by = 0 if uppermost else top_tone
    shares, feasible = volume.fill_shares(whole, inside.ml(height), volume_ml(shape), taken_by)
    inner = [max(share, 0.0) for share in shares]
    drawn = tuple(share / sum(inner) for share in inner)
    return Solid(kind, pattern, drawn, whole, top_tone, shape, inside, height, outer, n), feasible


def _top_of(top: TopKey, inside: Profile, usual: float) -> tuple[Top, float]:
    """The top and the height of the edge it stands on: the jar's headspace, a star's or her own."""
    kind, given, _, points, own = top
    brim = inside.height
    room = max(usual, min(figure("jar", "star_headspace").value, brim / 5)) if kind == "star" else usual
    height = max(brim - (room if own is None else own), brim / 10)
    radius = float(inside.radius(height))
    peak = default_peak(kind, radius) if given is None else given
    if kind == "flat" or peak <= 0:
        return Top("flat", radius, 0.0), height
    return Top(kind, radius, peak, points if kind == "star" else 0), height


def default_turn(filled: Layout) -> float:
    """The turn in degrees at which the picture shows each tone nearest to its share of the wall.

    Among turns that are as good within half a point, the one nearest to 0.
    """
    wall = [tone.wall_pct / 100 for tone in filled.tones]

    def miss(turn: float) -> float:
        seen = geometry.picture_shares(filled.solid, turn)
        return max(abs(share - held) for share, held in zip(seen, wall, strict=True))

    turns = sorted((float(turn) for turn in range(-180, 180, 5)), key=abs)
    best = min(miss(turn) for turn in turns)
    return next(turn for turn in turns if miss(turn) <= best + 0.005)


def by_hand(filled: Layout) -> str:
    """What to measure while one jar is filled, in a sentence; "" where there is nothing to measure."""
    if len(filled.tones) < 2:
        return ""
    return filled.solid.rule.by_hand(filled.solid, [tone.name for tone in filled.tones])


def sunk(filled: Layout, drop_mm: float) -> Layout:
    """The same jar after its foam lost air: the fill stands lower, every gram is still there."""
    height = max(filled.fill_mm - drop_mm, filled.fill_mm / 2)
    radius = float(filled.solid.profile.radius(height))
    solid = replace(filled.solid, height=height, top=replace(filled.solid.top, radius=radius))
    dropped = filled.fill_mm - height
    return replace(
        filled,
        solid=solid,
        fill_mm=height,
        headspace_mm=filled.headspace_mm + dropped,
        sunk_mm=filled.sunk_mm + dropped,
    )
