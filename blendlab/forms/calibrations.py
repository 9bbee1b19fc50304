"""Swatches -> a measured pigment or base, seen before it is kept, and its history."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from blendlab import store
from blendlab.errors import Finding, worst_first
from blendlab.facts.read import figure
from blendlab.forms import on_shelf
from blendlab.forms.form import Form, Typed
from blendlab.shelf import Base, Item, Pigment, Shelf, Swatch
from blendlab.tint import mix, see
from blendlab.tint.browning import fit_browning
from blendlab.tint.calibration import Calibrated
from blendlab.tint.kubelka_munk import fit_foam, foam_factor
from blendlab.tint.measured_items import (
    base_reflectance,
    fit_findings,
    measured_base,
    measured_pigment,
    new_lot,
    self_check,
)
from blendlab.tint.next_swatch import Suggestion, calibrate_next


@dataclass(frozen=True)
class Row:
    """One swatch beside what the fit makes of it: words, both as hex, Delta E or None (not checkable)."""

    words: str
    measured: str
    fitted: str
    apart: float | None


@dataclass(frozen=True)
class Preview:
    """What the swatches would make of an item, before it is kept.

    made   the item as it would stand on the shelf
    rows   one for each swatch
    lines  sentences: what the fit tells, strength, test swatch, the last lot
    """

    made: Item
    rows: tuple[Row, ...]
    lines: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def refused(self) -> str:
        """Why it measures nothing; "" for one that can be kept."""
        return next((finding.text for finding in self.findings if finding.level == "stop"), "")


def keep(folder: store.Folder, seen: Preview) -> str:
    """Put what was measured on the shelf; "" or why not."""
    return seen.refused or on_shelf.save(folder, seen.made)


def preview(
    item: Item, base: Base, swatches: Sequence[Swatch], lot: str, on: date, same_kind: bool = False
) -> Preview:
    """The item with these swatches as its newest calibration.

    Raises WrongSwatch, OutOfRange.
    """
    if isinstance(item, Base):
        return _base_preview(item, swatches, lot, on)
    assert isinstance(item, Pigment)
    made, found = measured_pigment(item, base, swatches, on, lot, same_kind)
    rows = tuple(
        Row(
            f"{swatch.doses[item.id]:g} % · {swatch.words}",
            see(swatch.R).hex,
            see(_made(made, base, swatch.doses[item.id])).hex,
            found.residuals[at] if found.residuals else None,
        )
        for at, swatch in enumerate(swatches)
    )
    findings = worst_first(fit_findings(item, found, swatches))
    return Preview(made, rows, tuple(_lines(item, made, base, found, swatches)), findings)


def _made(pigment: Pigment, base: Base, pct: float) -> np.ndarray:
    return mix([pct], np.array([pigment.k]), np.array([pigment.s]), base.k0, base.s0)[2]


def _lines(
    item: Pigment, made: Pigment, base: Base, found: Calibrated, swatches: Sequence[Swatch]
) -> Iterator[str]:
    yield found.tells
    ratio = float(np.dot(made.k, item.k) / max(np.dot(item.k, item.k), 1e-12))
    known = "the last measurement" if item.known == "measured" else "the estimate"
    error = "standard error not checkable" if found.se is None else f"standard error {100 * found.se:.0f} %"
    yield f"Strength {ratio:.2f} times {known} ({error}); the next jar within {100 * found.sd:.0f} %."
    if found.kept_out is not None:
        yield f"Test: the middle swatch, kept out of the fit, is met within Delta E {found.kept_out:.1f}."
    if item.known == "measured":
        yield new_lot(item, base, swatches).words


def _base_preview(base: Base, swatches: Sequence[Swatch], lot: str, on: date) -> Preview:
    made = measured_base(base, swatches, on, lot)
    rows = tuple(
        Row(swatch.words, see(swatch.R).hex, see(base_reflectance(made)).hex, self_check(made, swatch.R))
        for swatch in swatches
    )
    change = self_check(base, base_reflectance(made))
    lines = [f"The white lies Delta E {change:.1f} from what was known of this base."]
    if len(swatches) < 5:
        lines.append("Five readings at different places make a white that can be relied on.")
    return Preview(
        made, rows if len(swatches) > 1 else tuple(replace(row, apart=None) for row in rows), tuple(lines), ()
    )


def whip(base: Base, swatches: Sequence[Swatch], typed: Typed) -> tuple[Base | None, list[str], list[str]]:
    """The base with its own foam law: first swatch unwhipped, second whipped, of one colour.

    Returns the base, the answers to what was wrong, what she should know.
    """
    form = Form(typed)
    overrun = form.wanted("overrun", "Overrun of the whipped swatch", "% overrun", 0, 400)
    if len(swatches) != 2:
        form.answers.append(f"Two swatches are wanted, unwhipped, then whipped; there are {len(swatches)}.")
    if form.answers:
        return None, form.answers, []
    found = form.tried(lambda: fit_foam(swatches[0].R, swatches[1].R, overrun), "Whip")
    if found is None:
        return None, form.answers, []
    power, sd = min(found[0], 10.0), min(found[1], 10.0)
    low, high = (foam_factor(overrun, 0, max(power + side * sd, 0.0)) for side in (-1, 1))
    likely = f"{foam_factor(overrun, 0, power):.2f} times ({low:.2f} to {high:.2f})"
    told = f"Whipped to {overrun:g} % it scatters {likely}."
    return replace(base, foam_power=power, foam_power_sd=sd), [], [told]


def aged(base: Base, swatches: Sequence[Swatch], typed: Typed) -> tuple[Base | None, list[str], list[str]]:
    """The base with its own browning: first swatch fresh, second aged, of one tone with vanillin in it.

    Returns the base, the answers to what was wrong, what she should know.
    """
    form = Form(typed)
    vanillin = form.wanted("vanillin", "Vanillin in the portion", "%", 0.0001, 100)
    weeks = form.wanted("weeks", "Weeks between the two", "weeks", 1, 520)
    if len(swatches) != 2:
        form.answers.append(f"Two swatches are wanted, first fresh, then aged; there are {len(swatches)}.")
    if form.answers:
        return None, form.answers, []
    rate = form.tried(lambda: fit_browning(swatches[0].R, swatches[1].R, vanillin, weeks), "Browning")
    if rate == 0:
        form.answers.append(
            "The second swatch is no browner than the first; the first must be the fresh one."
        )
    if not rate:
        return None, form.answers, []
    thumb = figure("tint", "brown_rate")
    told = (
        f"Browning {rate:.1f} per percent of vanillin takes the place of the rule of thumb "
        f"({thumb.value:g}, {thumb.low:g} to {thumb.high:g})."
    )
    return replace(base, brown_rate=min(rate, 1000.0)), [], [told]


def history(item: Pigment | Base) -> list[str]:
    """The calibrations of an item, newest first, as sentences."""
    said = []
    for step in reversed(item.calibrations):
        day = step.on.isoformat() if step.on else "before"
        lot = f" · lot {step.lot}" if step.lot else ""
        doubt = f" · strength within {100 * step.strength_sd:.0f} %" if isinstance(item, Pigment) else ""
        said.append(f"{day}{lot} · {step.how}{doubt}")
    return said


def suggestions(saved: Iterable[store.Entry], shelf: Shelf) -> tuple[Suggestion, ...]:
    """The swatches that would narrow her saved cards most."""
    return calibrate_next([entry.design for entry in saved if entry.design and not entry.newer], shelf)
