"""Times of this room: the closest blend of 30 oils under 250 rows, and the check of a scent of six."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from blendlab.facts.library import demo_oils
from blendlab.fragrance import check, closest, declare
from blendlab.fragrance.conflict import irreducible
from blendlab.fragrance.rounding import rounded
from blendlab.fragrance.solver import nearest_even, nearest_few
from blendlab.fragrance.space import Space, space
from blendlab.recipe import Caps, OilShare, Scent
from blendlab.shelf import Base
from tests.bench.line import Line, median


def _case(oils: int = 30, rows: int = 250) -> tuple[Space, np.ndarray]:
    """A wish that breaks some of many rows, each around a blend that keeps them all."""
    rng = np.random.default_rng(1)
    inside, wish = rng.dirichlet(np.ones(oils)), rng.dirichlet(np.ones(oils))
    made = {}
    for number in range(rows):
        contents = rng.uniform(0, 0.02, oils) * (rng.random(oils) < 0.4)
        made[f"row {number}"] = (list(contents), float(contents @ inside) * rng.uniform(1.02, 1.3) + 1e-9)
    return space(1.0, oils, made), wish


def lines() -> list[Line]:
    where, wish = _case()
    oils = demo_oils()[:6]
    scent = Scent(load_pct=1.2, oils=tuple(OilShare(oil=oil.ref, share_pct=100 / 6) for oil in oils))
    white = Base(
        id="w",
        name="White",
        product="whipped_soap",
        k0=(0.0,) * 31,
        s0=(1.0,) * 31,
        known="estimate",
        basis="",
        ref_overrun_pct=100,
        density_mix_g_ml=1.0,
        own_fragrance_pct=0.0,
    )
    on = date(2026, 11, 25)
    nearest_even(where, wish), nearest_few(where, wish), check(scent, oils, white, "whipped_soap", "EU", on)
    even, few = median(lambda: nearest_even(where, wish)), median(lambda: nearest_few(where, wish))
    checked = median(lambda: check(scent, oils, white, "whipped_soap", "EU", on))
    named = median(lambda: declare(scent, oils, "whipped_soap", "EU", on))
    answer = nearest_even(where, wish)
    typed = median(lambda: rounded(where, answer.grams, 1000.0, 0.01))
    tight = replace(where, total=1.6)
    blamed = median(lambda: irreducible(tight))
    caps = Caps(vanillin_pct=0.02, unnamed=("Geraniol",), least={oils[0].id: 5.0})
    picky = replace(scent, wish=(0.3, 0.4, 0.3), caps=caps)
    asked = median(lambda: closest(picky, oils, white, "whipped_soap", "EU", on))
    return [
        Line("closest blend, 30 oils x 250 rows, change spread", 1000 * even, "ms", most=20),
        Line("closest blend, 30 oils x 250 rows, few oils moved", 1000 * few, "ms", most=20),
        Line("its rounding and check in decimals", 1000 * typed, "ms", most=20),
        Line("why nothing fits, 30 oils x 250 rows", 1000 * blamed, "ms", most=60),
        Line("all ways for 6 oils with wishes", 1000 * asked, "ms", most=60),
        Line("check of a scent of 6 oils", 1000 * checked, "ms", most=5),
        Line("names on the label of 6 oils", 1000 * named, "ms", most=5),
    ]
