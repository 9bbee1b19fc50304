"""Density of a heap of powder: what a spoon of it weighs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from blendlab.facts.palette import PEARLS
from blendlab.facts.read import Figure, figure, table

if TYPE_CHECKING:
    from blendlab.shelf import Pigment

DENSITIES = "batch/densities"
PEARL = "mica pearl powder, bulk"
_HEAPS = {
    "iron oxide powder, bulk": frozenset({"77491", "77492", "77499"}),
    "ultramarine powder, bulk": frozenset({"77007"}),
    "titanium dioxide powder, bulk": frozenset({"77891"}),
    "kaolin powder, bulk": frozenset({"77004"}),
}


def bulk_density(pigment: Pigment) -> Figure:
    """Density of a heap of pigment powder [g/ml], for a spoon only; a wide range for a kind not known.

    >>> from blendlab.facts.palette import starter
    >>> bulk_density(starter("ultramarine_blue")).high
    0.85
    """
    if pigment.group in PEARLS:
        return figure(DENSITIES, PEARL)
    for name, numbers in _HEAPS.items():
        if pigment.ci and set(pigment.ci) <= numbers:
            return figure(DENSITIES, name)
    loose = [row.key[0] for row in table(DENSITIES) if row["kind"] == "bulk_loose"]
    heaps = [figure(DENSITIES, name) for name in loose]
    return figure(DENSITIES, PEARL)._replace(
        low=min(heap.low for heap in heaps), high=max(heap.high for heap in heaps)
    )
