"""Raw materials, the whipped base and the scales of the demo shelf; all invented."""

from __future__ import annotations

from functools import cache

from blendlab.facts.read import Row, maybe_number, number, table
from blendlab.recipe import Ref
from blendlab.shelf import BaseLine, Component, Ingredient, Scale


@cache
def ingredients() -> tuple[Ingredient, ...]:
    """Raw materials of the demo shelf, invented.

    >>> [item.name for item in ingredients() if item.function == "preservative"]
    ['Preservative A']
    """
    inside: dict[str, list[Component]] = {}
    for row in table("batch/components"):
        low, high = number(row, "low_pct"), number(row, "high_pct")
        part = Component(inci=row["inci"], cas=row["cas"], low_pct=low, high_pct=high)
        inside.setdefault(row["ingredient"], []).append(part)
    return tuple(_ingredient(row, tuple(inside[row["id"]])) for row in table("batch/ingredients"))


def _ingredient(row: Row, components: tuple[Component, ...]) -> Ingredient:
    return Ingredient(
        id=row["id"],
        name=row["name"],
        function=row["function"],
        phase=row["phase"],
        components=components,
        water_pct=maybe_number(row, "water_pct"),
        active_pct=number(row, "active_pct"),
        density_g_ml=maybe_number(row, "density_g_ml"),
        charge=row["charge"],
        price_per_g=maybe_number(row, "price_per_g"),
        low_pct=maybe_number(row, "low_pct"),
        high_pct=maybe_number(row, "high_pct"),
        add_below_c=maybe_number(row, "add_below_c"),
        care=row["care"],
    )


@cache
def whip_formula() -> tuple[BaseLine, ...]:
    """Lines of the demo's whipped base, percent of the base; they add up to 100.

    >>> round(sum(line.pct for line in whip_formula()), 6)
    100.0
    """
    return tuple(
        BaseLine(ingredient=Ref(kind="ingredient", id=row["ingredient"]), pct=number(row, "pct"))
        for row in table("batch/whip_formula")
    )


def scales() -> tuple[Scale, ...]:
    """A kitchen scale and a fine scale.

    >>> [scale.step_g for scale in scales()]
    [1.0, 0.01]
    """
    return tuple(
        Scale(
            id=row["id"],
            name=row["name"],
            step_g=number(row, "step_g"),
            capacity_g=number(row, "capacity_g"),
        )
        for row in table("batch/scales")
    )
