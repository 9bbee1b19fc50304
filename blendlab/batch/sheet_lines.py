"""Settled grams as the lines of a batch sheet, and the dust beside them."""

from __future__ import annotations

from collections.abc import Iterator

from blendlab import units
from blendlab.batch import rounding, weighing
from blendlab.batch.dusting import dusting
from blendlab.batch.line_wishes import Draft
from blendlab.batch.rounding import Settled
from blendlab.batch.sheet import Line

NOTHING_G = 1e-9
"""A line of less than a nanogram is not there."""


def weighed(drafted: Draft, made: Settled) -> Iterator[Line]:
    """The lines of a settled batch; of what nothing is weighed there is no line."""
    displays = weighing.Displays()
    for at, want in enumerate(drafted.wants):
        grams, scale = made.grams[at], made.scales[at]
        nothing = made.exact[at] <= NOTHING_G and grams <= 0
        if nothing or (want.tone >= 0 and made.tones[want.tone] <= 0):
            continue
        mass = made.tones[want.tone] if want.tone >= 0 else made.batch_g
        stock = drafted.resolved.stock_of(want.item) if want.stock_pct < 100 else None
        wanted_mass = made.batch_g * drafted.weights[want.tone] if want.tone >= 0 else made.batch_g
        yield Line(
            id=want.id,
            item=f"{want.item.kind}:{want.item.id}",
            what=want.what,
            name=want.item.name,
            cup=want.cup,
            tone=drafted.design.tones[want.tone].id if want.tone >= 0 else "",
            exact_g=made.exact[at],
            grams=grams,
            pct=grams * want.stock_pct / mass,
            of="the finished portion" if want.tone >= 0 else "the finished product",
            wanted_pct=want.pct or made.exact[at] * want.stock_pct / wanted_mass,
            cap_pct=want.cap_pct,
            stock_pct=want.stock_pct,
            scale=scale.name,
            step_g=scale.step_g,
            capacity_g=scale.capacity_g,
            protected=want.protected,
            good=_good(drafted, made, at),
            display_g=displays.after(want.cup, scale, grams),
            least_g=weighing.least(scale.step_g, want.careful),
            lot=want.lot,
            note=_note(want.stock_pct, getattr(want.item, "care", "")),
            carrier=f"{stock.carrier.kind}:{stock.carrier.id}" if stock else "",
            carrier_name=stock.carrier.name if stock else "",
        )


def _good(drafted: Draft, made: Settled, at: int) -> tuple[float, float]:
    """Display values a line is good between: a preservative not below its grams, nothing above a cap."""
    want, grams, step = drafted.wants[at], made.grams[at], made.scales[at].step_g
    low, high = weighing.good_between(grams, step)
    most = high
    if want.what == "preservative" and drafted.wish is not None:
        low = grams
        room = drafted.wish.most - rounding.preservative_range(drafted, made)[1]
        most = grams + max(0.0, room) / drafted.wish.strength * sum(made.takes)
    elif want.what == "oil" and drafted.ceiling_pct is not None and grams:
        most = grams * max(1.0, drafted.ceiling_pct / max(rounding.loads(drafted, made)))
    elif want.what == "pigment" and want.cap_pct is not None:
        most = (
            grams * max(1.0, want.cap_pct * made.tones[want.tone] / (grams * want.stock_pct))
            if grams
            else high
        )
    (capped,) = units.round_lines([min(most, high)], [step], [True], ["down"])
    return low, max(grams, capped)


def _note(stock_pct: float, care: str) -> str:
    stock = f"weighed as a {stock_pct:g} % dilution" if stock_pct < 100 else ""
    return "; ".join(part for part in (stock, care) if part)


def dusted(drafted: Draft, jars: int) -> Iterator[Line]:
    """The dust for all tops, beside the batch: the shaker is weighed."""
    dust, mica = drafted.design.top.dust, drafted.resolved.dust
    if dust is None or mica is None or dust.mg_per_cm2 <= 0 or jars < 1:
        return
    needed = dusting(drafted.resolved.jar.inner_mm, dust.mg_per_cm2, jars)
    scale = weighing.scale_for(needed.total_g, drafted.scales) or rounding.NO_SCALE
    (grams,) = units.round_lines([needed.total_g], [scale.step_g], [True], ["up"])
    yield Line(
        id=f"dust:{mica.id}",
        item=f"pigment:{mica.id}",
        what="dust",
        name=mica.name,
        cup="Shaker",
        tone="",
        exact_g=needed.total_g,
        grams=grams,
        pct=dust.mg_per_cm2,
        of="the tops, mg/cm2",
        wanted_pct=dust.mg_per_cm2,
        cap_pct=None,
        stock_pct=100.0,
        scale=scale.name,
        step_g=scale.step_g,
        capacity_g=scale.capacity_g,
        protected=True,
        good=(0.0, grams),
        display_g=grams,
        least_g=0.0,
        lot=drafted.dust_lot,
        note=f"about {needed.mg_per_jar:.1f} mg on each top; weigh the shaker before and after",
        beside=True,
    )
