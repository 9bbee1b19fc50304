"""What is different between designs, in words and in Delta E."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from blendlab import jar, tint
from blendlab.assess import Assessment
from blendlab.errors import LEVELS, counted
from blendlab.show.pictures import drawable, in_place

ALIKE = 0.05
"""CIEDE2000 below which two colours are one: it would be shown as 0.0."""


def differences(judged: Sequence[Assessment]) -> list[tuple[str, list[str]]]:
    """What is not the same in all designs: name of the thing, then a word or figure for each design."""
    rows = [(name, [tell(assessed) for assessed in judged]) for name, tell in _FACTS]
    for place in range(max(len(assessed.tones) for assessed in judged)):
        rows.append((f"Tone {place + 1}", [_tone(assessed, place) for assessed in judged]))
    return [(name, values) for name, values in rows if len(set(values)) > 1]


def _tone(assessed: Assessment, place: int) -> str:
    if place >= len(assessed.tones):
        return "none"
    judged, dosed = assessed.tones[place], in_place(assessed).tones[place]
    doses = " + ".join(f"{dose.pigment.name} {dose.pct:g} %" for dose in dosed.doses)
    return f"{judged.tone.name} {judged.tone.share_pct:g} %, {judged.seen.hex}, {doses or 'no pigment'}"


def _arrangement(assessed: Assessment) -> str:
    now = assessed.design.arrangement
    return jar.RULES[now.kind].told(now)


def _top(assessed: Assessment) -> str:
    top, dust = assessed.design.top, in_place(assessed).dust
    powder = f", dusted with {dust.name}" if dust else ""
    return f"{top.kind}{f' {top.points} points' if top.kind == 'star' else ''}{powder}"


def _net(assessed: Assessment) -> str:
    layout = drawable(assessed)
    if layout.net_range_g is None:
        return f"{layout.net_g:.0f} g"
    return f"{layout.net_range_g[0]:.0f} to {layout.net_range_g[1]:.0f} g"


def _findings(assessed: Assessment) -> str:
    return ", ".join(counted(assessed.count(level), level) for level in LEVELS[:2])


_FACTS: tuple[tuple[str, Callable[[Assessment], str]], ...] = (
    ("Arrangement", _arrangement),
    ("Top", _top),
    ("Jar", lambda assessed: drawable(assessed).jar.name),
    ("Net weight", _net),
    ("Weeks on the shelf", lambda assessed: f"{assessed.design.weeks:g}"),
    ("Scent, percent of the finished product", lambda assessed: f"{assessed.design.scent.load_pct:g} %"),
    ("Findings", _findings),
)


def closest_tones(judged: Sequence[Assessment], names: Sequence[str]) -> list[tuple[str, float]]:
    """Tones of the first design against those in the same place of each other one, in CIEDE2000.

    names  of the designs; tones that are the same colour are left out
    """
    found = []
    for other, name in zip(judged[1:], names[1:], strict=True):
        for tone, beside in zip(judged[0].tones, other.tones, strict=False):
            apart = float(tint.delta_e_2000(tone.seen.lab, beside.seen.lab))
            if apart >= ALIKE:
                found.append((f"{tone.tone.name} and {beside.tone.name} of {name}", apart))
    return found
