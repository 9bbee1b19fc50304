"""Text of an instrument to spectra: columns of wavelength and value, or CGATS tables."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from blendlab.errors import Ambiguous, BlendlabError
from blendlab.tint.arrays import Array
from blendlab.tint.spectra import WAVELENGTHS, on_grid
from blendlab.units import read_number

SCALES = {"percent": "percent, 0 to 100", "share": "shares, 0 to 1"}
"""How reflectance is written -> its words."""
GEOMETRIES = {"sphere": "sphere, such as d/8", "ring": "ring or 45/0", "unknown": "not known"}
"""Geometry of the instrument -> its words."""

_MOST_TEXT = 200_000
_END_GAP, _WIDEST_STEP = 20.0, 20.0
_LOWEST, _HIGHEST = -0.02, 1.2
_NAMED_BAND = re.compile(
    r"(?:spectral_?|spec_?|nm_?|r_?)(?:nm_?)?(?:pct_?|dec_?)?([0-9]{3,4})", re.IGNORECASE
)


class BadReading(BlendlabError, ValueError):
    """Text that is no spectrum that can be used; the sentence says why."""


@dataclass(frozen=True, eq=False)
class Reading:
    """One spectrum as an instrument wrote it.

    name   of the sample, or ""
    R      reflectance [31] on the grid, 0 to 1
    scale  of `SCALES`, as recognised or as told; she confirms it
    notes  what was done to it, in words
    """

    name: str
    R: Array
    scale: str
    notes: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The scale that was recognised with the value it was recognised by."""
        top = self.R.max() * (100 if self.scale == "percent" else 1)
        return f"Read as {SCALES[self.scale]}: highest value {top:.3g}."


def read_spectra(text: str, scale: str | None = None) -> tuple[Reading, ...]:
    r"""Spectra in a text: two columns (or one column a sample), or a CGATS table.

    scale  of `SCALES`; None = recognised: a value above 1.5 means percent

    Raises BadReading with what is wrong and in which line.

    >>> read_spectra("400 45,5\n550 60\n700 80.0")[0].words
    'Read as percent, 0 to 100: highest value 80.'
    """
    if len(text) > _MOST_TEXT:
        raise BadReading(f"The text has {len(text)} characters; a spectrum has less than {_MOST_TEXT}.")
    lines = [line.strip() for line in text.replace("\ufeff", "").splitlines()]
    if not any(lines):
        raise BadReading("The text is empty.")
    table = any(line.upper().startswith("BEGIN_DATA") for line in lines)
    samples = list(_cgats(lines)) if table else list(_columns(lines))
    return tuple(_reading(name, nm, values, scale) for name, nm, values in samples)


Sample = tuple[str, list[float], list[float]]


def _columns(lines: Sequence[str]) -> list[Sample]:
    split = _splitter(lines)
    rows: list[list[float]] = []
    names: list[str] = []
    for at, line in enumerate(lines, start=1):
        cells = [cell for cell in split(line) if cell]
        if not cells or line.startswith("#"):
            continue
        if not rows and not re.match(r"[-+]?[0-9]", cells[0].strip('"')):
            names = [cell.strip('"') for cell in cells[1:]]
            continue
        rows.append([_figure(cell, at, first=not position) for position, cell in enumerate(cells)])
        if len(rows[-1]) != len(rows[0]) or len(rows[-1]) < 2:
            raise BadReading(
                f'Line {at} is "{line[:40]}"; a wavelength and a value a line are wanted, parted alike. '
                "With decimal commas part them with a semicolon, a tab or a space."
            )
    if not rows:
        raise BadReading("No line begins with a wavelength.")
    columns = list(map(list, zip(*rows, strict=True)))
    named = names if len(names) == len(columns) - 1 else [""] * (len(columns) - 1)
    return [(name, columns[0], values) for name, values in zip(named, columns[1:], strict=True)]


def _splitter(lines: Sequence[str]) -> Callable[[str], list[str]]:
    """How the cells of a line are parted: semicolon, tab, blank, else comma."""
    body = [line for line in lines if line[:1].isdigit()]
    for mark in (";", "\t"):
        if any(mark in line for line in body):
            return lambda line: [cell.strip() for cell in line.split(mark)]
    if any(re.search(r"[0-9] +[-+.0-9]", line) for line in body):
        return str.split
    if body and all(line.count(",") > 1 and "." not in line for line in body):
        raise BadReading(
            f'In "{body[0][:40]}" a comma may part columns or decimals. '
            "Part the columns with a semicolon, a tab or a space."
        )
    return lambda line: [cell.strip() for cell in line.split(",")]


