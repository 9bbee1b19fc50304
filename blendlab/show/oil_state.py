"""What is known of an oil, in words and dates."""

from __future__ import annotations

from datetime import date, timedelta

from blendlab import fragrance
from blendlab.facts import library
from blendlab.facts.law import plant_parts
from blendlab.facts.read import figure
from blendlab.fragrance.sheets import ordinal
from blendlab.shelf import Oil


def library_names() -> dict[str, str]:
    """Library id -> name of every oil whose usual constituents are known."""
    return {oil.library_id: oil.name for oil in library.oils()}


def parts_of_plants() -> tuple[str, ...]:
    """Words for the part of the plant."""
    return tuple(plant_parts())


def sheet_words(oil: Oil, on: date) -> str:
    """What the state of an oil's sheet is, in words."""
    state = fragrance.sheet_state(oil, on)
    if oil.sheet is None:
        return state.word
    until = f", lot until {oil.expiry.isoformat()}" if oil.expiry else ""
    return f"{ordinal(oil.sheet.amendment)} amendment, {state.word}{until}"


def ahead(oil: Oil, on: date) -> tuple[fragrance.Reason, ...]:
    """Days soon ahead on which this oil has to be looked at again."""
    until = on + timedelta(days=int(figure("batch", "due_soon").value))
    return fragrance.ahead({oil.id: oil}, on, until, "whipped_soap", ())
