"""What the findings of a look are judged on: the design, its tints, each worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from blendlab.recipe import Tone
from blendlab.shelf import DosedTone, Pigment, Resolved
from blendlab.tint.arrays import Array
from blendlab.tint.prediction import Tint, ToneRecipe, tone_recipes
from blendlab.tint.spectra import lab_of
from blendlab.tint.uncertainty import Spread, spread, trials


@dataclass(frozen=True)
class Look:
    """A design with what it is judged on.

    tints    of `predict`, by tone id
    spreads  of `spread`, by tone id; None = worked out when asked for
    """

    resolved: Resolved
    tints: Mapping[str, Tint]
    given: Mapping[str, Spread] | None = None

    @cached_property
    def recipes(self) -> dict[str, ToneRecipe]:
        """Recipe by tone id."""
        return {recipe.tone: recipe for recipe in tone_recipes(self.resolved)}

    @cached_property
    def spreads(self) -> Mapping[str, Spread]:
        """Spread by tone id."""
        return spread(self.resolved) if self.given is None else self.given

    @cached_property
    def tried(self) -> dict[str, Array]:
        """Lab [trials, 3] by tone id."""
        return {tone: lab_of(trials(recipe)) for tone, recipe in self.recipes.items()}

    def dosed(self, tone: Tone) -> DosedTone:
        """A tone with its pigments."""
        return next(dosed for dosed in self.resolved.tones if dosed.id == tone.id)

    def pigment(self, pigment_id: str) -> Pigment | None:
        """The pigment of that id, of the tones or of the dusted top."""
        same = (pigment for pigment in self.resolved.pigments if pigment.id == pigment_id)
        return next(same, None)

    def pairs(self) -> Iterator[tuple[Tone, Tone]]:
        """Every two tones, in the order of the design."""
        yield from combinations(self.resolved.design.tones, 2)
