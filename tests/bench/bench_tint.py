"""100,000 fresh recipes against their own primitive passes and against one spectrum at a time."""

from __future__ import annotations

import dataclasses

import numpy as np

from blendlab.facts.palette import bases, pigments
from blendlab.tint import bulk
from blendlab.tint.matching import match
from tests.bench.line import Line, best

RECIPES, CHUNK = 100_000, 2000


def lines() -> list[Line]:
    starters, base = pigments(), bases()[0]
    k, s = (np.array([getattr(one, part) for one in starters]) for part in ("k", "s"))
    rng = np.random.default_rng(7)
    c = np.zeros((RECIPES, len(starters)))
    picks = rng.permuted(np.tile(np.arange(len(starters)), (RECIPES, 1)), axis=1)[:, :3]
    np.put_along_axis(c, picks, rng.uniform(0.01, 1.0, picks.shape), axis=1)
    ours = best(lambda: bulk(c, k, s, base.k0, base.s0))
    floor = _primitive_passes(c, k)
    single = _one_spectrum()
    name = f"{RECIPES} recipes of 3 pigments to Lab, Oklab, sRGB"
    return [
        Line(name, ours * 1e3, "ms", remark="float64, chunked"),
        Line(f"{name}: against its primitive passes", ours / floor, "x", most=2.5),
        Line("one sd_to_XYZ + XYZ_to_Lab against one such recipe", single * RECIPES / ours, "x", least=500),
        Line(
            "singles, pairs, triples of 40 pigments against one target", _one_match() * 1e3, "ms", most=1000
        ),
    ]


def _one_match() -> float:
    """All sets of at most three of 40 pigments, the later stages with it [s]."""
    rng = np.random.default_rng(13)
    starters = pigments()
    others = [
        dataclasses.replace(one, id=f"{one.id}-other", k=tuple(np.multiply(one.k, rng.uniform(0.7, 1.4, 31))))
        for one in starters[-15:]
    ]
    return best(lambda: match((70.0, 20.0, -15.0), [*starters, *others], bases()[0]), 3)


def _primitive_passes(c: np.ndarray, k: np.ndarray) -> float:
    """Sum of the least arithmetic, each pass by itself in the same chunks [s]."""
    wide, narrow = np.full((CHUNK, 31), 0.5), np.full((CHUNK, 3), 0.5)
    out, small = np.empty_like(wide), np.empty_like(narrow)
    weights, square = np.ones((31, 3)), np.eye(3)
    part = np.ascontiguousarray(c[:CHUNK])
    once = [
        (2, lambda: np.matmul(part, k, out=out)),
        (1, lambda: np.sqrt(wide, out=out)),
        (2, lambda: np.divide(wide, wide, out=out)),
        (6, lambda: np.add(wide, wide, out=out)),
        (1, lambda: np.matmul(wide, weights, out=small)),
        (4, lambda: np.matmul(narrow, square, out=small)),
        (2, lambda: np.cbrt(narrow, out=small)),
        (1, lambda: np.power(narrow, 1 / 2.4, out=small)),
    ]
    return RECIPES / CHUNK * sum(times * best(work, 50) for times, work in once)


def _one_spectrum() -> float:
    """Shortest time of one fresh spectrum through colour-science [s]."""
    import colour

    rng = np.random.default_rng(11)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    lamp = colour.SDS_ILLUMINANTS["D65"]
    wavelengths = range(400, 701, 10)

    def work() -> object:
        spectrum = colour.SpectralDistribution(dict(zip(wavelengths, rng.uniform(0.1, 0.9, 31), strict=True)))
        return colour.XYZ_to_Lab(colour.sd_to_XYZ(spectrum, observer, lamp) / 100)

    return best(work, 30)
