"""What a figure of a scent may be: at its ends it is reckoned with, a hair beyond it is refused."""

from __future__ import annotations

from functools import partial

import pytest

from blendlab.errors import OutOfRange
from blendlab.fragrance import diluted, heat
from blendlab.fragrance import percent_conversions as convert
from tests.fragrance.kit import oil

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
