"""The frozen nouns of one design. Validation and dict in, dict out only; no behaviour.

Shares of tones and of oils are percent; that they add up to 100 is a finding, not an error,
because a design on the bench may be unfinished. Percents of pigment are of the finished portion,
the load is of the finished product, lengths are mm, angles degrees.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Literal

from blendlab.codec import Noun, choice, decode, encode, number, text
from blendlab.errors import BadDocument, NewerFormat, Problem

FORMAT = 1
ARRANGEMENTS = ("layers", "wedges", "chord", "helix", "core", "fade", "marble")
TOPS = ("flat", "dome", "star")
MARKETS = ("EU", "GB", "US", "CA")
SHARED = "shared"
VERDICTS = ("", "keep", "too pale", "too deep", "wrong hue")
"""What she says of a test jar; "" = nothing yet."""
PLACES = ("body", "eye", "lips")
"""Where on the body a product is used, as colour law parts it."""
KINDS = ("pigment", "oil", "base", "jar", "scale", "ingredient")
Kind = Literal["pigment", "oil", "base", "jar", "scale", "ingredient"]


@dataclass(frozen=True, kw_only=True)
class Ref(Noun):
    """One revision of something on the shelf. `rev` is the digest of its content."""

    kind: str = choice(KINDS)
    id: str = text(80)
    rev: str = text(64, default="")

    @property
    def key(self) -> str:
        """Key under which a save embeds this revision: ``kind:id@rev``."""
        return f"{self.kind}:{self.id}@{self.rev}"


@dataclass(frozen=True, kw_only=True)
class Dose(Noun):
    """A pigment and its percent by mass of the finished portion."""

    pigment: Ref
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

    pigment: Ref
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
class OilShare(Noun):
    """An oil and its percent by mass of the scent."""

    oil: Ref
    share_pct: float = number(0, 100, "% of the scent")


@dataclass(frozen=True, kw_only=True)
class Caps(Noun):
    """Her own ceilings and wishes for a scent; law, Standards and sheets are never among them.

    contents      label name of a substance -> highest percent of the finished product
    unnamed       label names that are to stay off the label
    vanillin_pct  highest vanillin; cost: highest price of the scent in 100 g of product
    least         id of an oil -> least share that a proposal leaves it
    """

    contents: Mapping[str, float] = field(default_factory=dict)
    unnamed: tuple[str, ...] = ()
    vanillin_pct: float | None = number(0, 100, "% of the finished product", default=None)
    cost: float | None = number(0, 100_000, "per 100 g of product", default=None)
    least: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Answer(Noun):
    """What her safety assessor answered: the words, who, on which day, and what the question was about."""

    words: str = text(600)
    by: str = text(80)
    on: date | None = None
    about: str = text(600, default="")


@dataclass(frozen=True, kw_only=True)
class Scent(Noun):
    """Oils with shares, and the load: all fragrance as percent of the finished product.

    tone_loads   id of a tone -> load of that portion where it is not the load of the jar
    strengths    id of an oil -> how strong it smells beside the others, 0.1 to 10; 1 where absent
    wish         top, middle and base that she wants, shares that add up to 1, or None
    wish_by      "weight" or "odour": which balance the wish is about
    caps         her own ceilings
    also_kinds   further product kinds the same jar is sold as; the stricter figure counts
    food_answer  the assessor's answer on a jar that could be taken for food
    """

    load_pct: float = number(0, 100, "% of the finished product", default=0.0)
    oils: tuple[OilShare, ...] = ()
    tone_loads: Mapping[str, float] = field(default_factory=dict)
    strengths: Mapping[str, float] = field(default_factory=dict)
    wish: tuple[float, float, float] | None = None
    wish_by: str = choice(("weight", "odour"), default="weight")
    caps: Caps = field(default_factory=Caps)
    also_kinds: tuple[str, ...] = ()
    food_answer: Answer | None = None


@dataclass(frozen=True, kw_only=True)
class Addition(Noun):
    """Something stirred into all of the base, such as a light oil or sugar."""

    ingredient: Ref
    pct: float = number(0, 100, "% of the finished product")


@dataclass(frozen=True, kw_only=True)
class Dilution(Noun):
    """A pigment, oil or preservative that is weighed through a stock dilution.

    pct      percent of the pure thing in the stock
    carrier  ingredient it was diluted in
    """

    of: Ref
    pct: float = number(0.01, 100, "% of the pure thing in the stock")
    carrier: Ref


@dataclass(frozen=True, kw_only=True)
class Batch(Noun):
    """How much is made, and how. What is None or empty takes the default of common practice.

    jars              jars asked for; `grams` asks for a mass instead
    spare             jars on top of those asked for
    overrun_pct       how far the base is whipped; None = as its swatch was
    scales            scales to use; empty = all on the shelf
    preservative      what tops up the preservative; None = what the base was preserved with
    preservative_pct  wanted in every tone; None = as in the base
    additions         stirred into all of the base, percent of the finished product
    dilutions         stocks that tiny amounts are weighed through
    bowl_ml           volume of the mixer's bowl; None = not known
    """

    jars: int = number(1, 100_000, "jars", default=1)
    overrun_pct: float | None = number(0, 400, "% overrun", default=None)
    grams: float | None = number(1, 1_000_000, "g", default=None)
    spare: int = number(0, 1000, "jars", default=0)
    scales: tuple[Ref, ...] = ()
    retained_g: float | None = number(0, 10_000, "g", default=None)
    overfill_pct: float | None = number(0, 50, "% of the net weight", default=None)
    loss_pct: float | None = number(0, 90, "% of the batch", default=None)
    preservative: Ref | None = None
    preservative_pct: float | None = number(0, 20, "% of the finished product", default=None)
    additions: tuple[Addition, ...] = ()
    dilutions: tuple[Dilution, ...] = ()
    bowl_ml: float | None = number(10, 1_000_000, "ml", default=None)


@dataclass(frozen=True, kw_only=True)
class View(Noun):
    """How she looks at the jar: turn of the jar, lamp, observer in degrees, eye, light or flat colours.

    sunk_mm  how far her own jars had sunk after those weeks, measured; lowers the picture, never the grams
    """

    turn_deg: float = number(-360, 360, "degrees", default=0.0)
    lamp: str = text(12, default="D65")
    observer_deg: int = number(2, 10, "degrees", default=2)
    eye: str = text(12, default="usual")
    mode: str = choice(("shaded", "flat"), default="shaded")
    sunk_mm: float = number(0, 60, "mm", default=0.0)


@dataclass(frozen=True, kw_only=True)
class Design(Noun):
    """What she opens, edits, saves. Tones stand in the order of the list: top of the jar first.

    product    one of the product kinds of the facts, such as "whipped_soap"
    placed_on  day the jar is first placed on the market; None = today
    place      where on the body it is used; a lip product counts as lips whatever stands here
    """

    id: str = text(80)
    name: str = text(80)
    product: str = text(40)
    tones: tuple[Tone, ...]
    jar: Ref
    base: Ref
    markets: tuple[str, ...] = ("EU",)
    placed_on: date | None = None
    place: str = choice(PLACES, default="body")
    arrangement: Arrangement = field(default_factory=Arrangement)
    top: Top = field(default_factory=Top)
    scent: Scent = field(default_factory=Scent)
    batch: Batch = field(default_factory=Batch)
    weeks: float = number(0, 104, "weeks on the shelf", default=0.0)
    view: View = field(default_factory=View)
    format: int = FORMAT


def from_dict(data: Any) -> Design:
    """The design in a plain dict; every problem at once.

    Raises NewerFormat, or BadDocument with where, got, allowed and unit of each problem.
    """
    if isinstance(data, Mapping) and isinstance(data.get("format"), int) and data["format"] > FORMAT:
        raise NewerFormat("design", data["format"], FORMAT)
    design = decode(Design, data)
    problems = list(_problems(design))
    if problems:
        raise BadDocument("design", problems)
    return design


def to_dict(design: Design) -> dict[str, Any]:
    """The design as plain dicts, lists, texts and numbers; `from_dict` gives it back."""
    return dict(encode(design))


def _problems(design: Design) -> Iterator[Problem]:
    ids = [tone.id for tone in design.tones]
    if not ids:
        yield Problem("tones", "is empty; at least one tone is wanted")
    for tone_id in sorted({one for one in ids if ids.count(one) > 1}):
        yield Problem("tones", f'has the id "{tone_id}" twice; each tone needs its own')
    if design.top.tone != SHARED and design.top.tone not in ids:
        yield Problem("top.tone", f'is "{design.top.tone}"; one of {", ".join([SHARED, *ids])}')
    for market in design.markets:
        if market not in MARKETS:
            yield Problem("markets", f'has "{market}"; of {", ".join(MARKETS)}')
    yield from _scent_problems(design.scent)
    wanted = [("jar", design.jar, "jar"), ("base", design.base, "base")]
    wanted += [(f"tones.{tone.id}", dose.pigment, "pigment") for tone in design.tones for dose in tone.doses]
    wanted += [
        (f"tones.{tone.id}.trials", dose.pigment, "pigment")
        for tone in design.tones
        for trial in tone.trials
        for dose in trial.doses
    ]
    wanted += [("scent.oils", share.oil, "oil") for share in design.scent.oils]
    wanted += [("batch.scales", ref, "scale") for ref in design.batch.scales]
    wanted += [("batch", ref, "ingredient") for ref in _ingredients(design.batch)]
    for where, ref, kind in wanted:
        if ref.kind != kind:
            yield Problem(where, f'refers to a {ref.kind}, "{ref.id}"; a {kind} is wanted')


def _scent_problems(scent: Scent) -> Iterator[Problem]:
    caps = scent.caps
    bounds = (
        ("tone_loads", scent.tone_loads, 0, 100),
        ("strengths", scent.strengths, 0.1, 10),
        ("caps.contents", caps.contents, 0, 100),
        ("caps.least", caps.least, 0, 100),
    )
    for where, values, low, high in bounds:
        for key, value in values.items():
            if not low <= value <= high:
                yield Problem(f"scent.{where}.{key}", f"is {value:g}; it must lie between {low} and {high}")
    if scent.wish is not None and (min(scent.wish) < 0 or abs(sum(scent.wish) - 1) > 1e-6):
        yield Problem("scent.wish", "must be three shares of 0 or more that add up to 1")


def _ingredients(batch: Batch) -> tuple[Ref, ...]:
    own = (batch.preservative,) if batch.preservative is not None else ()
    carriers = tuple(one.carrier for one in batch.dilutions)
    return (*own, *(one.ingredient for one in batch.additions), *carriers)


def refs(design: Design) -> tuple[Ref, ...]:
    """Everything on the shelf that the design uses, each once."""
    found = [design.jar, design.base]
    found += [dose.pigment for tone in design.tones for dose in tone.doses]
    found += [share.oil for share in design.scent.oils]
    if design.top.dust:
        found.append(design.top.dust.pigment)
    found += [*design.batch.scales, *_ingredients(design.batch), *(one.of for one in design.batch.dilutions)]
    return tuple({ref.key: ref for ref in found}.values())


def evened(scent: Scent) -> Scent:
    """The same scent with its shares in proportion, so that they make 100 %, as it is weighed.

    >>> part = OilShare(oil=Ref(kind="oil", id="a"), share_pct=30)
    >>> evened(Scent(oils=(part, part))).oils[0].share_pct
    50.0
    """
    total = sum(one.share_pct for one in scent.oils)
    if not total or total == 100:
        return scent
    return replace(
        scent, oils=tuple(replace(one, share_pct=100 * one.share_pct / total) for one in scent.oils)
    )


def tone_load(design: Design, tone_id: str) -> float:
    """Load of one portion, percent of that portion."""
    return design.scent.tone_loads.get(tone_id, design.scent.load_pct)


def mean_load(design: Design) -> float:
    """Load of the whole jar, percent of the finished product: the portions' loads by their shares."""
    whole = sum(tone.share_pct for tone in design.tones)
    if not whole:
        return design.scent.load_pct
    return sum(tone.share_pct * tone_load(design, tone.id) for tone in design.tones) / whole


def slug(name: str, fallback: str = "unnamed") -> str:
    """A name as lower-case letters without their accents, digits and hyphens, at most 60 characters.

    >>> slug("Fern Glade No. 2"), slug("Küste")
    ('fern-glade-no-2', 'kuste')
    """
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    plain = re.sub(r"[^a-z0-9]+", "-", letters).strip("-")
    return plain[:60].strip("-") or fallback
