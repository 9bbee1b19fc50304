"""What an unwise look is told: findings on doses, pH, likeness, screen, wall and time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import floor

import numpy as np

from blendlab.errors import Finding, worst_first
from blendlab.facts.palette import PEARLS
from blendlab.facts.tint import constant, source
from blendlab.recipe import Design, Tone
from blendlab.shelf import Base, Pigment, Shelf
from blendlab.tint.browned import browning_findings
from blendlab.tint.chemistry import bleed_findings, ph_findings
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.figures import Array
from blendlab.tint.law import law_findings, places
from blendlab.tint.prediction import Tint, portions
from blendlab.tint.seeing import see
from blendlab.tint.uncertainty import lab_of, trials
from blendlab.tint.vision import EYES


@dataclass(frozen=True)
class _Look:
    design: Design
    shelf: Shelf
    tints: Mapping[str, Tint]

    @cached_property
    def base(self) -> Base:
        found: Base = self.shelf.find(self.design.base)
        return found

    def pigments(self, tone: Tone) -> list[Pigment]:
        return [self.shelf.find(dose.pigment) for dose in tone.doses]

    def pairs(self) -> Iterator[tuple[Tone, Tone]]:
        yield from combinations(self.design.tones, 2)


def findings(
    design: Design, shelf: Shelf, tints: Mapping[str, Tint], vanillin_pct: float | None = None
) -> tuple[Finding, ...]:
    """Everything the look of a design is told, worst first.

    tints         of `predict`, by tone id
    vanillin_pct  vanillin in the finished portion [%]; None = unknown, which is said when there
                  is a scent

    Raises UnknownName when something the design uses is not on the shelf.
    """
    look = _Look(design, shelf, tints)
    gathered: list[Finding] = []
    for position, tone in enumerate(design.tones):
        gathered += _doses(position, tone, look.pigments(tone))
        gathered += ph_findings(tone, look.pigments(tone), look.base)
        gathered += _screen(tone, tints[tone.id])
    gathered += law_findings(design, shelf)
    gathered += _alike(look)
    gathered += _eyes(look)
    gathered += bleed_findings(design, shelf)
    gathered += browning_findings(design, shelf, vanillin_pct)
    gathered += _estimates(look)
    gathered += _sheen(look)
    gathered += _wall(look)
    return worst_first(gathered)


def _doses(position: int, tone: Tone, pigments: Sequence[Pigment]) -> Iterator[Finding]:
    everything = list(range(len(pigments)))
    yield from _too_much(
        position, tone, everything, constant("solids_cap"), "solids", "pigment in all", source("solids_cap")
    )
    for pigment in {one.rev: one for one in pigments}.values():
        same = [at for at in everything if pigments[at].rev == pigment.rev]
        why = "cap of this pigment on the shelf; starter caps are common practice"
        yield from _too_much(position, tone, same, pigment.cap_pct, f"cap.{pigment.id}", pigment.name, why)
    micas = [at for at in everything if pigments[at].group in PEARLS]
    if len({pigments[at].rev for at in micas}) > 1 or any(
        pigments[at].cap_pct > constant("mica_cap") for at in micas
    ):
        yield from _too_much(
            position, tone, micas, constant("mica_cap"), "micas", "mica in all", source("mica_cap")
        )


def _too_much(
    position: int, tone: Tone, doses: Sequence[int], most: float, name: str, words: str, why: str
) -> Iterator[Finding]:
    total = sum(tone.doses[at].pct for at in doses)
    if total <= most + 1e-9:
        return
    lowered = {
        f"tones.{position}.doses.{at}.pct": floor(tone.doses[at].pct * most / total * 100 + 1e-6) / 100
        for at in doses
    }
    yield Finding(
        "caution",
        f"tint.{name}",
        f"look.tones.{tone.id}",
        f"{tone.name} holds {total:.2f} % {words}; the most in use is {most:.2f} % of the portion.",
        f"Lower to {most:.2f} % of the portion.",
        why,
        lowered,
        f"Lower to {most:.2f} %",
    )


def _screen(tone: Tone, tint: Tint) -> Iterator[Finding]:
    if not see(tint.R).in_gamut:
        yield Finding(
            "note",
            "tint.screen",
            f"look.tones.{tone.id}",
            f"{tone.name} is deeper than this screen can show; it is drawn duller than it will be.",
            "Judge it by a swatch.",
            "sRGB, IEC 61966-2-1",
        )


def _alike(look: _Look) -> Iterator[Finding]:
    tried = _TrialLabs(look)
    for one, other in look.pairs():
        apart = float(delta_e_2000(*(lab_of(look.tints[tone.id].R) for tone in (one, other))))
        where = f"look.tones.{other.id}"
        if apart < constant("alike"):
            yield Finding(
                "caution",
                f"tint.alike.{one.id}",
                where,
                f"{one.name} and {other.name} differ by Delta E {apart:.1f}; nobody will see a border.",
                "Make one of them paler or deeper.",
                source("alike"),
            )
            continue
        meeting = float(np.mean(delta_e_2000(tried[one.id], tried[other.id]) < constant("near")))
        if meeting > 0.1:
            yield Finding(
                "caution",
                f"tint.meet.{one.id}",
                where,
                f"{one.name} and {other.name} may meet: predicted Delta E {apart:.1f}, "
                f"but below {constant('near'):.0f} in {meeting:.0%} of the trials over pigment strength.",
                "Set them further apart, or measure their pigments.",
                source("near"),
            )


class _TrialLabs:
    """Lab [trials, 3] of each tone, worked out for a design of two tones or more."""

    def __init__(self, look: _Look) -> None:
        made = portions(look.design, look.shelf) if len(look.design.tones) > 1 else ()
        self._labs = {portion.tone: lab_of(trials(portion)) for portion in made}

    def __getitem__(self, tone: str) -> Array:
        return self._labs[tone]


def _eyes(look: _Look) -> Iterator[Finding]:
    for one, other in look.pairs():
        first, second = (look.tints[tone.id].R for tone in (one, other))
        usual = float(delta_e_2000(see(first).lab, see(second).lab))
        for eye in [eye for eye in EYES if eye != "usual"]:
            a, b = see(first, eye=eye).lab, see(second, eye=eye).lab
            apart = float(delta_e_2000(a, b))
            clear = apart >= constant("eye_apart") or abs(a[0] - b[0]) >= constant("eye_lightness")
            if usual >= constant("near") and not clear:
                yield Finding(
                    "note",
                    f"tint.eye.{eye}.{one.id}",
                    f"look.tones.{other.id}",
                    f"{one.name} and {other.name} differ by Delta E {usual:.1f}, "
                    f"for an eye {EYES[eye]} by {apart:.1f}.",
                    "A difference in lightness is seen by every eye.",
                    source("eye_apart"),
                )


def _estimates(look: _Look) -> Iterator[Finding]:
    found = (one for _, one in places(look.design, look.shelf))
    names = [one.name for one in found if one.known == "estimate"]
    if look.base.known == "estimate":
        names.append(f"the base ({look.base.name})")
    if names:
        yield Finding(
            "note",
            "tint.estimate",
            "look.tones",
            f"From published data for this kind: {', '.join(names)}. "
            "Strength may be off by a factor of 2 to 3.",
            "Your lot may differ; add a swatch.",
            source("strength_factor"),
        )


def _sheen(look: _Look) -> Iterator[Finding]:
    for tone in look.design.tones:
        micas = [one for one in look.pigments(tone) if one.group in PEARLS]
        if micas:
            words = ", ".join(f"{one.name} ({one.sheen})" if one.sheen else one.name for one in micas)
            yield Finding(
                "note",
                "tint.sheen",
                f"look.tones.{tone.id}",
                f"Sheen is not predicted: {words}. In a white foam it adds little, over a dark tone more.",
                "Look at a swatch under a moving lamp.",
                "common practice",
            )


def _wall(look: _Look) -> Iterator[Finding]:
    jar = look.shelf.find(look.design.jar)
    if jar.wall_contact is None:
        yield Finding(
            "note",
            "tint.wall",
            "look.jar",
            f"How far the wall of {jar.name} is wetted is unknown; it is drawn as an open surface. "
            "A wetted wall looks deeper, by Delta E 2 to 5 and more.",
            "Fit it from a photo of a filled jar.",
            source("wall_k2"),
        )
