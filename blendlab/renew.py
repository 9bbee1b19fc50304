"""Today's shelf in the place of the revisions a design took."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from blendlab import tint
from blendlab.codec import encode
from blendlab.errors import Finding
from blendlab.recipe import Design, Ref, from_dict
from blendlab.shelf import Item, Shelf
from blendlab.tint.uncertainty import lab_of


def places(design: Design) -> Iterator[tuple[str, Ref]]:
    """Every reference of a design with its dotted path in the design dict."""
    yield "jar", design.jar
    yield "base", design.base
    for at, tone in enumerate(design.tones):
        for position, dose in enumerate(tone.doses):
            yield f"tones.{at}.doses.{position}.pigment", dose.pigment
    for at, share in enumerate(design.scent.oils):
        yield f"scent.oils.{at}.oil", share.oil
    if design.top.dust:
        yield "top.dust.pigment", design.top.dust.pigment


def changed(design: Design, shelf: Shelf) -> dict[str, Item]:
    """Path of a reference -> today's item, where it differs from the revision the design took."""
    found = ((path, shelf.newer(ref)) for path, ref in places(design))
    return {path: item for path, item in found if item is not None}


def renewed(design: Design, shelf: Shelf) -> Design:
    """The design with every reference naming today's item."""
    plain: dict[str, Any] = encode(design)
    for path, item in changed(design, shelf).items():
        *stem, leaf = path.split(".")
        target: Any = plain
        for step in stem:
            target = target[int(step)] if isinstance(target, list) else target[step]
        target[leaf] = encode(item.ref)
    return from_dict(plain)


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
    before = tint.predict(replace(design, weeks=0.0), shelf)
    after = tint.predict(replace(renewed(design, shelf), weeks=0.0), shelf)
    steps = {
        tone.name: float(tint.delta_e_2000(lab_of(before[tone.id].R), lab_of(after[tone.id].R)))
        for tone in design.tones
    }
    name, most = max(steps.items(), key=lambda one: one[1])
    if most < 0.05:
        return "The colours stay as they are."
    return f"{name} would move by Delta E {most:.1f}."
