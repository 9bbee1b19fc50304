"""How a jar looks: tones, arrangement, top, and how she looks at it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from blendlab.codec import Noun, choice, number, reference, text
from blendlab.recipe.refs import Ref

ARRANGEMENTS = ("layers", "wedges", "chord", "helix", "core", "fade", "marble")

TOPS = ("flat", "dome", "star")

SHARED = "shared"

LAMPS = {
    "D65": "daylight",
    "D50": "warm daylight",
    "A": "light bulb",
    "FL2": "old fluorescent tube",
    "LED-B3": "shop LED",
}
"""Lamp -> its plain words."""

OBSERVERS = (2, 10)
"""Standard observers by their field [degrees]: CIE 1931 and CIE 1964."""

EYES = {
    "usual": "usual colour vision",
    "protan": "without red cones",
    "deutan": "without green cones",
    "tritan": "without blue cones",
}
"""Eye -> its plain words."""

VERDICTS = ("", "keep", "too pale", "too deep", "wrong hue")
"""What she says of a test jar; "" = nothing yet."""


@dataclass(frozen=True, kw_only=True)
class Dose(Noun):
    """A pigment and its percent by mass of the finished portion."""

    pigment: Ref = reference("pigment")
    pct: float = number(0, 100, "% of the finished portion")


@dataclass(frozen=True, kw_only=True)
class Trial(Noun):
    """A test jar of a tone: what went in, what colour it came out, what she says of it.

    lab      measured colour of the open surface in daylight (D65, 2 degrees); None = not measured
    error    CIEDE2000 that the way of measuring adds
    how      the way of measuring, in words
    """

    on: date | None = None
    doses: tuple[Dose, ...] = ()
    lab: tuple[float, float, float] | None = None
    error: float = number(0, 100, "Delta E", default=0.0)
    how: str = text(300, default="")
    verdict: str = choice(VERDICTS, default="")
    note: str = text(300, default="")


@dataclass(frozen=True, kw_only=True)
class Tone(Noun):
    """One coloured portion of the whipped base.

    share_pct  percent by mass of the batch, top included
    trials     its test jars, oldest first
    """

    id: str = text(80)
    name: str = text(60)
    share_pct: float = number(0, 100, "% by weight of the jar")
    doses: tuple[Dose, ...] = ()
    trials: tuple[Trial, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Arrangement(Noun):
    """How the tones sit in the jar; which fields count depends on `kind`.

    start_deg  wedges, helix: where the first tone begins, anticlockwise seen from above, 0 = front;
               chord: where the first slice looks
    turns      helix: full turns over the fill height
    hand       helix: right-handed stripes rise to the right in front
    width      fade: height of the passage as a share of the fill height
    wave_mm    layers: amplitude of the wavy edge
    tilt_mm    layers: how much higher their edges stand on one side than on the other
    seed       marble: which of its many patterns
    core_height  core: its height as a share of the fill height; below 1 it is buried
    one_bag    wedges, helix: the tones lie side by side in one piping bag
    tip_mm     width of the piping tip; bag_ml: what one bag takes
    """

    kind: str = choice(ARRANGEMENTS, default="layers")
    start_deg: float = number(-360, 360, "degrees", default=0.0)
    turns: float = number(0.25, 8, "turns", default=2.0)
    hand: str = choice(("right", "left"), default="right")
    width: float = number(0.05, 1, "of the fill height", default=0.5)
    wave_mm: float = number(0, 8, "mm", default=1.2)
    tilt_mm: float = number(0, 8, "mm", default=0.0)
    seed: int = number(0, 9999, "", default=1)
    core_height: float = number(0.2, 1, "of the fill height", default=1.0)
    one_bag: bool = False
    tip_mm: float = number(4, 40, "mm", default=14.0)
    bag_ml: float = number(50, 5000, "ml", default=450.0)


@dataclass(frozen=True, kw_only=True)
class Dust(Noun):
    """A mica dusted on the top; common practice 0.1 to 0.6, default 0.35 mg/cm2."""

    pigment: Ref = reference("pigment")
    mg_per_cm2: float = number(0, 5, "mg/cm2", default=0.35)


@dataclass(frozen=True, kw_only=True)
class Top(Noun):
    """The top of the filling.

    height_mm  peak above the fill edge; None takes the default of its kind
    tone       id of one tone, or "shared": all tones as in the filling
    points     star: points of the piping tip
    headspace_mm  from the edge of the filling to the rim; None = the jar's, a star its own
    """

    kind: str = choice(TOPS, default="flat")
    height_mm: float | None = number(0, 60, "mm", default=None)
    tone: str = text(80, default=SHARED)
    dust: Dust | None = None
    points: int = number(4, 16, "points", default=7)
    headspace_mm: float | None = number(0, 100, "mm", default=None)


@dataclass(frozen=True, kw_only=True)
class View(Noun):
    """How she looks at the jar: turn of the jar, lamp, observer in degrees, eye, light or flat colours.

    sunk_mm  how far her own jars had sunk after those weeks, measured; lowers the picture, never the grams
    """

    turn_deg: float = number(-360, 360, "degrees", default=0.0)
    lamp: str = choice(tuple(LAMPS), default="D65")
    observer_deg: int = choice(OBSERVERS, default=2)
    eye: str = choice(tuple(EYES), default="usual")
    mode: str = choice(("shaded", "flat"), default="shaded")
    sunk_mm: float = number(0, 60, "mm", default=0.0)
