"""What a figure of a scent may be: at its ends it is reckoned with, a hair beyond it is refused."""

from __future__ import annotations

from functools import partial

import pytest

from blendlab.errors import OutOfRange
from blendlab.fragrance import declare, diluted, fade, heat, load
from blendlab.fragrance import percent_conversions as convert
from blendlab.fragrance.blend import lay_out
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

HAIR = 0.001


def thinned(pct):
    return diluted(oil("A"), pct, "a carrier", "thin", "Thin", {})


RANGES = {
    "load": (convert.parts_of_base, (0, 0.5, 100 - HAIR), (-HAIR, 100)),
    "dilution to weigh": (partial(convert.dilution, 1.0), (HAIR, 0.5, 100), (0, -HAIR, 100 + HAIR)),
    "dilution of a limit": (partial(convert.diluted_limit, 1.0), (HAIR, 0.5, 100), (0, -HAIR, 100 + HAIR)),
    "dilution of an oil": (thinned, (0.01, 0.5, 100 - HAIR), (0, -HAIR, 100)),
    "loss": (lambda x: convert.cost({}, {}, 1, 1, x), (0, 0.5, 100 - HAIR), (-HAIR, 100)),
    "flash point": (lambda x: heat.flash_by_index([x], [1.0], [1.0]), (-100, 0, 60), (-230.56, -231)),
}


@pytest.mark.parametrize("name", RANGES)
def test_a_figure_is_reckoned_with_up_to_its_ends_and_refused_beyond(name):
    reckoned, inside, outside = RANGES[name]
    for value in inside:
        reckoned(value)
    for value in outside:
        with pytest.raises(OutOfRange):
            reckoned(value)


def test_a_limit_of_a_dilution_is_never_above_the_whole():
    """2 % of an oil are 20 % of a tenth of it; 20 % are more than there is."""
    assert convert.diluted_limit(2.0, 10.0) == pytest.approx(20)
    assert convert.diluted_limit(20.0, 10.0) == 100
    assert convert.diluted_limit(9.99, 10.0) == pytest.approx(99.9)


# --- an oil of no share, a carrier with something in it ------------------------------------------------


def test_an_oil_of_no_share_is_asked_for_nothing():
    told = oil("Told", sheet(c9=4.0), declaration=declared(n78_70_6=12.0))
    wish, oils = scent(1.0, (told, 100), (oil("Silent"), 0))
    named = declare(wish, oils, "whipped_soap", "EU", TODAY)
    assert named.unknown == ()
    assert not [finding for finding in named.findings if finding.level == "stop"]
    # 12 % of 1 % of the jar
    assert [(name.name, name.pct) for name in named.names] == [("Linalool", pytest.approx(0.12))]
    assert load.content({"a": 0.0, "b": 0.5}, {"a": None, "b": 4.0}) == pytest.approx(2.0)
    assert load.content({"a": 0.1, "b": 0.5}, {"a": None, "b": 4.0}) is None
    assert convert.cost({"a": 0.0, "b": 1.0}, {"b": 0.2}, 100, 2.0)[0] == pytest.approx(0.2)


def test_what_a_carrier_brings_is_thinned_by_the_oil():
    """A tenth of oil: nine tenths of the 5 % in the carrier, on top of a tenth of the 20 % in the oil."""
    rich = oil("Rich", sheet(c9=4.0), {"78-70-6": 20.0}, declaration=declared(n78_70_6=20.0))
    thin = diluted(rich, 10, "a carrier", "thin", "Thin", {"78-70-6": 5.0, "106-24-1": 5.0})
    held, new = thin.constituents["78-70-6"], thin.constituents["106-24-1"]
    assert (held.low, held.typical, held.high) == pytest.approx((0.0, 6.5, 6.5))
    assert (new.low, new.typical, new.high) == pytest.approx((0.0, 4.5, 4.5))
    assert {cas: row.pct for cas, row in thin.declaration.rows.items()} == {
        "78-70-6": pytest.approx(6.5), "106-24-1": pytest.approx(4.5),
    }  # fmt: skip
    assert thin.sheet.limits == {"9": pytest.approx(40.0)}


def test_a_scent_whose_oils_have_no_share_holds_none():
    wish, oils = scent(1.0, (oil("A"), 0), (oil("B"), 0))
    assert lay_out(wish, oils, base(), "whipped_soap", TODAY).oils == ()


def test_a_neat_film_is_gone_and_smells_of_nothing():
    lemon = oil("Lemon", None, {"5989-27-5": 90.0})
    gone = fade([lemon], [1.0], 100.0, [0.0, 1e6])
    assert gone.left.tolist() == [pytest.approx(1.0), 0.0]
    assert gone.notes.tolist() == [pytest.approx([1.0, 0.0, 0.0]), [0.0, 0.0, 0.0]]
    assert gone.known_pct == 90.0
