"""What the findings of a look are judged on: the design, its shelf, its tints, each worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from blendlab.recipe import Design, Tone
from blendlab.shelf import Base, Pigment, Shelf
from blendlab.tint.arrays import Array
from blendlab.tint.prediction import Portion, Tint, portions
from blendlab.tint.spectra import lab_of
from blendlab.tint.uncertainty import Spread, spread, trials


@dataclass(frozen=True)
class Look:
    """A design with what it is judged on.

    tints    of `predict`, by tone id
    spreads  of `spread`, by tone id; None = worked out when asked for
    """

    design: Design
    shelf: Shelf
    tints: Mapping[str, Tint]
    given: Mapping[str, Spread] | None = None

    @cached_property
    def base(self) -> Base:
        """The base of the design."""
        found: Base = self.shelf.find(self.design.base)
        return found

    @cached_property
    def portions(self) -> dict[str, Portion]:
        """Portion by tone id."""
        return {one.tone: one for one in portions(self.design, self.shelf)}

    @cached_property
    def spreads(self) -> Mapping[str, Spread]:
        """Spread by tone id."""
        return spread(self.design, self.shelf) if self.given is None else self.given

    @cached_property
    def tried(self) -> dict[str, Array]:
        """Lab [trials, 3] by tone id."""
        return {tone: lab_of(trials(portion)) for tone, portion in self.portions.items()}

    def pigments(self, tone: Tone) -> list[Pigment]:
        """Pigments of a tone in the order of its doses."""
        return [self.shelf.find(dose.pigment) for dose in tone.doses]

    def pairs(self) -> Iterator[tuple[Tone, Tone]]:
        """Every two tones, in the order of the design."""
        yield from combinations(self.design.tones, 2)
