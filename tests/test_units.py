"""The number reader, conversions and the one rounding of grams.

Conversions: tests/reference/units.csv (NIST SP 811 appendix B and Handbook 44 appendix C).
Rounding: rows `weigh.round_largest_remainder` and `split.portions` of tests/reference/batch_rows.csv
(Hamilton apportionment).
"""

import csv
import json
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from blendlab.errors import BadNumber, BlendlabError, OutOfRange
from blendlab.units import TO_GRAMS, TO_ML, TO_MM, Ambiguous, beside, convert, read_number, round_lines

REFERENCE = Path(__file__).parent / "reference"


def rows(name):
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


READ = {
    "0,3": 0.3, "0.3": 0.3, " 0,3 ": 0.3, ",3": 0.3, ".3": 0.3, "3.": 3, "+0.3": 0.3, "0,300": 0.3,
    "12,5": 12.5,
    "0.3 %": 0.3, "0,3%": 0.3, "1\u2009234": 1234, "1\u00a0234,5": 1234.5, "1 234 567": 1234567,
    "1'234.5": 1234.5,
    "1\u2019234": 1234, "1.234,5": 1234.5, "1,234.5": 1234.5, "1,234,567": 1234567,
    "1.234.567,89": 1234567.89,
    "007": 7, "1٫5": 1.5, "0": 0, "12345": 12345,
}  # fmt: skip
NONSENSE = [
    "", " ", "%", ".", ",", "abc", "a lot", "1,2,3", "1.2.3", "1,23,456", "1..5", "1,,5", "--1", "1-2", "1/2",
    "1e3",
    "0x10", "nan", "inf", "-", "12 5", "0 300", "1234 567", "1 23", "0,3 0,5", "0.12 34", "½", "٣", "1_000",
    "0,3 oz", "3 %%", "9" * 400, "\x00", "1,234 567", "0.123 456",
]  # fmt: skip


@pytest.mark.parametrize(("text", "value"), READ.items())
def test_reads(text, value):
    assert read_number(text, "% of the finished product") == value


@pytest.mark.parametrize("text", NONSENSE)
def test_refuses_nonsense_by_name(text):
    with pytest.raises(BadNumber) as caught:
        read_number(text, "%")
    assert caught.value.text == text


@given(st.decimals(0, 100_000, allow_nan=False, places=2) | st.decimals(0, 100, allow_nan=False, places=4))
@example(Decimal("0.3"))
def test_comma_and_point_are_one(figure):
    point = f"{figure:f}"
    comma = point.replace(".", ",")
    assert read_number(point, "g") == read_number(comma, "g") == float(figure)


@given(st.integers(1, 999), st.integers(0, 999))
def test_three_digits_after_one_mark_have_two_faces(whole, fraction):
    for mark in ".,":
        text = f"{whole}{mark}{fraction:03d}"
        with pytest.raises(Ambiguous) as caught:
            read_number(text, "g")
        readings = caught.value.readings
        assert readings == (float(f"{whole}.{fraction:03d}"), float(whole * 1000 + fraction))
        assert caught.value.text == text
        assert read_number(text, "%", 0, 999.9995) == readings[0]
        assert read_number(text, "g", 1000, 1_000_000) == readings[1]


def test_a_leading_nought_has_one_face():
    assert read_number("0,123", "g") == read_number("0.123", "g") == 0.123


@given(st.integers(1000, 10**9), st.sampled_from(["\u2009", "\u00a0", "\u202f", " ", "'"]))
def test_thin_spaces_part_thousands(number, space):
    assert read_number(f"{number:,}".replace(",", space), "g") == number


def test_asks_back_in_one_sentence():
    with pytest.raises(Ambiguous) as caught:
        read_number("1,234", "g")
    assert str(caught.value) == '"1,234" can be 1.234 or 1234. Write 1234 or 1.2340.'


@given(st.integers(1, 999), st.integers(0, 999), st.sampled_from(["", " mg", " g", " kg", " oz"]))
@example(1, 234, " mg")
def test_what_it_asks_her_to_write_has_one_reading(whole, fraction, unit):
    with pytest.raises(Ambiguous) as caught:
        read_number(f"{whole},{fraction:03d}{unit}", "g")
    thousands, decimal = str(caught.value).removesuffix(".").rpartition(" Write ")[2].split(" or ")
    assert read_number(decimal, "g") == pytest.approx(caught.value.readings[0], abs=1e-9)
    assert read_number(thousands, "g") == pytest.approx(caught.value.readings[1], abs=1e-9)


