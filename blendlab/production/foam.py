"""The foam of a base as her book knows it: her own range in the place of the usual one."""

from __future__ import annotations

from blendlab import store
from blendlab.batch import Density
from blendlab.facts.read import figure
from blendlab.recipe import Design
from blendlab.store import Book


def cups(book: Book, design: Design) -> tuple[float, ...]:
    """Her newest level cups of the base of a design, whipped as it asks for [g/ml]; no foam, no cup."""
    known = store.foam_cups(book, design.base.id, design.product, design.batch.overrun_pct)
    usual, most = figure("batch", "foam_true"), int(figure("batch", "foam_cups").value)
    return tuple(g_ml for g_ml in known if usual.low <= g_ml <= usual.high)[-most:]


def words(foam: Density) -> str:
    """Her own range in words; "" where it does not come from her book.

    >>> words(Density(0.605, 0.58, 0.63, weighed=True, cups=6))
    'your 6 cups: 0.58-0.63 g/ml'
    """
    if not foam.cups:
        return ""
    said = "your cup" if foam.cups == 1 else f"your {foam.cups} cups"
    both = f"{foam.low:.2f}-{foam.high:.2f}" if foam.low != foam.high else f"{foam.low:.2f}"
    return f"{said}: {both} g/ml"
