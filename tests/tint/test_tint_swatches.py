"""What she can measure of a swatch: text of instruments, Lab of other observers, glass, hex."""

import numpy as np
import pytest

from blendlab.errors import BlendlabError, OutOfRange, UnknownName
from blendlab.facts.palette import bases, starter
from blendlab.tint import delta_e_2000, mix
from blendlab.tint.kubelka_munk import reflectance, through_surface
from blendlab.tint.readings import BadReading, read_spectra
from blendlab.tint.recovery import NoSuchSpectrum
from blendlab.tint.spectra import WAVELENGTHS, lab_of, spectrum_to_xyz
from blendlab.tint.swatches import (
    from_hex_code,
    from_lab,
    from_photo,
    from_reflectance,
    hiding_mm,
    open_surface,
    recovered,
    recovery_error,
)

BASE = reflectance(np.array(bases()[0].k0))
RED = starter("iron_oxide_red")
SWATCH = mix([0.3], np.array([RED.k]), np.array([RED.s]), bases()[0].k0, bases()[0].s0)[2]


def text(R, join=",", point=".", scale=1.0, line="{0}{1}{2}"):
    return "\n".join(
        line.format(int(nm), join, f"{value * scale:.4f}".replace(".", point))
        for nm, value in zip(WAVELENGTHS, R, strict=True)
    )


@pytest.mark.parametrize(
    ("join", "point", "scale", "kind"),
    [
        (",", ".", 1, "share"),
        (";", ",", 1, "share"),
        ("\t", ",", 100, "percent"),
        (" ", ",", 100, "percent"),
        (", ", ".", 100, "percent"),
        ("  ", ".", 1, "share"),
    ],
)
def test_columns_are_read_however_they_are_parted(join, point, scale, kind):
    (found,) = read_spectra(text(SWATCH, join, point, scale))
    assert found.scale == kind
    assert pytest.approx(SWATCH, abs=1e-4) == found.R
    assert not found.notes


def test_a_scale_that_is_told_is_believed():
    assert pytest.approx(1e-4 * SWATCH, abs=1e-6) == read_spectra(text(0.01 * SWATCH), "percent")[0].R


def test_several_samples_keep_their_names():
    head = "nm;red 0.1;red 0.3\n"
    body = "\n".join(f"{int(nm)};0,5;{value:.4f}" for nm, value in zip(WAVELENGTHS, SWATCH, strict=True))
    found = read_spectra(head + body.replace(".", ","))
    assert [reading.name for reading in found] == ["red 0.1", "red 0.3"]
    assert pytest.approx(SWATCH, abs=1e-4) == found[1].R


def cgats(step=10, start=380, stop=730, name="SPECTRAL_NM{}"):
    """A table as ISO 28178 (CGATS.17) writes it."""
    nm = range(start, stop + 1, step)
    R = np.interp(nm, WAVELENGTHS, SWATCH)
    heads = "\t".join(name.format(band) for band in nm)
    values = "\t".join(f"{100 * value:.3f}" for value in R)
    return (
        f'CGATS.17\nORIGINATOR "x"\nNUMBER_OF_FIELDS {len(R) + 2}\nBEGIN_DATA_FORMAT\n'
        f"SAMPLE_ID\tSAMPLE_NAME\t{heads}\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\n"
        f'1\t"red, 0.3 %"\t{values}\n2\tagain\t{values}\nEND_DATA\n'
    )


@pytest.mark.parametrize("name", ["SPECTRAL_NM{}", "SPECTRAL_{}", "nm{}", "SPECTRAL_NM_{}", "spectral_dec{}"])
def test_tables_of_instruments_are_read(name):
    found = read_spectra(cgats(name=name))
    assert [reading.name for reading in found] == ["red, 0.3 %", "again"]
    assert found[0].scale == "percent"
    assert pytest.approx(SWATCH, abs=1e-4) == found[0].R


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ("", "empty"),
        ("hello\nworld", "No line begins with a wavelength"),
        ("400,0,45\n500,0,5\n600,0,6\n700,0,7", "part columns or decimals"),
        ("400;x\n500;1\n700;1", "Line 1"),
        ("400;0.5\n500;0.5", "has 2 values"),
        ("400;0.5\n400;0.5\n700;0.5", "400 nm twice"),
        ("500;0.5\n600;0.5\n650;0.5", "runs from 500 to 650 nm"),
        ("400;0.5\n550;150\n700;0.5", "goes from"),
        ("400;0.5\n550;0.5;3\n700;0.5", "Line 2"),
        ("400;0,5\n550 0,5\n700;0,5", "Line 2"),
        ("421;0.5\n550;0.5\n700;0.5", "runs from 421"),
        ("400;0.5\n550;0.5\n679;0.5", "to 679 nm"),
        ("400;0.5\n550;-0.021\n700;0.5", "goes from"),
        ("400;0.5\n550;1.21\n700;0.5", "goes from"),
        ("400;1.234.5\n550;1\n700;1", "Line 1"),
        (cgats().replace("END_DATA_FORMAT", "X"), "lacks its line END_DATA_FORMAT"),
        (cgats().replace("SPECTRAL_NM", "LAB_"), "names no spectral columns"),
        (cgats().replace("again\t", "again\t1\t"), "Row 2"),
        ("x" * 300_000, "300000 characters"),
    ],
)
def test_text_that_is_no_spectrum_is_answered_with_its_line(wrong, words):
    with pytest.raises(BadReading, match=words):
        read_spectra(wrong)


