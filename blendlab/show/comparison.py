"""What is different between designs, in words and in Delta E."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from blendlab import jar, tint
from blendlab.assess import Assessment
from blendlab.shelf import Shelf
from blendlab.show.pictures import drawable

ALIKE = 0.05
"""CIEDE2000 below which two colours are one: it would be shown as 0.0."""


def differences(judged: Sequence[tuple[Assessment, Shelf]]) -> list[tuple[str, list[str]]]:
    """What is not the same in all designs: name of the thing, then a word or figure for each design."""
    rows = [(name, [tell(one, shelf) for one, shelf in judged]) for name, tell in _FACTS]
    for place in range(max(len(one.tones) for one, _ in judged)):
        rows.append((f"Tone {place + 1}", [_tone(one, shelf, place) for one, shelf in judged]))
    return [(name, values) for name, values in rows if len(set(values)) > 1]


def _tone(assessed: Assessment, shelf: Shelf, place: int) -> str:
    if place >= len(assessed.tones):
        return "none"
    each = assessed.tones[place]
    doses = " + ".join(
        f"{shelf.find(dose.pigment).name} {dose.pct:g} %"
        for dose in each.tone.doses
        if shelf.has(dose.pigment)
    )
    return f"{each.tone.name} {each.tone.share_pct:g} %, {each.seen.hex}, {doses or 'no pigment'}"


def _arrangement(assessed: Assessment, _: Shelf) -> str:
    now = assessed.design.arrangement
    return jar.RULES[now.kind].told(now)


def _top(assessed: Assessment, shelf: Shelf) -> str:
    top = assessed.design.top
    dust = (
        f", dusted with {shelf.find(top.dust.pigment).name}"
        if top.dust and shelf.has(top.dust.pigment)
        else ""
    )
    return f"{top.kind}{f' {top.points} points' if top.kind == 'star' else ''}{dust}"


def _net(assessed: Assessment, _: Shelf) -> str:
    layout = drawable(assessed)
    if layout.net_range_g is None:
        return f"{layout.net_g:.0f} g"
    return f"{layout.net_range_g[0]:.0f} to {layout.net_range_g[1]:.0f} g"


def _findings(assessed: Assessment, _: Shelf) -> str:
    return f"{assessed.count('stop')} stop, {assessed.count('caution')} caution"


_FACTS: tuple[tuple[str, Callable[[Assessment, Shelf], str]], ...] = (
    ("Arrangement", _arrangement),
    ("Top", _top),
    ("Jar", lambda one, _: drawable(one).jar.name),
    ("Net weight", _net),
    ("Weeks on the shelf", lambda one, _: f"{one.design.weeks:g}"),
    ("Scent, percent of the finished product", lambda one, _: f"{one.design.scent.load_pct:g} %"),
    ("Findings", _findings),
)


def closest_tones(
    judged: Sequence[tuple[Assessment, Shelf]], names: Sequence[str]
) -> list[tuple[str, float]]:
    """Tones of the first design against those in the same place of each other one, in CIEDE2000.

    names  of the designs; tones that are the same colour are left out
    """
    first = judged[0][0]
    found = []
    for (other, _), name in zip(judged[1:], names[1:], strict=True):
        for one, two in zip(first.tones, other.tones, strict=False):
            apart = float(tint.delta_e_2000(one.seen.lab, two.seen.lab))
            if apart >= ALIKE:
                found.append((f"{one.tone.name} and {two.tone.name} of {name}", apart))
    return found
