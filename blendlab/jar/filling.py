"""From a design to a filled jar: volumes, grams and the shares that are seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from blendlab import shelf
from blendlab.facts.read import figure
from blendlab.jar import solid as geometry
from blendlab.jar import volume
from blendlab.jar.arrangement import HANDS, volume_shares
from blendlab.jar.profile import Profile, profile
from blendlab.jar.solid import STACKED, Solid
from blendlab.jar.top import Top, default_peak, volume_ml
from blendlab.recipe import SHARED, Arrangement, Design

THINNEST = 0.6
"""Two walls of a jar are drawn at least this thick together [mm], whatever was typed."""

Pattern = tuple[str, float, float, str, float, float, float, int, float]
Glass = tuple[Profile, float, float, float]
TopKey = tuple[str, float | None, int | str, int, float | None]


@dataclass(frozen=True)
class Portion:
    """What one tone is in one jar; shares in percent.

    weight_pct   by weight of the jar
    wall_pct     of the unrolled wall
    picture_pct  of the level front view at the design's turn
    above_pct    of the view from above
    """

    id: str
    name: str
    ml: float
    grams: float
    weight_pct: float
    wall_pct: float
    picture_pct: float
    above_pct: float


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
    tones: tuple[Portion, ...]
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
    def brim_ml(self) -> float:
        """What the jar takes to its rim."""
        return self.solid.profile.ml(self.solid.profile.height)

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
    whole, mean = volume_shares(masses, density)
    outer = max(jar.outer_mm, jar.inner_mm + THINNEST) / 2
    glass = profile(jar), jar.headspace_mm, outer, figure("jar/materials", jar.material).value
    solid, feasible = _shaped(_pattern(design.arrangement), _top_key(design), glass, whole)
    fill = solid.profile.ml(solid.height)
    above = volume_ml(solid.top)
    total, turn = fill + above, design.view.turn_deg
    views = zip(
        geometry.wall_shares(solid),
        geometry.picture_shares(solid, turn),
        geometry.above_shares(solid),
        strict=True,
    )
    tones = tuple(
        Portion(
            tone.id, tone.name, share * total, mass * total * mean, 100 * mass, *(100 * one for one in view)
        )
        for tone, share, mass, view in zip(design.tones, whole, masses, views, strict=True)
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


def _masses(shares: tuple[float, ...]) -> tuple[float, ...]:
    total = sum(shares)
    return tuple(share / total if total else 1 / len(shares) for share in shares)


def _pattern(arrangement: Arrangement) -> Pattern:
    a = arrangement
    return a.kind, a.start_deg, a.turns, a.hand, a.width, a.wave_mm, a.tilt_mm, a.seed, a.core_height


def _top_key(design: Design) -> TopKey:
    top = design.top
    ids = [tone.id for tone in design.tones]
    tone = SHARED if top.tone == SHARED else ids.index(top.tone)
    return top.kind, top.height_mm, tone, top.points, top.headspace_mm


@lru_cache(maxsize=256)
def _shaped(pattern: Pattern, top: TopKey, glass: Glass, whole: tuple[float, ...]) -> tuple[Solid, bool]:
    kind, start, turns, hand, width, wave, tilt, seed, buried = pattern
    inside, headspace, outer, n = glass
    shape, height = _top_of(top, inside, headspace)
    stacked = kind in STACKED and shape.kind != "star"
    top_tone = top[2]
    taken_by = 0 if stacked and top_tone == SHARED else top_tone
    shares, feasible = volume.fill_shares(whole, inside.ml(height), volume_ml(shape), taken_by)
    inner = [max(share, 0.0) for share in shares]
    drawn = tuple(share / sum(inner) for share in inner)
    core = min(1.0, max(buried, 1.0 - drawn[-1] + 1e-9)) if kind == "core" else 1.0
    content = (kind, drawn, whole, top_tone, shape, inside, height, outer, n)
    return Solid(*content, start, turns, HANDS[hand], width, wave, tilt, seed, core), feasible


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
        return max(abs(one - other) for one, other in zip(seen, wall, strict=True))

    turns = sorted((float(turn) for turn in range(-180, 180, 5)), key=abs)
    best = min(miss(turn) for turn in turns)
    return next(turn for turn in turns if miss(turn) <= best + 0.005)


def turned(filled: Layout, turn: float) -> Layout:
    """The same jar with the picture shares of another turn."""
    seen = geometry.picture_shares(filled.solid, turn)
    tones = tuple(
        replace(tone, picture_pct=100 * share) for tone, share in zip(filled.tones, seen, strict=True)
    )
    return replace(filled, tones=tones, turn_deg=turn)


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
