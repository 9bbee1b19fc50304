"""Which swatch would narrow the spread of her saved cards most."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from blendlab.facts.read import figure
from blendlab.recipe import Design
from blendlab.shelf import Shelf, resolve
from blendlab.tint.arrays import Array
from blendlab.tint.difference import metric
from blendlab.tint.prediction import ToneRecipe, tone_recipe, tone_recipes
from blendlab.tint.spectra import lab_of
from blendlab.tint.swatches import hiding_mm

_STEP, _WIDEST = 1e-3, 1.5


@dataclass(frozen=True)
class Suggestion:
    """A swatch worth making.

    doses   pigment id -> percent: one pigment, or the doses of a tone as one mixed swatch
    names   of the pigments
    before  spread over her saved tones, mean CIEDE2000
    after   the same once this swatch is measured
    tones   how many tones it narrows
    mm      how deep it must be filled to hide what is behind it
    """

    doses: Mapping[str, float]
    names: tuple[str, ...]
    before: float
    after: float
    tones: int
    mm: int

    @property
    def words(self) -> str:
        """The swatch as a sentence with its numbers."""
        what = " with ".join(
            f"{pct:.2g} % {name}" for name, pct in zip(self.names, self.doses.values(), strict=True)
        )
        narrower = "1 tone" if self.tones == 1 else f"{self.tones} tones"
        kind = "one mixed swatch" if len(self.doses) > 1 else "a swatch"
        return (
            f"Measure {kind} of {what}, {self.mm} mm deep or more: the spread of your cards falls "
            f"from Delta E {self.before:.1f} to {self.after:.1f} on average ({narrower} narrower)."
        )


def calibrate_next(designs: Iterable[Design], shelf: Shelf, count: int = 3) -> tuple[Suggestion, ...]:
    """The swatches that would cut the spread of saved cards most, the best first.

    Pigments are taken as the shelf knows them today. First order in the logarithm of the strengths, cut
    where a pigment can no more than vanish.
    """
    tones = [tone for design in designs for tone in _tones(design, shelf)]
    if not tones:
        return ()
    sd = {pigment.id: pigment.strength_sd for tone in tones for pigment in tone.recipe.pigments}
    widths = _widths(tones, list(sd))
    now = widths(sd)
    tried: dict[tuple[tuple[str, float], ...], tuple[ToneRecipe, Array]] = {}
    for swatch, learned in _candidates(tones, sd):
        doses = tuple(sorted(_doses(swatch).items()))
        if doses not in tried:
            tried[doses] = swatch, widths({**sd, **learned})
    useful = [(swatch, then) for swatch, then in tried.values() if now.mean() - then.mean() > 0.01]
    useful.sort(key=lambda each: (round(float(each[1].mean()), 2), each[0].c.size))
    return tuple(
        Suggestion(
            _doses(swatch),
            tuple(pigment.name for pigment in swatch.pigments),
            float(now.mean()),
            float(then.mean()),
            int((now - then > 0.05).sum()),
            hiding_mm(*swatch.mixed()[:2]),
        )
        for swatch, then in useful[:count]
    )


def _doses(swatch: ToneRecipe) -> dict[str, float]:
    return dict(zip((pigment.id for pigment in swatch.pigments), swatch.c.tolist(), strict=True))


@dataclass(frozen=True, eq=False)
class _Tone:
    """Recipe of a tone, and its steps of about CIEDE2000 by logarithm of strength [3, n]."""

    recipe: ToneRecipe
    slope: Array


def _tones(design: Design, shelf: Shelf) -> Iterator[_Tone]:
    """The coloured tones of a design with today's pigments; none where something of it is not there."""
    today = Shelf(shelf.items)
    used = [design.base, design.jar, *(dose.pigment for tone in design.tones for dose in tone.doses)]
    if not all(today.has(ref) for ref in used):
        return
    for recipe in tone_recipes(resolve(design, today)):
        if recipe.c.any():
            likely = lab_of(recipe.mixed()[2])
            steps = np.exp(_STEP * np.eye(recipe.c.size))
            slope = (lab_of(recipe.mixed(steps)[2]) - likely) / _STEP
            yield _Tone(recipe, metric(likely) @ slope.T)


def _widths(tones: Sequence[_Tone], ids: Sequence[str]) -> Callable[[Mapping[str, float]], Array]:
    """Doubts of the strengths -> spread of each tone, root of the mean square in CIEDE2000.

    ids  of all pigments of the tones
    """
    columns = {name: at for at, name in enumerate(ids)}
    squares = np.zeros((len(tones), len(ids)))
    for row, tone in zip(squares, tones, strict=True):
        np.add.at(row, [columns[pigment.id] for pigment in tone.recipe.pigments], (tone.slope**2).sum(axis=0))

    def widths(sd: Mapping[str, float]) -> Array:
        doubts = np.array([_bent(sd[name]) for name in ids])
        return np.asarray(np.sqrt(squares @ doubts**2))

    return widths


def _bent(sd: float) -> float:
    """A doubt in the logarithm as a doubt of the strength that cannot fall below none."""
    half = float(np.sinh(min(sd, _WIDEST))) / 2.0
    return 2.0 * half / (1.0 + half)


def _candidates(
    tones: Sequence[_Tone], sd: Mapping[str, float]
) -> Iterator[tuple[ToneRecipe, dict[str, float]]]:
    """Swatches of one pigment, and of a whole tone, with the doubts they would leave."""
    alone = figure("tint", "lot_sd").value
    for tone in tones:
        recipe = tone.recipe
        for pigment, pct in zip(recipe.pigments, recipe.c, strict=True):
            if sd[pigment.id] > 1.2 * alone:
                yield tone_recipe(recipe.tone, recipe.base, [(pigment, pct)]), {pigment.id: alone}
        ids = [pigment.id for pigment in recipe.pigments]
        if len(ids) > 1 and len(set(ids)) == len(ids):
            learned = _learned(tone, sd)
            if any(learned[name] < sd[name] for name in ids):
                yield recipe, learned


def _learned(tone: _Tone, sd: Mapping[str, float]) -> dict[str, float]:
    """Doubts of the strengths after one mixed swatch of a tone."""
    ids = [pigment.id for pigment in tone.recipe.pigments]
    prior = np.array([sd[name] for name in ids])
    taught = tone.slope.T @ tone.slope / figure("tint", "jar_error").value ** 2
    left = np.sqrt(np.diag(np.linalg.inv(np.diag(1.0 / prior**2) + taught)))
    least = figure("tint", "lot_sd").value
    return {name: min(max(float(doubt), least), sd[name]) for name, doubt in zip(ids, left, strict=True)}
