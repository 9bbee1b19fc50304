"""A stored moment as she reads it: by the clock of the machine she reads it on, the same everywhere."""

from __future__ import annotations

import pytest

from blendlab.codec import local_time


@pytest.mark.parametrize(
    ("zone", "said"),
    [
        ("UTC", "2026-03-07 23:30"),
        ("CET-1CEST,M3.5.0,M10.5.0/3", "2026-03-08 00:30"),  # an hour ahead in winter: the day after
        ("EST5EDT,M3.2.0,M11.1.0", "2026-03-07 18:30"),
    ],
)
def test_a_moment_is_told_by_the_clock_of_this_machine(clock_of, zone, said):
    clock_of(zone)
    assert local_time("2026-03-07T23:30:12.345+00:00") == said


def test_what_is_no_moment_stands_as_it_is():
    assert local_time("") == ""
    assert local_time("last week") == "last week"