@pytest.mark.parametrize("sign", ["-", "\u2212"])
def test_signs(sign):
    assert read_number(f"{sign}0,5", "degrees", -360, 360) == -0.5
    with pytest.raises(OutOfRange) as caught:
        read_number(f"{sign}0,5", "%", 0, 100)
    assert (caught.value.got, caught.value.low, caught.value.high) == (-0.5, 0, 100)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("2 oz", "g", 56.69904625), ("1 lb", "g", 453.59237), ("1,5kg", "g", 1500), ("250 mg", "g", 0.25),
        ("250 g", "kg", 0.25), ("4 fl oz", "ml", 118.29411825), ("100 ml", "fl oz", 3.3814022701843),
        ("0,35 mg/cm2", "mg/cm2", 0.35), ("40 °C", "C", 40), ("40 C", "°C", 40),
        ("30 degrees", "degrees", 30),
    ],
)  # fmt: skip
def test_units_are_read_at_the_door(text, unit, value):
    assert read_number(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("text", "unit"), [("4 oz", "ml"), ("4 fl oz", "g"), ("4 ml", "g"), ("4 g", "%")])
def test_mass_is_never_taken_for_volume(text, unit):
    with pytest.raises(BadNumber):
        read_number(text, unit)


@given(st.text(max_size=12), st.sampled_from(["g", "%", "ml", ""]))
def test_any_text_is_read_or_refused_by_name(text, unit):
    try:
        readings = (read_number(text, unit, 0, 1e6),)
    except Ambiguous as two_faced:
        readings = two_faced.readings
    except BlendlabError:
        return
    assert all(0 <= reading <= 1e6 for reading in readings)


def test_conversion_factors():
    published = {row["unit"]: row for row in rows("units.csv")}
    ours = {**TO_GRAMS, **TO_ML, **TO_MM, "fl_oz_us": TO_ML["fl oz"]}
    for unit in ours.keys() - {"g", "ml", "l", "mm", "cm", "fl oz"}:
        assert ours[unit] == float(published[unit]["factor"])
        assert published[unit]["exact"] == "true"
    assert published["degF"]["factor"] == "(F-32)/1.8"
    assert convert(212, "F", "C") == pytest.approx(100)
    assert convert(-40, "C", "F") == pytest.approx(-40)


@given(st.floats(0, 1e6), st.sampled_from([*TO_GRAMS]), st.sampled_from([*TO_GRAMS]))
def test_conversion_returns(value, unit, to):
    assert convert(convert(value, unit, to), to, unit) == pytest.approx(value, rel=1e-12)


def test_mass_does_not_convert_to_volume():
    with pytest.raises(BadNumber):
        convert(1, "oz", "fl oz")


@pytest.mark.parametrize(
    "row", [row for row in rows("batch_rows.csv") if row["topic"] == "weigh.round_largest_remainder"],
    ids=lambda row: row["id"],
)  # fmt: skip
def test_rounding_rows(row):
    given_, want = json.loads(row["inputs"]), json.loads(row["expected"])["grams"]
    amounts = given_["amounts_g"]
    got = round_lines(amounts, [given_["step_g"]] * len(amounts))
    assert got == pytest.approx(want, rel=1e-12)
    assert sum(got) == pytest.approx(given_["total_g"], rel=1e-12)


@pytest.mark.parametrize(
    "row",
    [row for row in rows("batch_rows.csv") if row["topic"] == "split.portions"],
    ids=lambda row: row["id"],
)
def test_portion_rows(row):
    given_, want = json.loads(row["inputs"]), json.loads(row["expected"])["grams"]
    exact = [given_["batch_g"] * weight / sum(given_["weights"]) for weight in given_["weights"]]
    got = round_lines(exact, [given_["step_g"]] * len(exact), total=given_["batch_g"])
    assert got == pytest.approx(want, rel=1e-12)


STEPS = [0.001, 0.01, 0.1, 1.0, 5.0]
GRAMS = st.decimals(0, 3000, allow_nan=False, places=4).map(float)


def total(values):
    return sum((Decimal(repr(float(value))) for value in values), Decimal(0))


@given(st.lists(GRAMS, min_size=1, max_size=12), st.sampled_from(STEPS))
def test_sum_holds_on_one_scale(grams, step):
    got = round_lines(grams, [step] * len(grams))
    unit = Decimal(repr(step))
    assert abs(total(got) - total(grams)) <= unit / 2
    for exact, rounded in zip(grams, got, strict=True):
        assert Decimal(repr(rounded)) % unit == 0
        assert abs(Decimal(repr(rounded)) - Decimal(repr(exact))) < unit


