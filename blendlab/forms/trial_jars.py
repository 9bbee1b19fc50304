"""Test jars of a tone: written into the design, and what they teach kept on the shelf."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from blendlab import store
from blendlab.codec import encode
from blendlab.errors import BlendlabError
from blendlab.forms.on_shelf import put
from blendlab.forms.targets import Target
from blendlab.recipe import Design, Tone, Trial
from blendlab.shelf import Base, Calibration, Pigment, Shelf
from blendlab.tint import Made, correct
from blendlab.tint.strength_correction import Corrected


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
    known, base = (
        {pigment.id: pigment for pigment in shelf.of("pigment")},
        shelf.today("base", design.base.id),
    )
    jars = [
        Made({dose.pigment.id: dose.pct for dose in trial.doses}, trial.lab, trial.error)
        for tone in design.tones
        for trial in tone.trials
        if trial.lab is not None and trial.doses and all(dose.pigment.id in known for dose in trial.doses)
    ]
    return correct(jars, tuple(known.values()), base) if jars and isinstance(base, Base) else None


def apply(found: Corrected, folder: store.Folder, shelf: Shelf, on: date) -> list[str]:
    """Put the corrected pigments on the shelf; what could not be saved, in words."""
    problems = []
    for name in found.factors:
        item = shelf.today("pigment", name)
        if isinstance(item, Pigment):
            problems.append(_put(found, item, folder, on))
    return [problem for problem in problems if problem]


def _put(found: Corrected, item: Pigment, folder: store.Folder, on: date) -> str:
    try:
        put(folder, _recorded(found.apply(item), item, on))
    except BlendlabError as problem:
        return str(problem)
    return ""


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