def _figure(cell: str, line: int, first: bool = False) -> float:
    low, high = (200.0, 2500.0) if first else (-10.0, 200.0)
    try:
        return read_number(cell.strip('"').removesuffix("nm").strip(), "", low, high)
    except Ambiguous as problem:
        raise BadReading(f"Line {line}: {problem}") from None
    except BlendlabError:
        what = "wavelength in nm" if first else "reflectance"
        raise BadReading(f'Line {line}: "{cell[:20]}" is no {what} between {low:g} and {high:g}.') from None


def _cgats(lines: Sequence[str]) -> list[Sample]:
    head = " ".join(_between(lines, "BEGIN_DATA_FORMAT", "END_DATA_FORMAT")).split()
    bands = {at: float(found[1]) for at, name in enumerate(head) if (found := _NAMED_BAND.fullmatch(name))}
    if not bands:
        raise BadReading("The table names no spectral columns, such as SPECTRAL_NM400; export it as spectra.")
    upper = [name.upper() for name in head]
    label = next((upper.index(name) for name in ("SAMPLE_NAME", "SAMPLE_ID") if name in upper), None)
    samples = []
    for row, line in enumerate(_between(lines, "BEGIN_DATA", "END_DATA"), start=1):
        try:
            cells = shlex.split(line.replace("'", "\u2019"))
        except ValueError:
            raise BadReading(f"Row {row} of the table has an open quotation mark.") from None
        if not cells:
            continue
        if len(cells) != len(head):
            raise BadReading(f"Row {row} of the table has {len(cells)} cells; its format names {len(head)}.")
        values = [_figure(cells[at], row) for at in bands]
        samples.append((cells[label] if label is not None else "", list(bands.values()), values))
    if not samples:
        raise BadReading("The table holds no row of data.")
    return samples


def _between(lines: Sequence[str], first: str, last: str) -> list[str]:
    upper = [line.upper().split("#")[0].strip() for line in lines]
    if first not in upper or last not in upper:
        raise BadReading(f"The table lacks its line {first if first not in upper else last}.")
    return list(lines[upper.index(first) + 1 : upper.index(last)])


def _reading(name: str, nm: Sequence[float], values: Sequence[float], scale: str | None) -> Reading:
    order = np.argsort(nm, kind="stable")
    at, value = np.asarray(nm, dtype=float)[order], np.asarray(values, dtype=float)[order]
    of = f' of "{name}"' if name else ""
    if len(at) < 3:
        raise BadReading(f"The spectrum{of} has {len(at)} values; at least 3 from 400 to 700 nm are wanted.")
    gaps = np.diff(at)
    if gaps.min() <= 0:
        raise BadReading(f"The spectrum{of} names {at[int(np.argmin(gaps))]:g} nm twice.")
    low, high = WAVELENGTHS[0], WAVELENGTHS[-1]
    if at[0] > low + _END_GAP or at[-1] < high - _END_GAP:
        raise BadReading(
            f"The spectrum{of} runs from {at[0]:g} to {at[-1]:g} nm; {low:g} to {high:g} is wanted."
        )
    kind = scale or ("percent" if value.max() > 1.5 else "share")
    R = on_grid(value, at) / (100.0 if kind == "percent" else 1.0)
    if R.min() < _LOWEST or R.max() > _HIGHEST:
        raise BadReading(
            f"The spectrum{of}, read as {SCALES[kind]}, goes from {R.min():.3g} to {R.max():.3g}; "
            f"a swatch lies between 0 and {_HIGHEST:g}."
        )
    return Reading(name, np.clip(R, 0.0, 1.0), kind, tuple(_notes(at, gaps, R)))


def _notes(at: Array, gaps: Array, R: Array) -> list[str]:
    notes = []
    if at[0] > WAVELENGTHS[0] or at[-1] < WAVELENGTHS[-1]:
        notes.append(f"Measured from {at[0]:g} to {at[-1]:g} nm; beyond, its end values are held.")
    inside = gaps[(at[1:] > WAVELENGTHS[0]) & (at[:-1] < WAVELENGTHS[-1])]
    if inside.max() > _WIDEST_STEP:
        notes.append(f"Its steps are up to {inside.max():g} nm wide; narrow bands are smoothed.")
    if R.max() > 1.0 or R.min() < 0.0:
        notes.append("Values beyond 0 to 1 are held at the bound: check the white tile of the instrument.")
    if np.ptp(R) == 0:
        notes.append("Every value is the same; that is no swatch.")
    return notes
