"""Her measurements on the shelf: synthetic pigments with known truth, measured and predicted."""

import dataclasses
from datetime import date

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, pigments, starter
from blendlab.shelf import Shelf, Swatch, item_from_dict, resolve
from blendlab.tint import delta_e_2000, mix
from blendlab.tint.calibration import calibrate
from blendlab.tint.measured_items import (
    LotChange,
    WrongSwatch,
    base_reflectance,
    fit_findings,
    measured_base,
    measured_pigment,
    new_lot,
    self_check,
)
from blendlab.tint.prediction import tone_recipe
from blendlab.tint.spectra import lab_of
from blendlab.tint.uncertainty import spread_of

BASE = dataclasses.replace(bases()[0], known="measured")
WHITE = base_reflectance(BASE)
RED = starter("iron_oxide_red")
DAY = date(2026, 11, 25)
COLOURED = [pigment for pigment in pigments() if pigment.group in ("absorbing", "lake", "pearl-absorbing")]
TINTS, OTHERS = (0.25, 0.8), (0.05, 0.15, 0.4, 0.6, 1.0)
"""Shares of the highest use: two tints to calibrate on, five to predict."""


def made(*doses, base=BASE):
    """Reflectance of pigments, each with its percent, in the base."""
    k, s = (np.array([getattr(pigment, name) for pigment, _ in doses]) for name in ("k", "s"))
    return mix([pct for _, pct in doses], k, s, base.k0, base.s0)[2]


class Instrument:
    """A spectrophotometer: 0.001 at random in each band and 0.002 of offset in all, one sigma."""

    def __init__(self, seed):
        self.rng = np.random.default_rng(seed)

    def read(self, R):
        noisy = R + self.rng.normal(0, 0.001, 31) + self.rng.normal(0, 0.002)
        return np.clip(noisy, 0.003, 0.999)


def truth_of(pigment, rng):
    """The real pigment: another strength and a hue of its own, nothing the program has seen."""
    bend = np.exp(0.1 * np.cumsum(rng.normal(0, 0.3, 31)) / np.sqrt(31))
    return dataclasses.replace(
        pigment, k=tuple(np.array(pigment.k) * rng.lognormal(0, 0.4) * bend), s=(0.0,) * 31
    )


def calibrated(real, instrument, percents):
    white = np.mean([instrument.read(WHITE) for _ in range(5)], axis=0)
    base = measured_base(BASE, [Swatch(R=tuple(white), how="spectrum")], DAY)
    swatches = [
        Swatch(doses={real.id: pct}, R=tuple(instrument.read(made((real, pct)))), how="spectrum")
        for pct in percents
    ]
    pigment, found = measured_pigment(dataclasses.replace(real, k=RED.k), base, swatches, DAY, "L-1")
    return base, pigment, found


def test_two_tints_predict_five_others_and_three_blends():
    """Median below 0.5 deltaE2000 with instrument noise, over many synthetic pigments."""
    rng, misses, blends = np.random.default_rng(17), [], []
    known = []
    for at, shipped in enumerate(COLOURED):
        real, meter = truth_of(shipped, rng), Instrument(at)
        base, pigment, _ = calibrated(real, meter, [share * shipped.cap_pct for share in TINTS])
        known.append((real, pigment))
        for share in OTHERS:
            pct = share * shipped.cap_pct
            misses.append(
                float(delta_e_2000(lab_of(made((pigment, pct), base=base)), lab_of(made((real, pct)))))
            )
    for _ in range(3 * len(known)):
        picks = rng.choice(len(known), 2, replace=False)
        shares = rng.uniform(0.1, 0.5, 2)
        real, mine = (
            [(known[at][side], share * known[at][0].cap_pct) for at, share in zip(picks, shares, strict=True)]
            for side in (0, 1)
        )
        blends.append(float(delta_e_2000(lab_of(made(*mine, base=base)), lab_of(made(*real)))))
    assert np.median(misses) < 0.5
    assert np.median(blends) < 0.5
    assert np.quantile([*misses, *blends], 0.95) < 1.5


def test_the_stated_spread_holds_eighty_of_a_hundred_jars():
    """500 draws: two swatches weighed and dispersed to 5 %, measured, then one more jar made to 5 %.

    The jar lies within the stated delta E in 70 to 90 % of the draws.
    """
    rng = np.random.default_rng(23)
    inside = []
    for at in range(500):
        real = truth_of(COLOURED[at % len(COLOURED)], rng)
        meter = Instrument(at)

        def jar(pct, real=real):
            return made((real, pct * rng.lognormal(0, 0.05)))

        low, high = (share * real.cap_pct for share in TINTS)
        found = calibrate(WHITE, [(pct, meter.read(jar(pct))) for pct in (low, high)])
        pct = rng.uniform(0.15, 0.9) * real.cap_pct
        mine = dataclasses.replace(real, k=tuple(found.k), s=tuple(found.s), strength_sd=found.sd)
        recipe = tone_recipe("t", BASE, [(mine, pct)])
        stated = spread_of(recipe, sources=("strength",))
        inside.append(float(delta_e_2000(stated.likely.lab, lab_of(jar(pct)))) <= stated.delta_e00)
    assert 0.70 <= np.mean(inside) <= 0.90


