"""Today's shelf in the place of the revisions a design took."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from blendlab import tint
from blendlab.errors import Finding
from blendlab.recipe import Design, Place, Ref, places, repointed
from blendlab.shelf import Item, Shelf, resolve
from blendlab.tint.spectra import lab_of

NEWER = "newer"
"""Id of the finding about things that were changed on the shelf."""
LEAST_STEP = 0.05
"""A step of colour below it is shown as 0.0."""


@dataclass(frozen=True)
class Newer:
    """A thing that was changed on the shelf since a design took it.

    item   as it stands on the shelf today
    names  what it was called then and what it is called now
    act    the change that makes the design use it: path in the design dict -> revision
    """

    item: Item
    names: tuple[str, ...]
    act: Mapping[str, str]

    def concerns(self, finding: Finding) -> bool:
        """Whether a finding speaks of this thing: by its place, or by name in the text."""
        step = finding.where.rpartition(".")[2]
        if step in (self.item.id, self.item.kind, f"{self.item.kind}:{self.item.id}"):
            return True
        return any(re.search(rf"(?<!\w){re.escape(name)}(?!\w)", finding.text) for name in self.names)


def newer(design: Design, shelf: Shelf) -> tuple[Newer, ...]:
    """Every thing that was changed on the shelf since a design took it, each once, in the order of use.

    What went into a test jar stays as it was.
    """
    found: dict[str, Newer] = {}
    for place in places(design):
        item = None if place.past else shelf.newer(place.ref)
        if item is None:
            continue
        key = f"{item.kind}:{item.id}"
        known = found.get(key, Newer(item, (item.name,), {}))
        names = dict.fromkeys((*known.names, shelf.find(place.ref).name))
        found[key] = replace(known, names=tuple(names), act={**known.act, f"{place.path}.rev": item.rev})
    return tuple(found.values())


def renewed(design: Design, shelf: Shelf) -> Design:
    """The design with every reference naming today's item."""

    def today(place: Place) -> Ref:
        item = None if place.past else shelf.newer(place.ref)
        return place.ref if item is None else item.ref

    return repointed(design, today)


def findings(design: Design, shelf: Shelf) -> Iterator[Finding]:
    """What changed on the shelf since the design took it, and by how much the tones would move."""
    found = newer(design, shelf)
    if not found:
        return
    names = ", ".join(each.item.name for each in found)
    yield Finding(
        "note",
        NEWER,
        "look.shelf",
        f"Changed on the shelf since this design took it: {names}. {_moves(design, shelf)}",
        "Recompute with today's shelf, or keep the design as it was.",
        "your shelf",
        {path: rev for each in found for path, rev in each.act.items()},
        "Recompute with today's shelf",
    )


def _moves(design: Design, shelf: Shelf) -> str:
    steps = moved((design, shelf), (renewed(design, shelf), shelf))
    name, most = max(steps.items(), key=lambda step: step[1])
    if most < LEAST_STEP:
        return "The colours stay as they are."
    return f"{name} would move by Delta E {most:.1f}."


def moved(before: tuple[Design, Shelf], after: tuple[Design, Shelf]) -> dict[str, float]:
    """How far each tone of a design, by its name, lies from itself in another state of design and shelf.

    Delta E 2000, freshly made. Raises UnknownName when base or jar are missing.
    """
    old, new = (tint.predict(resolve(replace(design, weeks=0.0), shelf)) for design, shelf in (before, after))
    return {
        tone.name: float(tint.delta_e_2000(lab_of(old[tone.id].R), lab_of(new[tone.id].R)))
        for tone in before[0].tones
    }