@given(st.lists(st.tuples(GRAMS, st.sampled_from(STEPS), st.booleans()), min_size=1, max_size=12))
@example([(0.6, 0.1, False)] + [(0.5, 1.0, False)] * 10)
@example([(0.4, 1.0, False)] + [(0.6, 1.0, True)] * 10)
def test_drift_stays_below_the_coarsest_step(lines):
    grams, steps, protected = (list(column) for column in zip(*lines, strict=True))
    got = round_lines(grams, steps, protected)
    for rounded, step in zip(got, steps, strict=True):
        assert rounded >= 0
        assert Decimal(repr(rounded)) % Decimal(repr(step)) == 0
    loose = [at for at, held in enumerate(protected) if not held]
    assume(loose and total(grams[at] for at in loose) > total(steps))
    assert abs(total(got) - total(grams)) <= Decimal(repr(max(steps)))


@given(st.lists(st.tuples(GRAMS, st.sampled_from(STEPS)), min_size=2, max_size=8), st.data())
def test_protected_lines_are_rounded_by_themselves(lines, data):
    grams, steps = (list(column) for column in zip(*lines, strict=True))
    held = data.draw(st.lists(st.booleans(), min_size=len(lines), max_size=len(lines)))
    ways = data.draw(
        st.lists(st.sampled_from(["near", "up", "down"]), min_size=len(lines), max_size=len(lines))
    )
    got = round_lines(grams, steps, held, ways)
    for at in (at for at, kept in enumerate(held) if kept):
        alone = round_lines([grams[at]], [steps[at]], [True], [ways[at]])
        assert got[at] == alone[0]
        off = Decimal(repr(got[at])) - Decimal(repr(grams[at]))
        step = Decimal(repr(steps[at]))
        assert {"near": abs(off) <= step / 2, "up": 0 <= off < step, "down": -step < off <= 0}[ways[at]]


@given(st.lists(GRAMS, min_size=2, max_size=8, unique=True), st.sampled_from(STEPS), st.randoms())
def test_order_of_lines_does_not_matter(grams, step, random):
    remainders = [Decimal(repr(mass)) % Decimal(repr(step)) for mass in grams]
    assume(len(set(remainders)) == len(remainders))
    order = list(range(len(grams)))
    random.shuffle(order)
    straight = round_lines(grams, [step] * len(grams))
    turned = round_lines([grams[at] for at in order], [step] * len(grams))
    assert [straight[at] for at in order] == list(turned)


def test_ties_go_to_the_first_listed():
    assert round_lines([0.5, 0.5, 0.5, 0.5], [1] * 4) == (1, 1, 0, 0)


def test_rest_of_mixed_scales_lies_on_the_largest_line():
    assert round_lines([800.37, 20.04, 3.333], [1, 0.1, 0.01]) == (800, 20, 3.33)
    assert round_lines([800.4, 50.4, 50.4, 0.26], [1, 1, 1, 0.1]) == (801, 50, 50, 0.3)


def test_what_is_whole_already_stays():
    assert round_lines([450.0, 0.1, 0.2], [0.1] * 3) == (450.0, 0.1, 0.2)
    assert round_lines([], []) == ()


@pytest.mark.parametrize(
    ("grams", "steps", "protected"),
    [
        ([-1], [1], None), ([float("nan")], [1], None), ([float("inf")], [1], None), ([1], [0], None),
        ([1], [-1], None), ([1], [float("nan")], None), ([1, 2], [1], None), ([1], [1], [True, False]),
    ],
)  # fmt: skip
def test_rounding_refuses_what_cannot_be_weighed(grams, steps, protected):
    with pytest.raises(OutOfRange):
        round_lines(grams, steps, protected)


@given(st.floats(1e-5, 120), st.floats(-6e-4, 6e-4), st.sampled_from([None, 0, 2, 4]))
@example(1.6619737414189046, 1e-10, None)
def test_an_amount_beside_its_limit_reads_as_what_it_is(limit, apart, least):
    """Over reads as over, under as under; the limit is never told too high."""
    amount = max(0.0, limit + apart)
    told, most = (float(text) for text in beside(amount, limit, least))
    exact, allowed = round(amount, 9), round(limit, 9)
    assert most <= allowed + 1e-9
    assert (told > most, told < most) == (exact > allowed, exact < allowed)
