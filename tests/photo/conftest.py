import sys
import warnings
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session")
def colour():
    """colour-science, the second route; its import warns where plotting is not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour
