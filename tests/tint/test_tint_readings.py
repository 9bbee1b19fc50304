"""Text of an instrument at every edge: what is read, what is said of it, what is refused."""

from __future__ import annotations

import pytest

from blendlab.tint.readings import BadReading, read_spectra
from tests.tint.test_tint_swatches import cgats


def spectrum(*nm: int, **named: float) -> str:
    """Rising values, some of them given as nm400=1.05."""
    return "\n".join(f"{each};{named.get(f'nm{each}', 0.3 + each / 2000)}" for each in nm)


def test_only_steps_and_ends_inside_the_grid_are_spoken_of():
    inside = range(420, 700, 20)
    assert read_spectra(spectrum(370, 400, *inside, 700, 730))[0].notes == ()
    assert read_spectra(spectrum(370, 380, 400, *inside, 700, 720, 750))[0].notes == ()
    (wide,) = read_spectra(spectrum(380, 410, *range(430, 700, 20), 720))[0].notes
    assert "up to 30 nm" in wide
    (wide,) = read_spectra(spectrum(380, 400, 420, 441, *range(460, 720, 20)))[0].notes
    assert "up to 21 nm" in wide


def test_values_may_touch_nothing_and_all():
    nm = range(400, 701, 20)
    assert read_spectra(spectrum(*nm, nm400=0.0, nm700=1.0))[0].notes == ()
    for beyond in ({"nm500": 1.01}, {"nm500": -0.01}):
        (told,) = read_spectra(spectrum(*nm, **beyond))[0].notes
        assert "white tile" in told
    (same,) = read_spectra(spectrum(*nm, **{f"nm{each}": 0.3 for each in nm}))[0].notes
    assert "same" in same


@pytest.mark.parametrize(("line", "words"), [
    ("199;0.5", "no wavelength in nm between 200 and 2500"), ("2501;0.5", "no wavelength in nm"),
    ("500;200.5", "no reflectance between -10 and 200"), ("500;-10.5", "no reflectance"),
    ("500;200", "goes from"), ("500;-10", "goes from"), ("500;1;2", "Line 2"),
])  # fmt: skip
def test_a_figure_that_cannot_be_one_is_named_with_its_line(line, words):
    with pytest.raises(BadReading, match=words):
        read_spectra(f"400;0.5\n{line}\n700;0.5")


def test_wavelengths_may_reach_from_200_to_2500():
    assert read_spectra(spectrum(200, *range(400, 701, 20), 2500))[0].notes == ()


def test_a_text_has_two_hundred_thousand_characters_at_most():
    body = spectrum(400, 550, 700)
    for length, read in ((200_000, True), (200_001, False)):
        long = f"{body}\n#".ljust(length, "x")
        if read:
            assert read_spectra(long)
        else:
            with pytest.raises(BadReading, match="200001 characters"):
                read_spectra(long)


def test_a_reading_says_how_it_was_read():
    assert read_spectra("400;0.25\n550;0.5\n700;0.4")[0].words == "Read as shares, 0 to 1: highest value 0.5."
    percent = read_spectra("400;25\n550;50\n700;40")[0]
    assert percent.words == "Read as percent, 0 to 100: highest value 50."
    assert percent.R[0] == pytest.approx(0.25)
    assert read_spectra("400;1.5\n550;0.5\n700;0.4", "percent")[0].R[0] == pytest.approx(0.015)
    with pytest.raises(BadReading, match="read as shares"):
        read_spectra("400;1.5\n550;0.5\n700;0.4")


def test_heads_and_remarks_are_no_figures():
    body = "400,0.25,0.5\n# between\n\n550,0.5,0.5\n700,0.4,0.6"
    named = read_spectra(f'"nm","a","b"\n{body}')
    assert [(reading.name, round(reading.R[0], 3)) for reading in named] == [("a", 0.25), ("b", 0.5)]
    assert [reading.name for reading in read_spectra(f"nm,a\n{body}")] == ["", ""]
    assert [reading.name for reading in read_spectra(body)] == ["", ""]
    readings = read_spectra("400,0.25\n550,0.5\n700,0.4")
    assert [reading.name for reading in readings] == [""]
    with pytest.raises(BadReading, match='Line 1 is "400"'):
        read_spectra("400\n550\n700")


def test_rows_of_a_table_are_counted_and_may_lack_a_name():
    plain = cgats().replace("SAMPLE_ID\tSAMPLE_NAME\t", "A\tB\t")
    assert [reading.name for reading in read_spectra(plain)] == ["", ""]
    numbered = cgats().replace("SAMPLE_NAME", "B")
    assert [reading.name for reading in read_spectra(numbered)] == ["1", "2"]
    with pytest.raises(BadReading, match="Row 2 of the table has an open quotation mark"):
        read_spectra(cgats().replace("again", '"again'))
    with pytest.raises(BadReading, match="holds no row"):
        read_spectra(cgats().split("BEGIN_DATA\n")[0] + "BEGIN_DATA\n\nEND_DATA\n")
    with pytest.raises(BadReading, match="lacks its line END_DATA"):
        read_spectra(cgats().replace("\nEND_DATA\n", "\n"))
