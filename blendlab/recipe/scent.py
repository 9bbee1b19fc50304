"""What a jar smells of: oils, load, her own wishes and ceilings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from blendlab.codec import Noun, choice, number, reference, text
from blendlab.recipe.refs import Ref


@dataclass(frozen=True, kw_only=True)
class OilShare(Noun):
    """An oil and its percent by mass of the scent."""

    oil: Ref = reference("oil")
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


def evened(scent: Scent) -> Scent:
    """The same scent with its shares in proportion, so that they make 100 %, as it is weighed.

    >>> part = OilShare(oil=Ref(kind="oil", id="a"), share_pct=30)
    >>> evened(Scent(oils=(part, part))).oils[0].share_pct
    50.0
    """
    total = sum(oil.share_pct for oil in scent.oils)
    if not total or total == 100:
        return scent
    return replace(
        scent,
        oils=tuple(replace(oil, share_pct=100 * (oil.share_pct / total)) for oil in scent.oils),
    )
