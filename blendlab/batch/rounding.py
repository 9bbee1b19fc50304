"""Percents become grams: sized, rounded to the scales, and moved by single steps until every
tone has its preservative, no cap is broken and the jars asked for come out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from blendlab import units
from blendlab.batch import filling, ledger, weighing
from blendlab.batch.line_wishes import Draft
from blendlab.batch.preservative import top_up_fixed
from blendlab.facts.preservatives import active_limits
from blendlab.shelf import Scale

DUST = 1e-9
"""Relative room for binary dust when a percent is compared."""
ROUNDS = 100

NO_SCALE = Scale(id="none", name="no scale", step_g=1.0, capacity_g=100_000)


@dataclass(frozen=True)
class Settled:
    """Grams of a batch as its scales show them.

    exact    grams of each line before rounding; grams after
    takes    grams of the bowl in each tone; scents  grams of the mixed scent in each tone
    rest_at  the tone that takes what the others leave of the bowl, and what their scale cannot show
    tones    mass of each tone
    target   percent of preservative it was sized for, or None
    short    the preservative cannot reach the target without breaking a cap
    done     the grams were weighed: nothing of it can be moved any more
    """

    exact: tuple[float, ...]
    grams: tuple[float, ...]
    scales: tuple[Scale, ...]
    takes: tuple[float, ...]
    scents: tuple[float, ...]
    tones: tuple[float, ...]
    target: float | None
    short: bool
    rest_at: int = 0
    done: bool = False

    @property
    def batch_g(self) -> float:
        """Sum of the lines."""
        return round(sum(self.grams), 9)


class NoRoom(NamedTuple):
    """A tone, or the whole batch, in which additions leave no room for the base."""

    tone: int


def target_of(drafted: Draft) -> float | None:
    """Percent of preservative to size for: what she wants, as far as the least diluted tone allows."""
    if drafted.wish is None or drafted.preservative_at is None:
        return None
    thick, thin = _dilutions(drafted)
    return max(0.0, min(drafted.wish.wanted, drafted.wish.most * thin / thick))


def _dilutions(drafted: Draft) -> tuple[float, float]:
    """Share of the bowl in the least and in the most diluted tone."""
    shares = [1 - drafted.inside(at) for at, weight in enumerate(drafted.weights) if weight > 0]
    return max(shares, default=1.0), min(shares, default=1.0)


def room(drafted: Draft) -> NoRoom | None:
    """What leaves no room for the base, or None."""
    for at, weight in enumerate(drafted.weights):
        if weight > 0 and drafted.inside(at) >= 1:
            return NoRoom(at)
    _, thin = _dilutions(drafted)
    target = target_of(drafted)
    taken = sum(want.pct for want in drafted.wants if want.what == "addition") / 100
    if drafted.wish and target is not None:
        taken += target / thin / drafted.wish.strength
    weak = drafted.wish is not None and drafted.wish.held.low >= drafted.wish.strength
    return NoRoom(-1) if weak or taken >= thin else None


def exact_grams(drafted: Draft, batch_g: float) -> list[float]:
    """Grams of every line of a batch, not rounded. The preservative is sized on the most diluted tone."""
    grams = [0.0] * len(drafted.wants)
    for at, want in enumerate(drafted.wants):
        if want.what in ("pigment", "oil", "addition"):
            part = drafted.weights[want.tone] if want.tone >= 0 else 1.0
            grams[at] = batch_g * part * want.pct / want.stock_pct
    bowl = batch_g - sum(g for g, want in zip(grams, drafted.wants, strict=True) if want.what != "addition")
    stirred = sum(g for g, want in zip(grams, drafted.wants, strict=True) if want.what == "addition")
    at_preservative, target = drafted.preservative_at, target_of(drafted)
    if at_preservative is not None and target is not None and drafted.wish is not None:
        _, thin = _dilutions(drafted)
        wish = drafted.wish
        sized = top_up_fixed(bowl, wish.held.low, stirred, target / thin, wish.strength)
        grams[at_preservative] = sized.topup_g
    grams[0] = bowl - stirred - (grams[at_preservative] if at_preservative is not None else 0.0)
    return grams


def settle(drafted: Draft, batch_g: float) -> Settled:
    """A batch of about `batch_g` grams, rounded and re-checked.

    The sum drifts from `batch_g` by at most the coarsest step.
    """
    wanted = exact_grams(drafted, batch_g)
    scales = tuple(weighing.scale_for(mass, drafted.scales) or NO_SCALE for mass in wanted)
    steps = [scale.step_g for scale in scales]
    protected = [want.protected for want in drafted.wants]
    ways = [want.way for want in drafted.wants]
    exact, capped = list(wanted), False
    for _ in range(ROUNDS):
        grams = units.round_lines(exact, steps, protected, ways, total=batch_g)
        made = _shared(drafted, wanted, grams, scales, batch_g, capped)
        move = _move(drafted, made)
        if move is None:
            return made
        at, by, capped = move
        exact[at] = max(0.0, grams[at] + by * steps[at])
        ways[at] = "near"
    return made


def as_weighed(drafted: Draft, weighed: Mapping[str, float]) -> Settled:
    """A batch as it was weighed; what no grams are given of did not go in.

    weighed  line id -> grams

    The bowl is shared out among the tones by the shares of the design, which must be those of what
    was made: takes are not written down.
    """
    grams = tuple(weighed.get(want.id, 0.0) for want in drafted.wants)
    scales = tuple(weighing.scale_for(mass, drafted.scales) or NO_SCALE for mass in grams)
    return replace(_shared(drafted, grams, grams, scales, sum(grams), short=True), done=True)


def _shared(
    drafted: Draft,
    wanted: Sequence[float],
    grams: tuple[float, ...],
    scales: tuple[Scale, ...],
    batch_g: float,
    short: bool,
) -> Settled:
    """The rounded lines shared out among the tones."""
    wants = drafted.wants
    scent = sum(g for g, want in zip(grams, wants, strict=True) if want.what == "oil")
    own = [
        sum(g for g, want in zip(grams, wants, strict=True) if want.tone == at)
        for at in range(len(drafted.weights))
    ]
    bowl = sum(grams) - scent - sum(own)
    fine = min(
        (scale.step_g for scale, want in zip(scales, wants, strict=True) if want.what == "oil"), default=0.01
    )
    scents = _split(scent, drafted.weights, fine)
    rest = [
        max(0.0, batch_g * weight - pigment - part)
        for weight, pigment, part in zip(drafted.weights, own, scents, strict=True)
    ]
    takes = _split(bowl, rest, scales[0].step_g)
    tones = tuple(round(sum(parts), 9) for parts in zip(takes, scents, own, strict=True))
    rest_at = max(range(len(rest)), key=rest.__getitem__)
    return Settled(tuple(wanted), grams, scales, takes, scents, tones, target_of(drafted), short, rest_at)


def _split(grams: float, weights: Sequence[float], step: float) -> tuple[float, ...]:
    """A mass shared out on one scale; what its step cannot show stays in the largest part."""
    if grams <= 0 or sum(weights) <= 0:
        return (0.0,) * len(weights)
    parts = list(filling.portions(grams, weights, step))
    largest = max(range(len(parts)), key=lambda at: weights[at])
    parts[largest] = round(parts[largest] + grams - sum(parts), 9)
    return tuple(parts)


def _move(drafted: Draft, made: Settled) -> tuple[int, int, bool] | None:
    """What mends the first thing that is wrong: line, steps up or down, whether a cap was hit."""
    for at, want in enumerate(drafted.wants):
        if want.what == "pigment" and want.cap_pct is not None and made.grams[at] > 0:
            pct = 100 * made.grams[at] * want.stock_pct / 100 / made.tones[want.tone]
            if pct > want.cap_pct * (1 + DUST):
                return at, -1, made.short
    if drafted.ceiling_pct is not None and drafted.load_pct <= drafted.ceiling_pct * (1 + DUST):
        oils = [at for at, want in enumerate(drafted.wants) if want.what == "oil" and made.grams[at] > 0]
        if oils and max(loads(drafted, made)) > drafted.ceiling_pct * (1 + DUST):
            return max(oils, key=lambda at: made.grams[at]), -1, made.short
    return _move_preservative(drafted, made)


def _move_preservative(drafted: Draft, made: Settled) -> tuple[int, int, bool] | None:
    at, wish = drafted.preservative_at, drafted.wish
    if at is None or made.target is None or wish is None:
        return None
    low, high = preservative_range(drafted, made)
    parts = ledger.of_ingredient(wish.ingredient)
    over = [high - wish.most] if high > wish.most * (1 + DUST) else []
    over += [
        100 * (active.pct - active.limit_pct) / parts[active.name.lower()]
        for active in actives(drafted, made)
        if not active.within and parts.get(active.name.lower())
    ]
    if over and made.grams[at] > 0:
        grams = max(over) * sum(made.takes) / wish.strength
        steps = min(grams, made.grams[at]) / made.scales[at].step_g
        return at, -max(1, int(steps)), True
    if low < made.target * (1 - DUST) and not made.short and not over:
        return at, 1, False
    return None


def loads(drafted: Draft, made: Settled) -> tuple[float, ...]:
    """Percent of pure fragrance in each tone after rounding; of what was made, that of the whole."""
    oils = [at for at, want in enumerate(drafted.wants) if want.what == "oil"]
    stock = sum(made.grams[at] for at in oils)
    pure = sum(made.grams[at] * drafted.wants[at].stock_pct / 100 for at in oils)
    share = pure / stock if stock else 0.0
    if made.done:
        return tuple(100 * pure / made.batch_g if tone else 0.0 for tone in made.tones)
    return tuple(
        100 * part * share / tone if tone else 0.0 for part, tone in zip(made.scents, made.tones, strict=True)
    )


def preservatives(drafted: Draft, made: Settled, of_base_pct: float) -> tuple[float, ...]:
    """Percent of the preservative in each tone, for a percent of it in the base."""
    at, bowl = drafted.preservative_at, sum(made.takes)
    if at is None or drafted.wish is None or bowl <= 0:
        return tuple(0.0 for _ in made.tones)
    grams = made.grams[0] * of_base_pct + made.grams[at] * drafted.wish.strength
    return tuple(
        grams / bowl * take / tone if tone > 0 else 0.0
        for take, tone in zip(made.takes, made.tones, strict=True)
    )


def preservative_range(drafted: Draft, made: Settled) -> tuple[float, float]:
    """Lowest percent (most diluted tone, low figure of the base) and highest percent."""
    wish = drafted.wish
    low = wish.held.low if wish else 0.0
    high = wish.held.high if wish else 0.0
    lowest = [
        pct for pct, tone in zip(preservatives(drafted, made, low), made.tones, strict=True) if tone > 0
    ]
    return min(lowest, default=0.0), max(preservatives(drafted, made, high), default=0.0)


def actives(drafted: Draft, made: Settled) -> tuple[ledger.Active, ...]:
    """Every limited active of the preservative and of the base in every tone, after rounding."""
    return tuple(_actives(drafted, made))


def _actives(drafted: Draft, made: Settled) -> Iterator[ledger.Active]:
    wish, at, bowl = drafted.wish, drafted.preservative_at, sum(made.takes)
    parts = ledger.of_ingredient(wish.ingredient) if wish else {}
    own = ledger.of_base(drafted.base)
    held = wish.held.high / 100 if wish else 0.0
    topped = made.grams[at] * wish.strength / 100 if at is not None and wish else 0.0
    for name, limit in active_limits(drafted.design.product).items():
        if bowl <= 0 or (name not in parts and name not in own):
            continue
        part = parts.get(name, 0.0)
        grams = (made.grams[0] * max(own.get(name, 0.0), part * held) + topped * part) / 100
        beside = wish.extra.get(name, 0.0) if wish else 0.0
        for tone, take, mass in zip(drafted.design.tones, made.takes, made.tones, strict=True):
            if mass > 0:
                pct = 100 * grams / bowl * take / mass + beside
                yield ledger.Active(limit.active, tone.name, pct, limit.pct, limit.source)
