"""A map of the colours that the shelf reaches round a wanted one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from blendlab.forms.targets import Target, hex_of
from blendlab.shelf import Base, Pigment
from blendlab.show.mixes import taken_doses
from blendlab.tint import see
from blendlab.tint.gamut_map import Cell, reach
from blendlab.tint.measured_items import base_reflectance
from blendlab.tint.spectra import lab_of
from blendlab.tint.words import words as colour_words
from blendlab.units import digits


@dataclass(frozen=True)
class Place:
    """One swatch of the map: hex, words with its Delta E from that place, doses to take."""

    hex: str
    words: str
    delta_e: float
    doses: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class Map:
    """The map as far as it is done (0 to 1): rows of places from light to dark, and the nearest place."""

    done: float
    rows: tuple[tuple[Place, ...], ...]
    nearest: Place


def reached(wanted: Target, base: Base, pigments: Iterable[Pigment]) -> Iterator[Map]:
    """The map round a colour, in chunks; each time a share more is done."""
    shelf = tuple(pigments)
    known = {pigment.id: pigment for pigment in shelf}
    for step in reach(wanted.lab, shelf, base):
        rows: dict[float, list[Place]] = {}
        for cell in step.cells:
            rows.setdefault(cell.light_step, []).append(_place(cell, known))
        yield Map(step.done, tuple(map(tuple, rows.values())), _place(step.nearest, known))


def _place(cell: Cell, known: Mapping[str, Pigment]) -> Place:
    parts = [f"{digits(pct)} % {known[name].name}" for name, pct in cell.doses.items()] or ["no pigment"]
    said = f"{colour_words(cell.lab.tolist())}: {' with '.join(parts)}"
    return Place(hex_of(cell.lab), said, cell.delta_e00, taken_doses(cell.doses, known))


def base_seen(base: Base) -> tuple[str, str]:
    """Hex and words of the undyed base, to hold her base jar beside the screen."""
    R = base_reflectance(base)
    lab = ", ".join(f"{part:.1f}" for part in lab_of(R))
    return see(R).hex, f"{base.name}: L*a*b* {lab} ({base.known})"
