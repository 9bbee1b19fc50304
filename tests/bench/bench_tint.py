"""100,000 fresh recipes against their own primitive passes and against one spectrum at a time."""

from __future__ import annotations

import dataclasses
from io import BytesIO
from itertools import cycle
from math import comb

import numpy as np
from PIL import Image

from blendlab.facts.palette import bases, pigments
from blendlab.photo import Box, Marks, measure, open_picture
from blendlab.shelf import Pigment
from blendlab.tint import bulk
from blendlab.tint.recipe_search import match
from tests.bench.line import Line, best

RECIPES, CHUNK = 100_000, 2000


def lines() -> list[Line]:
    starters, base = pigments(), bases()[0]
    k, s = (np.array([getattr(pigment, part) for pigment in starters]) for part in ("k", "s"))
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
        *_matches(),
        Line("one 12-megapixel photo with a card to a swatch", _one_photo() * 1e3, "ms", most=2000),
    ]


def _matches() -> list[Line]:
    """All sets of at most three pigments, the later stages with it, by the number of pigments."""
    found = []
    for count, most in ((10, None), (20, None), (40, 1000), (60, None)):
        shelf = _shelf(count)
        took = best(lambda shelf=shelf: match((70.0, 20.0, -15.0), shelf, bases()[0]), 3)
        sets = sum(comb(count, size) for size in (1, 2, 3))
        name = f"singles, pairs, triples of {count} pigments against one target"
        found.append(Line(name, took * 1e3, "ms", most=most, remark=f"{sets} sets"))
    return found


def _shelf(count: int) -> list[Pigment]:
    """So many pigments: the starters, then bent copies of them."""
    rng = np.random.default_rng(13)
    starters = pigments()
    return [
        pigment
        if at < len(starters)
        else dataclasses.replace(pigment, id=f"{pigment.id}-{at}", k=_bent(pigment, rng))
        for at, pigment in zip(range(count), cycle(starters), strict=False)
    ]


def _bent(pigment: Pigment, rng: np.random.Generator) -> tuple[float, ...]:
    return tuple(np.multiply(pigment.k, rng.uniform(0.7, 1.4, 31)))


def _one_photo() -> float:
    """A JPEG of 4000 x 3000 pixels from its bytes to the colour of a swatch [s]."""
    grey, red = np.full(3, 120), np.array([190, 120, 110])
    pixels = np.concatenate([np.tile(colour, (3000, 2000, 1)) for colour in (grey, red)], axis=1)
    grain = np.random.default_rng(3).integers(-4, 5, pixels.shape)
    out = BytesIO()
    Image.fromarray(np.clip(pixels + grain, 0, 255).astype(np.uint8)).save(out, "JPEG", quality=92)
    marks = Marks({"red": Box(0.6, 0.2, 0.3, 0.6)}, card=Box(0.1, 0.2, 0.3, 0.6))
    return best(lambda: measure(open_picture(out.getvalue()), marks), 3)


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