def test_three_swatches_keep_one_out_as_a_test():
    meter = Instrument(3)
    good = [(pct, meter.read(made((RED, pct)))) for pct in (0.1, 0.2, 0.4)]
    bad = [*good[:1], (0.2, meter.read(made((RED, 0.3)))), good[2]]
    assert calibrate(WHITE, good).kept_out < 0.5
    assert calibrate(WHITE, bad).kept_out > 1.5
    assert calibrate(WHITE, good[:2]).kept_out is None


def test_what_a_fit_can_and_cannot_tell_is_said():
    single = calibrate(WHITE, [(0.3, made((RED, 0.3)))])
    assert (single.way, single.se, single.residuals) == ("single", None, ())
    assert "cannot be checked" in single.tells
    same = calibrate(WHITE, [(0.3, made((RED, 0.3)))] * 2)
    assert same.way == "repeated"
    shaped = calibrate(WHITE, [(0.3, made((RED, 0.3)))], (RED.k, RED.s))
    assert shaped.way == "shape"
    assert 0 < shaped.se < 0.2
    wide = calibrate(WHITE, [(pct, made((RED, pct))) for pct in (0.1, 1.0)])
    assert wide.way == "scattering"


def test_a_standard_error_shrinks_with_swatches_and_grows_with_the_error_of_measuring():
    ladder = [(pct, made((RED, pct))) for pct in (0.1, 0.2, 0.3, 0.4)]
    assert calibrate(WHITE, ladder).se < calibrate(WHITE, ladder[:2]).se
    photo = calibrate(WHITE, ladder[:2], errors=[3.0, 3.0])
    assert photo.sd > 0.3 > calibrate(WHITE, ladder[:2]).sd


def test_older_calibrations_stay_with_date_lot_and_way():
    def read(factor):
        return [
            Swatch(
                doses={RED.id: pct},
                R=tuple(made((RED, factor * pct))),
                how="spectrum",
                words="spectrum, sphere",
            )
            for pct in (0.1, 0.3)
        ]

    first, _ = measured_pigment(RED, BASE, read(1.0), date(2026, 3, 1), "A")
    second, _ = measured_pigment(first, BASE, read(1.2), DAY, "B")
    assert [record.lot for record in second.calibrations] == ["", "A", "B"]
    assert [record.on for record in second.calibrations] == [None, date(2026, 3, 1), DAY]
    assert second.calibrations[0].k == RED.k
    assert second.calibrations[-1].k == second.k
    assert (second.known, second.lot) == ("measured", "B")
    assert "2 swatches: spectrum, sphere" in second.basis
    from blendlab.codec import encode

    assert item_from_dict("pigment", encode(second)) == second
    assert second.rev != first.rev


def test_a_known_kind_gives_one_strength_and_falls_back_where_it_does_not_fit():
    blue = starter("ultramarine_blue")
    ours = [Swatch(doses={RED.id: 0.3}, R=tuple(made((RED, 0.45))), how="lab")]
    kept, fit = measured_pigment(RED, BASE, ours, DAY, same_kind=True)
    assert fit.way == "shape"
    assert np.array(kept.k) == pytest.approx(1.5 * np.array(RED.k), rel=0.02)
    odd = [Swatch(doses={RED.id: 0.3}, R=tuple(made((blue, 0.3))), how="lab")]
    learned, fit = measured_pigment(RED, BASE, odd, DAY, same_kind=True)
    assert fit.way == "single"
    assert float(delta_e_2000(lab_of(made((learned, 0.3))), lab_of(made((blue, 0.3))))) < 0.5


@pytest.mark.parametrize("factor", [0.7, 0.92, 1.08, 1.5])
def test_a_new_lot_is_told_by_its_strength(factor):
    meter = Instrument(7)
    read = [
        Swatch(doses={RED.id: pct}, R=tuple(meter.read(made((RED, pct * factor)))), how="spectrum")
        for pct in (0.15, 0.3)
    ]
    change = new_lot(RED, BASE, read)
    assert change.ratio == pytest.approx(factor, rel=0.03)
    assert not change.hue_changed
    assert f"{abs(100 * (change.ratio - 1)):.0f} % {'stronger' if factor > 1 else 'weaker'}" in change.words


@pytest.mark.parametrize(
    ("ratio", "hue_changed", "words"),
    [
        (
            1.1,
            False,
            "10 % stronger than the last lot (standard error 4 %); its hue is the same: Delta E 0.3 left",
        ),
        (
            0.8,
            True,
            "20 % weaker than the last lot (standard error 4 %); its hue changed too: Delta E 0.3 left",
        ),
        (1.0, False, "0 % stronger"),
    ],
)
def test_a_change_of_lot_in_words(ratio, hue_changed, words):
    assert words in LotChange(ratio, 0.04, 0.3, hue_changed).words


