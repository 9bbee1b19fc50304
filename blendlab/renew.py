"""Today's shelf in the place of the revisions a design took."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from blendlab import tint
from blendlab.errors import Finding
from blendlab.recipe import Design, Place, Ref, places, repointed
from blendlab.shelf import Item, Shelf, resolve
from blendlab.tint.spectra import lab_of


def changed(design: Design, shelf: Shelf) -> dict[str, Item]:
    """Path of a reference -> today's item, where it differs from the revision the design took.

    What went into a test jar stays as it was.
    """
    found = ((place.path, shelf.newer(place.ref)) for place in places(design) if not place.past)
    return {path: item for path, item in found if item is not None}


def renewed(design: Design, shelf: Shelf) -> Design:
    """The design with every reference naming today's item."""

    def today(place: Place) -> Ref:
        item = None if place.past else shelf.newer(place.ref)
        return place.ref if item is None else item.ref

    return repointed(design, today)


def findings(design: Design, shelf: Shelf) -> Iterator[Finding]:
    """What changed on the shelf since the design took it, and by how much the tones would move."""
    newer = changed(design, shelf)
    if not newer:
        return
    names = ", ".join(dict.fromkeys(item.name for item in newer.values()))
    yield Finding(
        "note",
        "newer",
        "look.shelf",
        f"Changed on the shelf since this design took it: {names}. {_moves(design, shelf)}",
        "Recompute with today's shelf, or keep the design as it was.",
        "your shelf",
        {f"{path}.rev": item.rev for path, item in newer.items()},
        "Recompute with today's shelf",
    )


def _moves(design: Design, shelf: Shelf) -> str:
    before = tint.predict(resolve(replace(design, weeks=0.0), shelf))
    after = tint.predict(resolve(replace(renewed(design, shelf), weeks=0.0), shelf))
    steps = {
        tone.name: float(tint.delta_e_2000(lab_of(before[tone.id].R), lab_of(after[tone.id].R)))
        for tone in design.tones
    }
    name, most = max(steps.items(), key=lambda step: step[1])
    if most < 0.05:
        return "The colours stay as they are."
    return f"{name} would move by Delta E {most:.1f}."
