"""Findings on two tones of one jar: alike, meeting, hard to tell for some eyes, closer under some lamp."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from blendlab.errors import Finding
from blendlab.facts.read import figure
from blendlab.recipe import EYES, Tone
from blendlab.tint import inconstancy
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.kubelka_munk import mix
from blendlab.tint.look import Look
from blendlab.tint.seen_colour import see
from blendlab.tint.spectra import lab_of

_FACTORS = np.exp(np.arange(-30, 21) / 10.0)
_BOTH = 0.3
"""Factors on the doses of a tone that are tried for a clearer pair; moving both counts this much more."""


def pair_findings(look: Look) -> Iterator[Finding]:
    """Everything said of two tones of the design."""
    for first, other in look.pairs():
        apart = float(delta_e_2000(*(lab_of(look.tints[tone.id].R) for tone in (first, other))))
        yield from _alike(look, first, other, apart)
        if apart >= figure("tint", "near").value:
            yield from _eyes(look, first, other, apart)
            yield from _lamps(look, first, other)
    yield from _inconstant(look)


def _alike(look: Look, first: Tone, other: Tone, apart: float) -> Iterator[Finding]:
    where = f"look.tones.{other.id}"
    if apart < figure("tint", "alike").value:
        yield Finding(
            "caution",
            f"tint.alike.{first.id}",
            where,
            f"{first.name} and {other.name} are expected to lie Delta E {apart:.1f} apart; "
            "their border will hardly show.",
            "Make one of them paler or deeper.",
            figure("tint", "alike").source,
        )
        return
    near = figure("tint", "near")
    meeting = float(np.mean(delta_e_2000(look.tried[first.id], look.tried[other.id]) < near.value))
    if meeting > figure("tint", "meeting").value:
        yield Finding(
            "caution",
            f"tint.meet.{first.id}",
            where,
            f"{first.name} and {other.name} may meet: predicted Delta E {apart:.1f}, "
            f"but below {near.value:.0f} in {meeting:.0%} of the trials over pigment strength.",
            "Set them further apart, or measure their pigments.",
            near.source,
        )


@dataclass(frozen=True)
class Clarity:
    """How two tones, or many [...], part for every eye.

    by_eye     eye -> CIEDE2000 [...]
    lightness  difference of L* for the usual eye [...]
    """

    by_eye: Mapping[str, Array]
    lightness: Array

    @property
    def least(self) -> Array:
        """Smallest CIEDE2000 over the eyes [...]."""
        return np.asarray(np.min(list(self.by_eye.values()), axis=0))

    @property
    def passes(self) -> Array:
        """Clear to every eye, by colour or by lightness alone [..., bool]."""
        by_colour = self.least >= figure("tint", "eyes_clear").value
        return np.asarray(by_colour | (self.lightness >= figure("tint", "eye_lightness").value))


def clarity(first_R: Array, second_R: Array) -> Clarity:
    """How tones part for every eye: the two-tone rule of a jar.

    first_R, second_R  reflectance [..., 31]

    Source: common practice; eyes after Machado, Oliveira, Fernandes 2009, nothing left of the cone.

    >>> bool(clarity(np.full(31, 0.8), np.full(31, 0.5)).passes)
    True
    """
    by_eye = {eye: delta_e_2000(see(first_R, eye=eye).lab, see(second_R, eye=eye).lab) for eye in EYES}
    return Clarity(by_eye, np.abs(lab_of(first_R)[..., 0] - lab_of(second_R)[..., 0]))


def _eyes(look: Look, first: Tone, other: Tone, apart: float) -> Iterator[Finding]:
    found = clarity(look.tints[first.id].R, look.tints[other.id].R)
    if found.passes:
        return
    eye = min(found.by_eye, key=found.by_eye.__getitem__)
    whom = "" if eye == "usual" else f", for an eye {EYES[eye]} by {found.by_eye[eye]:.1f}"
    act, words, button = clearer(look, first, other) or (None, _LIGHTNESS, "")
    yield Finding(
        "caution" if found.least < figure("tint", "eye_apart").value else "note",
        f"tint.eyes.{first.id}",
        f"look.tones.{other.id}",
        f"{first.name} and {other.name} differ by Delta E {apart:.1f}{whom}; "
        f"their lightness differs by {found.lightness:.0f}.",
        words,
        figure("tint", "eyes_clear").source,
        act,
        button,
    )


_LIGHTNESS = "A difference in lightness is seen by every eye; name the tones on the label too."


def clearer(look: Look, first: Tone, other: Tone) -> tuple[dict[str, float], str, str] | None:
    """The smallest change of the doses of one tone, or else of both, after which every eye parts the two.

    Returns the changes of the design, the advice and the words of its button; None when no change within
    the caps does it.
    """
    ours, theirs = _steps(look, first), _steps(look, other)
    away = np.abs(np.log(ours.factors))[:, None] + np.abs(np.log(theirs.factors))
    away += _BOTH * ((ours.factors != 1)[:, None] & (theirs.factors != 1))
    passes = clarity(ours.R[:, None], theirs.R).passes
    if not passes.any():
        return None
    at = np.unravel_index(int(np.argmin(np.where(passes, away, np.inf))), away.shape)
    changes: dict[str, float] = {}
    said = []
    for tone, steps, index in ((first, ours, at[0]), (other, theirs, at[1])):
        factor, c = float(steps.factors[index]), steps.c[index]
        if factor != 1:
            position = [dosed.id for dosed in look.resolved.tones].index(tone.id)
            for dose, pct in zip(look.dosed(tone).doses, c, strict=True):
                changes[f"tones.{position}.doses.{dose.at}.pct"] = float(pct)
            said.append(f"{tone.name} {'paler' if factor < 1 else 'deeper'}, {c.sum():.3g} % pigment")
    words = "Make " + " and ".join(said)
    return changes, f"{words} of the portion.", words


@dataclass(frozen=True, eq=False)
class _Steps:
    """Factors [n] on the doses of one tone within its caps, its doses [n, pigments], reflectance [n, 31]."""

    factors: Array
    c: Array
    R: Array


def _steps(look: Look, tone: Tone) -> _Steps:
    recipe = look.recipes[tone.id]
    factors = _FACTORS if recipe.c.any() else np.ones(1)
    caps = np.array([pigment.cap_pct for pigment in look.dosed(tone).pigments])
    c = np.where((factors == 1)[:, None], recipe.c, np.round(recipe.c * factors[:, None], 3))
    fits = np.all(c <= caps, axis=1) & (c.sum(axis=1) <= figure("tint", "solids_cap").value) | (factors == 1)
    c = c[fits]
    return _Steps(factors[fits], c, mix(c, recipe.k, recipe.s, recipe.k0, recipe.s0)[2])


def _lamps(look: Look, first: Tone, other: Tone) -> Iterator[Finding]:
    apart = inconstancy.contrast(look.tints[first.id].R, look.tints[other.id].R)
    lamp = min(apart, key=apart.__getitem__)
    if apart[lamp] < figure("tint", "near").value:
        yield Finding(
            "caution",
            f"tint.lamp.{first.id}",
            f"look.tones.{other.id}",
            f"{first.name} and {other.name} come closer {inconstancy.UNDER[lamp]}: "
            f"Delta E {apart[lamp]:.1f}, in daylight {apart['D65']:.1f}.",
            "Look at both tones under that lamp before you sell under it.",
            figure("tint", "near").source,
        )


def _inconstant(look: Look) -> Iterator[Finding]:
    """The one tone that changes most from lamp to lamp."""
    changes = [
        (change, lamp, tone)
        for tone in look.resolved.design.tones
        for lamp, change in inconstancy.inconstancy(look.tints[tone.id].R).items()
    ]
    change, lamp, tone = max(changes, key=lambda each: each[0])
    if change >= figure("tint", "lamp_change").value:
        yield Finding(
            "note",
            "tint.lamp",
            f"look.tones.{tone.id}",
            f"{tone.name} changes by Delta E {change:.1f} {inconstancy.UNDER[lamp]}.",
            "Look at it under the lamp it is sold under.",
            figure("tint", "lamp_change").source,
        )
