"""The one design: what is opened, edited, saved; dict in, dict out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from blendlab.codec import Noun, choice, decode, encode, number, reference, refuse_newer, text
from blendlab.errors import BadDocument, Problem
from blendlab.recipe.batch import Batch
from blendlab.recipe.look import SHARED, Arrangement, Tone, Top, View
from blendlab.recipe.refs import Ref
from blendlab.recipe.scent import Scent

FORMAT = 1

MARKETS = ("EU", "GB", "US", "CA")

PLACES = ("body", "eye", "lips")
"""Where on the body a product is used, as colour law parts it."""


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
    jar: Ref = reference("jar")
    base: Ref = reference("base")
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
    refuse_newer("design", data, FORMAT)
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
    for tone_id in sorted({tone_id for tone_id in ids if ids.count(tone_id) > 1}):
        yield Problem("tones", f'has the id "{tone_id}" twice; each tone needs its own')
    if design.top.tone != SHARED and design.top.tone not in ids:
        yield Problem("top.tone", f'is "{design.top.tone}"; one of {", ".join([SHARED, *ids])}')
    for market in design.markets:
        if market not in MARKETS:
            yield Problem("markets", f'has "{market}"; of {", ".join(MARKETS)}')
    yield from _scent_problems(design.scent)


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


def tone_load(design: Design, tone_id: str) -> float:
    """Load of one portion, percent of that portion."""
    return design.scent.tone_loads.get(tone_id, design.scent.load_pct)


def slug(name: str, fallback: str = "unnamed") -> str:
    """A name as lower-case letters without their accents, digits and hyphens, at most 60 characters.

    >>> slug("Fern Glade No. 2"), slug("Küste")
    ('fern-glade-no-2', 'kuste')
    """
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    plain = re.sub(r"[^a-z0-9]+", "-", letters).strip("-")
    return plain[:60].strip("-") or fallback
