"""What may go wrong while a batch is made: readings against their bounds, as findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import inf

from blendlab.errors import Finding, Level, OutOfRange
from blendlab.facts.materials import practice, usual
from blendlab.fragrance.heat import may_add

PRACTICE = "common practice"


def water_back(ingredients_g: float, tare_g: float, gross_g: float) -> float:
    """Water to fill up after cooling: what went in less what is there. Negative: nothing was lost.

    >>> water_back(2000, 812, 2769)
    43
    """
    if tare_g > gross_g:
        raise OutOfRange("Full vessel", gross_g, tare_g, inf, "g")
    return ingredients_g - (gross_g - tare_g)


@dataclass(frozen=True)
class Readings:
    """What was measured and ticked during a batch; None = not measured, which is never fine.

    below_preservative_c, below_scent_c  gates of this batch
    flash_c                              lowest flash point of the scent; None = not known
    ticks                                ids of steps that were ticked
    """

    melt_c: float | None = None
    melt_minutes: float | None = None
    preservative_c: float | None = None
    below_preservative_c: float = 40.0
    scent_c: float | None = None
    below_scent_c: float = 45.0
    flash_c: float | None = None
    open_flame: bool = False
    mixer_c: float | None = None
    whip_c: float | None = None
    ingredients_g: float | None = None
    after_cooling_g: float | None = None
    overrun_pct: float | None = None
    density_g_ml: float | None = None
    density_next_day_g_ml: float | None = None
    cleaned: datetime | None = None
    now: datetime | None = None
    forecast_c: float | None = None
    softening_c: float | None = None
    ticks: Mapping[str, bool] | None = None


def _found(level: Level, id: str, text: str, fix: str, source: str = PRACTICE) -> Finding:
    return Finding(level, id, f"batch.steps.{id}", text, fix, source)


def findings(read: Readings) -> tuple[Finding, ...]:
    """Everything that speaks against these readings.

    >>> [one.id for one in findings(Readings(melt_c=92))]
    ['melt-hot', 'cleaning']
    """
    return (*_heat(read), *_gates(read), *_foam(read), *_order(read), *_parcel(read))


def _heat(read: Readings) -> Iterator[Finding]:
    melt, minutes, hot = practice("melt"), practice("melt_minutes"), usual("hot_mass")
    if read.melt_c is not None and read.melt_c > melt.high:
        text = f"Melt at {read.melt_c:g} C; above {melt.high:g} C it loses water and the ester splits."
        yield _found("caution", "melt-hot", text, "Take it off the heat.")
    if read.melt_minutes is not None and read.melt_minutes > minutes.high:
        text = f"{read.melt_minutes:g} min on the heat; usual is up to {minutes.high:g} min."
        yield _found("caution", "melt-long", text, "Weigh it and fill the water up.")
    if read.mixer_c is not None and read.mixer_c > hot:
        text = f"Mass of {read.mixer_c:g} C in a mixer or a bag; above {hot:g} C it burns and clings."
        yield _found("stop", "hot-mass", text, "Let it cool down first.")
    if read.ingredients_g and read.after_cooling_g is not None:
        lost = 100 * (read.ingredients_g - read.after_cooling_g) / read.ingredients_g
        if lost > usual("cooling_loss"):
            grams = read.ingredients_g - read.after_cooling_g
            text = f"{lost:.1f} % of the mass is gone after cooling: {grams:.0f} g of water."
            yield _found(
                "caution", "cooling-loss", text, "Fill it up with boiled purified water, then preserve."
            )


def _gates(read: Readings) -> Iterator[Finding]:
    if read.preservative_c is not None and not may_add(read.preservative_c, read.below_preservative_c):
        text = (
            f"Product at {read.preservative_c:g} C; the preservative goes in at "
            f"{read.below_preservative_c:g} C or below."
        )
        yield _found("stop", "preservative-hot", text, "Wait.", "sheet of the lot, else common practice")
    if read.scent_c is not None and not may_add(read.scent_c, read.below_scent_c):
        text = f"Product at {read.scent_c:g} C; the scent goes in at {read.below_scent_c:g} C or below."
        yield _found("stop", "scent-hot", text, "Wait.")
    if (
        read.open_flame
        and read.scent_c is not None
        and (read.flash_c is None or read.scent_c >= read.flash_c)
    ):
        point = (
            f"its flash point of {read.flash_c:g} C" if read.flash_c is not None else "an unknown flash point"
        )
        text = f"An open flame beside a scent at {read.scent_c:g} C, at or above {point}."
        yield _found("stop", "flame", text, "Put the flame out.", "flash point: vapour that a flame lights")


def _foam(read: Readings) -> Iterator[Finding]:
    most, window = practice("whip_temperature").high, practice("overrun")
    if read.whip_c is not None and read.whip_c > most:
        text = f"Whipped at {read.whip_c:g} C; above {most:g} C stearic acid has not set."
        yield _found("caution", "whip-warm", text, "Cool it and whip again.")
    if read.overrun_pct is not None and not window.low <= read.overrun_pct <= window.high:
        text = f"Overrun {read.overrun_pct:.0f} %; usual is {window.low:g} to {window.high:g} %."
        yield _found("caution", "overrun", text, "Weigh the cup again.")
    if read.density_g_ml and read.density_next_day_g_ml is not None:
        change = 100 * (read.density_next_day_g_ml / read.density_g_ml - 1)
        if abs(change) > usual("density_drift"):
            text = (
                f"Density changed by {change:+.1f} % within a day; usual is up to "
                f"{usual('density_drift'):g} %."
            )
            yield _found("caution", "density-drift", text, "Do not fill more; test the foam.")


def _order(read: Readings) -> Iterator[Finding]:
    hours = practice("cleaning_hours").high
    if read.cleaned is None:
        yield _found(
            "stop", "cleaning", "Cleaning was not ticked.", "Clean tools, bowl and bags, then tick it."
        )
    elif read.now is not None and (read.now - read.cleaned).total_seconds() > hours * 3600:
        text = f"Cleaned more than {hours:g} h ago."
        yield _found("stop", "cleaning", text, "Clean again.")
    for step, done in (read.ticks or {}).items():
        if not done:
            text = f'The step "{step}" was not ticked.'
            yield _found("stop", f"tick-{step}", text, "Do it and tick it before going on.")


def _parcel(read: Readings) -> Iterator[Finding]:
    if read.forecast_c is None or read.softening_c is None:
        return
    margin = usual("softening_margin")
    if read.forecast_c > read.softening_c - margin:
        text = f"{read.forecast_c:g} C forecast on the way; the jar softens from {read.softening_c:g} C."
        yield _found("caution", "transit", text, f"Ship when it stays {margin:g} K below that.")
