"""The demo line, judged once on one day."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab.assess import Assessment, assess
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.shelf import Shelf

DAY = date(2026, 3, 7)


@pytest.fixture(scope="session")
def line() -> list[Assessment]:
    return [assess(design, demo_shelf(), DAY) for design in demo_designs(demo_shelf())]


@pytest.fixture(scope="session")
def lagoon(line) -> Assessment:
    return line[0]


@pytest.fixture(scope="session")
def bare() -> Assessment:
    """A design whose jar and base nobody has."""
    return assess(demo_designs(demo_shelf())[0], Shelf(), DAY)
