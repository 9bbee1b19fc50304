"""What several rooms test with."""

from __future__ import annotations

import os
import time
import warnings

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")  # no test asserts a time, not even of one example


def pytest_xdist_auto_num_workers() -> int:
    """One worker more than there are cores: a browser walk leaves its core idle while a page answers."""
    return (os.cpu_count() or 1) + 1


@pytest.fixture(scope="session")
def colour():
    """colour-science, the second route; its import warns where plotting is not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


@pytest.fixture
def clock_of(monkeypatch):
    """The clock of another zone; that of this machine afterwards, whatever came of it."""

    def turn(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield turn
    monkeypatch.undo()
    time.tzset()
