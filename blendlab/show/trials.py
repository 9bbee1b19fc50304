"""Test jars of a tone: predicted beside measured, and what they teach of the strengths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from blendlab import store
from blendlab.codec import encode
from blendlab.errors import BlendlabError
from blendlab.facts.read import figure
from blendlab.forms.swatches import keep
from blendlab.recipe import Design, Dose, Tone, Trial
from blendlab.shelf import Base, Calibration, Pigment, Shelf
from blendlab.show.mixes import Target, hex_of
from blendlab.tint import Made, correct, delta_e_2000, mix
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
    lab = _predicted(trial.doses, base, shelf)
    names = [f"{digits(dose.pct)} % {_name(dose, shelf)}" for dose in trial.doses]
    apart = None if lab is None or trial.lab is None else float(delta_e_2000(lab, trial.lab))
    day = trial.on.isoformat() if trial.on else "no date"
    said = [day, " with ".join(names) or "no pigment", trial.verdict or "no verdict", trial.how, trial.note]
    return Shown(
        " · ".join(one for one in said if one),
        None if lab is None else hex_of(lab),
        None if trial.lab is None else hex_of(trial.lab),
        apart,
    )


def _name(dose: Dose, shelf: Shelf) -> str:
    return str(shelf.find(dose.pigment).name) if shelf.has(dose.pigment) else dose.pigment.id


def _predicted(doses: Sequence[Dose], base: Base, shelf: Shelf) -> np.ndarray | None:
    if not all(shelf.has(dose.pigment) for dose in doses):
        return None
    used = [shelf.find(dose.pigment) for dose in doses]
    shape = (len(used), len(base.k0))
    k, s = (np.reshape([getattr(one, name) for one in used], shape) for name in ("k", "s"))
    return lab_of(mix([dose.pct for dose in doses], k, s, base.k0, base.s0)[2])


def made(tone: Tone, colour: Target | None, verdict: str, note: str, on: date) -> dict[str, Any]:
    """A test jar of the doses a tone has now, as plain values for the design."""
    return dict(
        encode(
            Trial(
                on=on,
                doses=tone.doses,
                lab=None if colour is None else colour.lab,
                error=0.0 if colour is None else colour.error,
                how="" if colour is None else colour.words,
                verdict=verdict,
                note=note,
            )
        )
    )


def lesson(design: Design, shelf: Shelf) -> Corrected | None:
    """What all measured test jars of a design teach of its pigments' strengths; None where none is measured.

    Pigments are taken as the shelf knows them today.
    """
    today = Shelf(shelf.items)
    jars = [
        Made({dose.pigment.id: dose.pct for dose in trial.doses}, trial.lab, trial.error)
        for tone in design.tones
        for trial in tone.trials
        if trial.lab is not None and trial.doses and all(today.has(dose.pigment) for dose in trial.doses)
    ]
    if not jars or not today.has(design.base):
        return None
    return correct(jars, tuple(today.of("pigment")), today.find(design.base))


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


def apply(found: Corrected, folder: store.Folder, shelf: Shelf, on: date) -> list[str]:
    """Put the corrected pigments on the shelf; what could not be saved, in words."""
    problems = []
    for name in found.factors:
        item = shelf.today("pigment", name)
        if isinstance(item, Pigment):
            try:
                problem = keep(folder, _recorded(found.apply(item), item, on))
            except BlendlabError as told:
                problem = str(told)
            problems += [problem] if problem else []
    return problems


def _recorded(corrected: Pigment, before: Pigment, on: date) -> Pigment:
    """The corrected pigment with the correction in its history."""
    first = Calibration(
        on=None, how=before.basis[:300], k=before.k, s=before.s, strength_sd=before.strength_sd
    )
    step = Calibration(
        on=on,
        lot=before.lot,
        how="strength corrected by test jars",
        k=corrected.k,
        s=corrected.s,
        strength_sd=corrected.strength_sd,
    )
    return replace(corrected, calibrations=(*(before.calibrations or (first,)), step))