def test_only_screen_colours_leave_an_estimate():
    """A swatch picked off a screen beside a measured one: measured; screen colours alone: an estimate."""
    measured, picked = (
        Swatch(doses={RED.id: pct}, R=tuple(made((RED, pct))), how=how)
        for pct, how in ((0.1, "spectrum"), (0.3, "hex"))
    )
    for swatches, known in (
        ([picked], "estimate"),
        ([measured, picked], "measured"),
        ([measured], "measured"),
    ):
        assert measured_pigment(RED, BASE, swatches)[0].known == known


def test_swatches_that_do_not_fit_stop_from_delta_e_3_and_caution_from_1_5():
    """Residuals above 1.5: weighing or dispersion; above 3: no ladder of one pigment (common practice)."""
    swatches = [Swatch(doses={RED.id: pct}, R=tuple(WHITE), how="spectrum") for pct in (0.1, 0.2, 0.3, 0.4)]
    fit = dataclasses.replace(
        calibrate(WHITE, [(0.3, made((RED, 0.3)))]), residuals=(1.49, 1.51, 2.99, 3.01), kept_out=1.51
    )
    told = {finding.id: finding for finding in fit_findings(RED, fit, swatches)}
    assert {name: finding.level for name, finding in told.items()} == {
        "tint.fit.1": "caution", "tint.fit.2": "caution", "tint.fit.3": "stop", "tint.fit.test": "caution",
    }  # fmt: skip
    assert (
        "The swatch at 0.4 % lies Delta E 3.0 from its own fit; these swatches are no"
        in told["tint.fit.3"].text
    )
    calm = dataclasses.replace(fit, residuals=(1.0, 1.0), kept_out=1.49)
    assert not list(fit_findings(RED, calm, swatches))


def test_a_new_lot_of_another_hue_is_told():
    brown = starter("iron_oxide_brown")
    read = [Swatch(doses={RED.id: 0.3}, R=tuple(made((brown, 0.3))), how="spectrum")]
    assert new_lot(RED, BASE, read).hue_changed


def test_a_base_is_the_mean_of_its_readings():
    meter = Instrument(11)
    read = [Swatch(R=tuple(meter.read(WHITE)), how="spectrum") for _ in range(5)]
    base = measured_base(bases()[0], read, DAY, "B-7")
    assert base.calibrations[-1].s == base.s0 == (1.0,) * 31
    assert self_check(base, WHITE) < 0.5
    assert (base.known, base.lot, len(base.calibrations)) == ("measured", "B-7", 2)
    guessed = measured_base(bases()[0], [Swatch(R=tuple(WHITE), how="hex")])
    assert guessed.known == "estimate"


def test_a_swatch_that_does_not_belong_is_answered():
    red, both = (
        Swatch(doses=doses, R=tuple(WHITE), how="lab")
        for doses in ({RED.id: 0.3}, {RED.id: 0.3, "other": 0.1})
    )
    with pytest.raises(WrongSwatch):
        measured_base(BASE, [red])
    with pytest.raises(WrongSwatch, match="mixed swatch"):
        measured_pigment(RED, BASE, [both])
    with pytest.raises(WrongSwatch):
        measured_pigment(starter("carmine"), BASE, [red])
    for wrong in (lambda: measured_base(BASE, []), lambda: measured_pigment(RED, BASE, [])):
        with pytest.raises(OutOfRange):
            wrong()


def test_findings_of_a_fit_judge_only_what_can_be_judged():
    single = [
        Swatch(doses={RED.id: 0.3}, R=tuple(made((RED, 0.3))), how="photo", words="photo, hue unchecked")
    ]
    _, fit = measured_pigment(RED, BASE, single)
    told = {each.id: each for each in fit_findings(RED, fit, single)}
    assert set(told) == {"tint.fit.one", "tint.fit.hue"}
    assert "Not checkable" in told["tint.fit.one"].text
    wrong = [
        Swatch(doses={RED.id: pct}, R=tuple(made((RED, real))), how="spectrum")
        for pct, real in ((0.1, 0.1), (0.2, 0.05), (0.4, 0.4))
    ]
    _, fit = measured_pigment(RED, BASE, wrong)
    told = {each.id: each.level for each in fit_findings(RED, fit, wrong)}
    assert "stop" in told.values()
    assert told["tint.fit.test"] == "caution"


def test_the_shelf_takes_a_measured_pigment_into_a_design(make, jar):
    from blendlab.tint import predict

    read = [Swatch(doses={RED.id: 0.3}, R=tuple(made((RED, 0.3))), how="spectrum")]
    mine, _ = measured_pigment(RED, BASE, read)
    tint = predict(resolve(make({"Red": [(mine, 0.3)]}, base=BASE), Shelf((mine, BASE, jar))))["red"]
    assert tint.known == "measured"
    assert float(delta_e_2000(lab_of(tint.R), lab_of(made((RED, 0.3))))) < 0.01
