"""Grams inside, conversions at the door, the one number reader, the one rounding of grams."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from math import inf, isfinite

from blendlab.errors import Ambiguous, BadNumber, OutOfRange

TO_GRAMS = {"g": 1.0, "kg": 1000.0, "mg": 0.001, "oz": 28.349523125, "lb": 453.59237}
"""Grams in one unit of mass; exact by definition (NIST SP 811, appendix B)."""

TO_ML = {
    "ml": 1.0,
    "l": 1000.0,
    "fl oz": 29.5735295625,
    "gal_us": 3785.411784,
    "cup_us": 236.5882365,
    "tbsp_us": 14.78676478125,
    "tsp_us": 4.92892159375,
    "tbsp_metric": 15.0,
    "tsp_metric": 5.0,
    "gal_imp": 4546.09,
    "fl_oz_imp": 28.4130625,
}
"""Millilitres in one unit of volume. The US gallon is 231 cubic inches; fluid ounce, cup, tablespoon and
teaspoon are 1/128, 1/16, 1/256 and 1/768 of it (NIST SP 811, Handbook 44); metric spoons by convention;
the imperial gallon by definition, its fluid ounce 1/160 of it."""

TO_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
"""Millimetres in one unit of length; the inch by the agreement of 1959 (NIST SP 811)."""

_SPACES = re.compile(r"[\s\u00a0\u2009\u202f'\u2019]+")
_NUMBER = re.compile(r"([+-]?)([0-9.,]*[0-9][0-9.,]*)((?:[^0-9.,].*)?)")
_GROUPS = re.compile(r"([.,]?)([0-9]+)((?: [0-9]+)+)(?![0-9])")
_SIGNS = str.maketrans({"\u2212": "-", "\u066b": ".", "\u066c": ","})


def read_number(text: str, unit: str = "", low: float = -inf, high: float = inf) -> float:
    """A typed figure as a number in `unit`, between `low` and `high`.

    Takes comma and point, thin spaces, a percent sign and the unit itself; "2 oz" in a field of
    grams is converted.

    Raises Ambiguous where a comma or point stands before exactly three digits and both readings lie
    within the bounds, OutOfRange for a number outside them, BadNumber for anything else.

    >>> read_number("0,3", "%", 0, 100), read_number("0.3 %", "%", 0, 100)
    (0.3, 0.3)
    >>> read_number("1,234", "%", 0, 100)
    1.234
    >>> read_number("1,234", "g", 0, 5000)
    Traceback (most recent call last):
    blendlab.errors.Ambiguous: "1,234" can be 1.234 or 1234. Write 1234 or 1.2340.
    """
    spaced = _SPACES.sub(" ", text.strip().translate(_SIGNS))
    match = _NUMBER.fullmatch(spaced.replace(" ", ""))
    if not match or not all(_spaced_well(group) for group in _GROUPS.finditer(spaced)):
        raise BadNumber(text, unit)
    sign, digits, suffix = match.groups()
    factor = _factor(suffix, unit, text)
    readings = [float(sign + reading) * factor for reading in _readings(digits)]
    if not readings or not all(isfinite(reading) for reading in readings):
        raise BadNumber(text, unit)
    inside = [reading for reading in readings if low <= reading <= high]
    if not inside:
        raise OutOfRange("This", readings[0], low, high, unit)
    if len(inside) > 1:
        raise Ambiguous(text.strip(), tuple(inside))
    return inside[0]


def _spaced_well(group: re.Match[str]) -> bool:
    """Whether spaces between digits part thousands: "1 234" does, "12 5" does not."""
    mark, first, rest = group.groups()
    return not mark and len(first) <= 3 and first[0] != "0" and all(len(group) == 3 for group in rest.split())


def _factor(suffix: str, unit: str, text: str) -> float:
    given, wanted = _compact(suffix).rstrip("."), _compact(unit)
    if given in ("", wanted) or (given == "%" and wanted.startswith("%")):
        return 1.0
    for family in (TO_GRAMS, TO_ML):
        factors = {_compact(name): factor for name, factor in family.items()}
        if given in factors and wanted in factors:
            return factors[given] / factors[wanted]
    raise BadNumber(text, unit)


def _compact(unit: str) -> str:
    return unit.lower().replace(" ", "").replace("°", "")


def _readings(digits: str) -> list[str]:
    """Ways to read digits with separators, the decimal reading first; empty if there is none."""
    marks = [mark for mark in digits if mark in ",."]
    if not marks:
        return [digits]
    if len(set(marks)) == 2:
        last = marks[-1]
        whole, _, fraction = digits.rpartition(last)
        group = "," if last == "." else "."
        return [whole.replace(group, "") + "." + fraction] if _grouped(whole, group) else []
    mark = marks[0]
    if len(marks) > 1:
        return [digits.replace(mark, "")] if _grouped(digits, mark) else []
    decimal = digits.replace(mark, ".")
    thousands = [digits.replace(mark, "")] if _grouped(digits, mark) else []
    return [decimal, *thousands]


def _grouped(digits: str, mark: str) -> bool:
    escaped = re.escape(mark)
    return re.fullmatch(rf"[1-9][0-9]{{0,2}}({escaped}[0-9]{{3}})+", digits) is not None


def convert(value: float, unit: str, to: str) -> float:
    """A mass, a volume, a length or a temperature in another unit.

    Raises BadNumber for two units that do not fit.

    >>> round(convert(1, "oz", "g"), 6)
    28.349523
    """
    if unit == to:
        return value
    for family in (TO_GRAMS, TO_ML, TO_MM):
        if unit in family and to in family:
            return value * family[unit] / family[to]
    if (unit, to) == ("F", "C"):
        return (value - 32) / 1.8
    if (unit, to) == ("C", "F"):
        return value * 1.8 + 32
    raise BadNumber(f"{value:g} {unit}", to)


def degrees(heat: float, unit: str = "C") -> str:
    """A temperature [C] in words, in C or F; read back as it stands it is the same temperature.

    >>> degrees(45), degrees(45, "F"), degrees(36.7, "F")
    ('45 °C', '113 °F', '98.06 °F')
    """
    return f"{plain(convert(heat, 'C', unit), 2)} °{unit}"


def celsius(value: float, unit: str) -> float:
    """Degrees C of a temperature in C or F, exact for what `degrees` shows.

    >>> celsius(98.06, "F")
    36.7
    """
    return round(convert(value, unit, "C"), 6)


def in_degrees(text: str, heats: Sequence[float], unit: str) -> str:
    """A sentence with the temperatures it names in C or F.

    heats  temperatures [C] in the order of the text, as `degrees` writes them; others say nothing

    >>> in_degrees("Melt at 70 °C, never above 85 °C.", (70, 85), "F")
    'Melt at 158 °F, never above 185 °F.'
    """
    said, rest = "", text
    for heat in heats:
        before, there, after = rest.partition(degrees(heat))
        said, rest = (said + before + degrees(heat, unit), after) if there else (said, rest)
    return said + rest


def round_lines(
    grams: Sequence[float],
    steps: Sequence[float],
    protected: Sequence[bool] | None = None,
    ways: Sequence[str] | None = None,
    total: float | None = None,
) -> tuple[float, ...]:
    """Grams rounded to what each line's scale can show; the batch becomes their sum.

    grams      exact grams, 0 or more
    steps      display step of the scale each line is weighed on [g]
    protected  lines that are rounded by themselves and never take a leftover
    ways       "near", "up" or "down" for each protected line; all near without it
    total      mass the lines share out, when it is not their own sum

    Unprotected lines that share one step take the leftover units by largest remainder, ties to
    the first listed; on mixed scales each line goes to its own step and the rest lies on the
    largest unprotected line. The sum drifts from the exact sum by at most the coarsest step.

    >>> round_lines([33.3334, 33.3333, 33.3333], [0.1, 0.1, 0.1])
    (33.4, 33.3, 33.3)
    >>> round_lines([100.0, 0.123], [1, 0.01], [False, True], ["near", "up"])
    (100.0, 0.13)
    """
    exact = [_decimal(mass) for mass in grams]
    step = [_decimal(fineness) for fineness in steps]
    fixed = list(protected) if protected is not None else [False] * len(exact)
    way = list(ways) if ways is not None else ["near"] * len(exact)
    _check_lines(exact, step, len(fixed), len(way))
    rounded = [
        _to_step(mass, fineness, ROUNDING[how] if held else ROUND_HALF_UP)
        for mass, fineness, held, how in zip(exact, step, fixed, way, strict=True)
    ]
    loose = [line for line, held in enumerate(fixed) if not held]
    if loose:
        whole = sum(exact, Decimal(0)) if total is None else _decimal(total)
        rest = whole - sum((mass for mass, held in zip(rounded, fixed, strict=True) if held), Decimal(0))
        if len({step[line] for line in loose}) == 1:
            _largest_remainder(rounded, exact, step[loose[0]], loose, rest)
        else:
            _onto_largest(rounded, exact, step, loose, rest)
    return tuple(float(mass) for mass in rounded)


ROUNDING = {"near": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}


def _check_lines(exact: list[Decimal], step: list[Decimal], *counts: int) -> None:
    for mass in exact:
        if not mass.is_finite() or mass < 0:
            raise OutOfRange("A line to weigh", float(mass), 0, inf, "g")
    for fineness in step:
        if not fineness.is_finite() or fineness <= 0:
            raise OutOfRange("The step of a scale", float(fineness), 0.0001, inf, "g")
    for count in (len(step), *counts):
        if count != len(exact):
            raise OutOfRange("The number of entries", count, len(exact), len(exact), "lines")


def _decimal(value: float) -> Decimal:
    return Decimal(repr(float(value)))


def _to_step(value: Decimal, step: Decimal, rounding: str = ROUND_HALF_UP) -> Decimal:
    return (value / step).quantize(Decimal(1), rounding) * step


def _onto_largest(
    rounded: list[Decimal], exact: list[Decimal], step: list[Decimal], loose: list[int], rest: Decimal
) -> None:
    """Lay what is over on the largest line; what it cannot give comes off the next."""
    for line in sorted(loose, key=lambda line: -exact[line]):
        over = rest - sum(rounded[other] for other in loose)
        wanted = rounded[line] + _to_step(over, step[line])
        rounded[line] = max(Decimal(0), wanted)
        if wanted >= 0:
            return


def _largest_remainder(
    rounded: list[Decimal], exact: list[Decimal], step: Decimal, loose: list[int], rest: Decimal
) -> None:
    for line in loose:
        rounded[line] = _to_step(exact[line], step, ROUND_FLOOR)
    left = int((_to_step(rest, step) - sum(rounded[line] for line in loose)) / step)
    by_remainder = sorted(loose, key=lambda line: (rounded[line] - exact[line], line))
    for unit in range(max(0, left)):
        rounded[by_remainder[unit % len(by_remainder)]] += step
    for _ in range(left, 0):
        giving = [line for line in loose if rounded[line] >= step]
        if not giving:
            return
        rounded[max(giving, key=lambda line: (rounded[line] - exact[line], line))] -= step


def on_scale(value: float, step: float, group: str = "") -> str:
    """A mass with as many decimals as a scale of this step shows; `group` parts the thousands.

    >>> on_scale(1976.0, 1), on_scale(8.4, 0.01), on_scale(0.5, 0.00001)
    ('1976', '8.40', '0.50000')
    """
    places = max(0, -int(_decimal(step).normalize().as_tuple().exponent))
    return f"{value:,.{places}f}".replace(",", group)


def plain(value: float, digits: int = 4) -> str:
    """A figure without trailing zeros, at most `digits` decimals.

    >>> plain(0.0300), plain(12.0), plain(33.33333)
    ('0.03', '12', '33.3333')
    """
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"


def fine_step(highest: float) -> float:
    """Step of a slider from 0 to `highest`: 1, 2 or 5 times a power of ten, 100 to 250 steps.

    >>> fine_step(2.0), fine_step(0.4), fine_step(0.1)
    (0.01, 0.002, 0.0005)
    """
    raw = Decimal(repr(highest / 200))
    power = Decimal(1).scaleb(raw.adjusted())
    step = max(
        (times * power for times in (Decimal(1), Decimal(2), Decimal(5)) if times * power <= raw),
        default=power,
    )
    return float(step)


def digits(value: float) -> str:
    """A figure with three significant digits, no exponent.

    >>> digits(0.0123456), digits(12.34567), digits(0)
    ('0.0123', '12.3', '0')
    """
    return plain(value, _places(value))


def _places(value: float) -> int:
    return max(0, 2 - Decimal(repr(abs(value))).adjusted()) if value else 0


def beside(amount: float, limit: float, least: int | None = None) -> tuple[str, str]:
    """An amount rounded and its limit cut, with as many decimals as it takes to see which is the larger.

    least  decimals of both, more where it takes more; None = three significant digits each

    >>> beside(1.2003, 1.2, 2), beside(1.2, 1.2, 2), beside(1.2003, 1.2)
    (('1.2003', '1.2000'), ('1.20', '1.20'), ('1.2003', '1.2'))
    """
    amount, limit = round(amount, 9), round(limit, 9)
    shown, apart = _places(limit) if least is None else least, round(amount - limit, 9)
    while shown < 9:
        told = round(round(amount, shown) - floored(limit, shown), 9)
        if (told > 0, told < 0) == (apart > 0, apart < 0):
            break
        shown += 1
    if least is None:
        return plain(amount, max(shown, _places(amount))), plain(floored(limit, shown), shown)
    return f"{amount:.{shown}f}", floor_text(limit, shown)


def floored(value: float, places: int = 2) -> float:
    """A highest value cut to decimals, never rounded up; binary dust below 1e-9 does not count.

    >>> floored(1.999), floored(0.1 + 0.19), floored(73.9, 0)
    (1.99, 0.29, 73.0)
    """
    step = Decimal(1).scaleb(-places)
    return float(Decimal(repr(round(value, 9))).quantize(step, ROUND_FLOOR))


def floor_text(value: float, places: int = 2) -> str:
    """A highest value in words, never rounded up.

    >>> floor_text(1.309), floor_text(1.0)
    ('1.30', '1.00')
    """
    return f"{floored(value, places):.{places}f}"
