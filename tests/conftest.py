"""What several rooms test with."""

from __future__ import annotations

import warnings

import pytest


@pytest.fixture(scope="session")
def colour():
    """colour-science, the second route; its import warns where plotting is not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour
