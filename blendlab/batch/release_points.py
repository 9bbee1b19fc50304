"""What the record of a batch must hold before it is released, and what of it keeps the batch from sale."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from blendlab.batch.acidity import ph_points
from blendlab.batch.kitchen import PRACTICE, gate_opens, judge
from blendlab.batch.sheet import Plan
from blendlab.errors import Finding
from blendlab.facts.read import figure

FIX = "Write it down, or do not sell this batch."
UNWEIGHED = "release-lines"
"""The stop of lines that are not weighed."""


@dataclass(frozen=True)
class Evidence:
    """What the book holds of a batch before it is released.

    weighed  line id -> grams; lots  line ids whose lot is known; explained  line ids with a cause
    ticked   ids of steps; pH, density_g_ml  None = not measured; filled  jars that were weighed
    celsius  gate -> temperature it was ticked at [C]; cups  densities of the foam, oldest first [g/ml]
    """

    weighed: Mapping[str, float]
    lots: Collection[str]
    explained: Collection[str]
    ticked: Collection[str]
    pH: float | None
    density_g_ml: float | None
    filled: int
    celsius: Mapping[str, float | None] = field(default_factory=dict)
    cups: Sequence[float] = ()


def open_points(plan: Plan, seen: Evidence) -> tuple[Finding, ...]:
    """What keeps a batch of jars from being released; unknown is never taken for fine."""
    there = [line for line in plan.lines if line.id in seen.weighed]
    off = [
        line for line in there if judge(line, seen.weighed[line.id]).explain and line.id not in seen.explained
    ]
    skipped = {step.text: step.heats for step in plan.steps if step.holds and step.id not in seen.ticked}
    least = figure("batch", "jars_weighed").value
    points = (
        ("lines", "Not weighed", [line.name for line in plan.lines if line not in there]),
        (
            "lots",
            "Lot not known",
            [line.name for line in there if seen.weighed[line.id] and line.id not in seen.lots],
        ),
        ("deviations", "Off without a cause", [line.name for line in off]),
        ("ticks", "Not ticked", list(skipped)),
        ("ph", "Not measured", ["pH"] if seen.pH is None and plan.acidity is not None else []),
        ("density", "Not weighed", ["density of the whipped base"] if seen.density_g_ml is None else []),
        ("fills", "Not weighed", [f"at least {least:.0f} filled jars"] if seen.filled < least else []),
    )
    written = (
        _stop(
            f"release-{key}",
            f"{said}: {'; '.join(dict.fromkeys(name.rstrip('.') for name in names))}.",
            FIX,
            _heats(key, skipped),
        )
        for key, said, names in points
        if names
    )
    return (*written, *_measured(plan, seen))


def _stop(id: str, text: str, fix: str, heats: tuple[float, ...] = ()) -> Finding:
    where = f"book.release.{id.removeprefix('release-')}"
    return Finding("stop", id, where, text, fix, PRACTICE, heats=heats)


def _heats(key: str, skipped: Mapping[str, tuple[float, ...]]) -> tuple[float, ...]:
    return tuple(heat for heats in skipped.values() for heat in heats) if key == "ticks" else ()


def _measured(plan: Plan, seen: Evidence) -> Iterator[Finding]:
    """What was measured and does not lie where it must: temperatures, pH, cups of foam."""
    warm = [
        step for step in plan.steps if step.id in seen.celsius and not gate_opens(step, seen.celsius[step.id])
    ]
    if warm:
        text = f"Too warm, or not measured: {'; '.join(step.text for step in warm)}"
        heats = tuple(heat for step in warm for heat in step.heats)
        yield _stop(
            "release-heat", text, "Do not sell this batch, or correct a figure that was misread.", heats
        )
    if seen.pH is not None and plan.acidity is not None:
        yield from ph_points(plan.acidity, seen.pH)
    yield from cups_finding(seen.cups)


def cups_finding(cups: Sequence[float]) -> Iterator[Finding]:
    """Caution for two cups of one foam that differ: one was not level, or the foam did not hold."""
    bound = figure("batch", "cups_differ")
    apart = 100 * (max(cups) / min(cups) - 1) if cups else 0.0
    if round(apart, 9) > bound.value:
        text = (
            f"Two cups of this foam differ by {apart:.0f} %: {min(cups):.3f} and {max(cups):.3f} g/ml; "
            f"usual is up to {bound.value:g} %."
        )
        yield Finding(
            "caution",
            "cups-differ",
            "book.foam",
            text,
            "Look in the jars whether the foam holds.",
            bound.source,
        )
