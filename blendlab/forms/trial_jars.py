"""Test jars of a tone: written into the design, and what they teach kept on the shelf."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from blendlab import store
from blendlab.codec import encode
from blendlab.errors import BlendlabError
from blendlab.forms.on_shelf import save
from blendlab.forms.targets import Target
from blendlab.recipe import Design, Tone, Trial
from blendlab.shelf import Calibration, Pigment, Shelf
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


def apply(found: Corrected, folder: store.Folder, shelf: Shelf, on: date) -> list[str]:
    """Put the corrected pigments on the shelf; what could not be saved, in words."""
    problems = []
    for name in found.factors:
        item = shelf.today("pigment", name)
        if isinstance(item, Pigment):
            try:
                problem = save(folder, _recorded(found.apply(item), item, on))
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