def test_bounds_that_a_spectrum_may_touch():
    """Ends within 20 nm, values from -0.02 to 1.2, percent from 1.5 on."""
    touching = read_spectra("420;-0.02\n550;0.5\n680;1.2")[0]
    assert touching.scale == "share"
    assert (touching.R[0], touching.R[-1]) == (0.0, 1.0)
    assert read_spectra("400;1\n550;1.6\n700;1")[0].scale == "percent"
    assert not any("steps" in note for note in read_spectra(text(SWATCH))[0].notes)
    wide = "\n".join(f"{nm};0.{nm}" for nm in range(400, 701, 20))
    assert not read_spectra(wide)[0].notes
    dark = "400;0.05\n420;0.05\n440;0.05\n" + wide.split("\n", 3)[3]
    assert not read_spectra(dark)[0].notes
    assert "held at the bound" in read_spectra(dark.replace("420;0.05", "420;-0.01"))[0].notes[0]
    assert "beyond, its end values are held" in read_spectra(wide.split("\n", 1)[1])[0].notes[0]
    assert "beyond, its end values are held" in read_spectra(wide.rsplit("\n", 1)[0])[0].notes[0]


def test_what_was_done_to_a_spectrum_is_said():
    assert "held" in read_spectra("410;0.5\n550;0.6\n690;0.7")[0].notes[0]
    assert any("steps" in note for note in read_spectra("400;0.5\n550;0.6\n700;0.7")[0].notes)
    assert any("white tile" in note for note in read_spectra("400;1.05\n550;1.04\n700;1.03")[0].notes)
    assert any("same" in note for note in read_spectra(text(np.full(31, 0.5)))[0].notes)


def test_what_lies_over_a_swatch_is_taken_out():
    """Second route: Saunderson's forward formula, k1 0.04 and k2 0.6 of a glass."""
    for specular, name in ((0.0, "out"), (1.0, "in")):
        seen = through_surface(SWATCH, 0.04, 0.6, specular)
        found = from_reflectance(seen, {"red": 0.3}, "glass", name, "sphere")
        assert np.array(found.R) == pytest.approx(SWATCH)
    assert open_surface(SWATCH) == pytest.approx(SWATCH)
    for wrong in ({"surface": "water"}, {"specular": "half"}):
        with pytest.raises(UnknownName):
            open_surface(SWATCH, **wrong)


def test_lab_of_another_observer_goes_through_a_spectrum_and_carries_its_error():
    from blendlab.tint.appearance import xyz_to_lab
    from blendlab.tint.spectra import white_point

    for lamp, observer in (("D65", 2), ("D50", 2), ("D65", 10), ("A", 10)):
        lab = xyz_to_lab(spectrum_to_xyz(SWATCH, lamp, observer), white_point(lamp, observer))
        found = from_lab(lab, {"red": 0.3}, BASE, lamp, observer)
        assert found.error == recovery_error(lamp, observer)
        assert float(delta_e_2000(lab_of(np.array(found.R)), lab_of(SWATCH))) < 0.1 + 4 * found.error
    naive = float(delta_e_2000(lab, lab_of(SWATCH)))
    assert naive > 2 * float(delta_e_2000(lab_of(np.array(found.R)), lab_of(SWATCH)))


def test_the_error_of_recovery_is_derived_again():
    from blendlab.facts.read import parse, table
    from blendlab.tint.derive import recovery

    again = parse("recovery_error.csv", "\n".join(recovery.rows()))
    for row, kept in zip(again, table("tint/recovery_error"), strict=True):
        assert row.key == kept.key
        assert float(row["mean"]) == pytest.approx(float(kept["mean"]), abs=0.02)
    with pytest.raises(UnknownName):
        recovery_error("moon", 2)


