"""Test jars of a tone in words and colours: predicted beside measured, and what they teach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blendlab.facts.read import figure
from blendlab.forms.targets import hex_of
from blendlab.recipe import Trial
from blendlab.shelf import Base, Pigment, Shelf
from blendlab.tint import delta_e_2000, mix
from blendlab.tint.spectra import lab_of
from blendlab.tint.strength_correction import Corrected
from blendlab.units import digits


@dataclass(frozen=True)
class Shown:
    """One test jar: words, hex predicted and measured (None = not known), Delta E between them."""

    words: str
    predicted: str | None
    measured: str | None
    apart: float | None


def shown(trial: Trial, base: Base, shelf: Shelf) -> Shown:
    """A test jar with today's prediction for its own percents."""
    used = [shelf.find(dose.pigment) if shelf.has(dose.pigment) else None for dose in trial.doses]
    percents = [dose.pct for dose in trial.doses]
    names = [
        f"{digits(dose.pct)} % {pigment.name if pigment else dose.pigment.id}"
        for dose, pigment in zip(trial.doses, used, strict=True)
    ]
    lab = None if None in used else _predicted(percents, [pigment for pigment in used if pigment], base)
    apart = None if lab is None or trial.lab is None else float(delta_e_2000(lab, trial.lab))
    day = trial.on.isoformat() if trial.on else "no date"
    said = [day, " with ".join(names) or "no pigment", trial.verdict or "no verdict", trial.how, trial.note]
    return Shown(
        " · ".join(word for word in said if word),
        None if lab is None else hex_of(lab),
        None if trial.lab is None else hex_of(trial.lab),
        apart,
    )


def _predicted(percents: Sequence[float], pigments: Sequence[Pigment], base: Base) -> np.ndarray:
    shape = (len(pigments), len(base.k0))
    k, s = (np.reshape([getattr(pigment, name) for pigment in pigments], shape) for name in ("k", "s"))
    return lab_of(mix(percents, k, s, base.k0, base.s0)[2])


def lesson_words(found: Corrected, shelf: Shelf) -> list[str]:
    """What would be corrected, as sentences with their numbers."""
    said = []
    for name, factor in found.factors.items():
        item = shelf.today("pigment", name)
        within = f"then known within {100 * found.sd[name]:.0f} %"
        told = f"{item.name if item else name}: strength x {factor:.2f}, {within}"
        said.append(told + (" (held back; it wants a swatch of its own)." if name in found.at_bound else "."))
    before, after = (float(np.mean(each)) for each in (found.before, found.after))
    said.append(f"The test jars lie Delta E {before:.1f} from their predictions now, {after:.1f} afterwards.")
    if after > figure("tint", "few_tell").value:
        said.append("What is left is no matter of strength: another hue, another whip, or a wrong dose.")
    return said