@pytest.mark.parametrize("method", ["Meng 2015", "Otsu 2018", "Jakob 2019"])
def test_recovery_agrees_with_other_recoveries(method, colour):
    """Witnesses: recovery functions of colour-science; mixes at three and a third times the dose.

    Published comparison on pastels: 0.5 to 1 deltaE2000 between methods (p95 about 2).
    """
    import warnings

    blue = starter("ultramarine_blue")
    true = mix([0.2], np.array([blue.k]), np.array([blue.s]), bases()[0].k0, bases()[0].s0)[2]
    xyz = spectrum_to_xyz(true)
    ours = recovered(xyz, BASE)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        spectrum = colour.XYZ_to_sd(xyz / 100, method=method)
        theirs = np.clip(spectrum.align(colour.SpectralShape(400, 700, 10)).values, 0.01, 0.99)
    assert spectrum_to_xyz(ours) == pytest.approx(xyz, abs=1e-6)
    from blendlab.tint.kubelka_munk import k_over_s

    white = k_over_s(BASE)
    for times in (1 / 3, 3):
        mixed = [
            lab_of(reflectance(white + times * np.maximum(k_over_s(R) - white, 0))) for R in (ours, theirs)
        ]
        assert float(delta_e_2000(*mixed)) < 3.0


def test_our_recovery_predicts_other_doses_as_well_as_the_witnesses(colour):
    """The truth is the tint itself: our mean error at three times the dose is no worse than Otsu's by 0.3."""
    import warnings

    from blendlab.tint.kubelka_munk import k_over_s

    white, ours, theirs = k_over_s(BASE), [], []
    for name in ("iron_oxide_red", "ultramarine_blue", "chromium_oxide_green", "carmine", "manganese_violet"):
        pigment = starter(name)
        k, s = np.array([pigment.k]), np.zeros((1, 31))
        true, three = (mix([pct], k, s, white, np.ones(31))[2] for pct in (0.1, 0.3))
        xyz = spectrum_to_xyz(true)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            other = colour.XYZ_to_sd(xyz / 100, method="Otsu 2018")
            other = np.clip(other.align(colour.SpectralShape(400, 700, 10)).values, 0.01, 0.99)
        for R, kept in ((recovered(xyz, BASE), ours), (other, theirs)):
            again = reflectance(white + 3 * np.maximum(k_over_s(R) - white, 0))
            kept.append(float(delta_e_2000(lab_of(again), lab_of(three))))
    assert np.mean(ours) < np.mean(theirs) + 0.3
    assert np.mean(ours) < 1.0


def test_a_swatch_is_filled_so_deep_that_a_black_ground_does_not_show(colour):
    """Second route: the hyperbolic solution of Kubelka 1948 over black, CIEDE2000 of colour-science."""
    K, S = np.array(bases()[0].k0) + 0.1 * np.array(RED.k), np.ones(31)

    def shows(mm):
        a = 1 + K / S
        b = np.sqrt(a**2 - 1)
        over_black = 1 / (a + b / np.tanh(b * 4.0 * S * mm))  # 4 per mm: the weakest scattering of a foam
        return float(colour.difference.delta_E_CIE2000(lab_of(over_black), lab_of(reflectance(K / S))))

    deep = hiding_mm(K, S)
    assert shows(deep) <= 0.5 < shows(deep - 1)
    assert hiding_mm(np.full(31, 1e-4), np.full(31, 0.01)) == 30


def test_hex_and_photo_carry_large_errors():
    assert from_hex_code("#d9b48f", {"red": 0.3}, BASE).error == 5
    found = from_photo([0.6, 0.4, 0.3], {"red": 0.3}, BASE, 3.0, "photo")
    assert (found.how, found.error) == ("photo", 3.0)


def test_a_swatch_may_be_the_pure_pigment():
    assert from_reflectance(SWATCH, {"red": 100.0}).doses == {"red": 100.0}
    with pytest.raises(OutOfRange):
        from_reflectance(SWATCH, {"red": 100.01})


def test_impossible_swatches_are_answered():
    for make, error in (
        (lambda: from_lab([99.5, 0, 0], {"red": 0.3}, 0.8 * BASE), NoSuchSpectrum),
        (lambda: from_lab([120, 0, 0], {"red": 0.3}, BASE), OutOfRange),
        (lambda: from_lab([50, 127, -127], {"red": 0.3}, BASE), NoSuchSpectrum),
        (lambda: from_reflectance(SWATCH, {"red": 0.0}), OutOfRange),
        (lambda: from_reflectance(SWATCH, {"red": 0.3}, geometry="moon"), UnknownName),
        (lambda: from_hex_code("#12", {"red": 0.3}, BASE), BlendlabError),
    ):
        with pytest.raises(error):
            make()
