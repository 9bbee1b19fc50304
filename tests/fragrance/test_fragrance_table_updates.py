"""A table that is brought in anew says only what it has columns for."""

from __future__ import annotations

import pytest

from blendlab.fragrance.oil_columns import column
from blendlab.fragrance.oil_table import updated
from tests.fragrance.kit import declared, oil, sheet

OLD = oil("Oil", sheet(c9=4.0), supplier="old", notes=(1.0, 0, 0), declaration=declared(), price_per_g=0.1)
NEW = oil("Oil", sheet(c9=2.0), supplier="new", notes=(0, 0, 1.0), declaration=None, price_per_g=0.2)


@pytest.mark.parametrize(
    ("heads", "taken"),
    [
        ((), set()),
        (("Supplier",), {"supplier"}),
        (("Category 9",), {"sheet"}),
        (("106-24-1",), {"declaration"}),
        (("Top", "Middle", "Base"), {"notes"}),
    ],
)
def test_what_has_no_column_stays_as_it_was(heads, taken):
    made = updated(OLD, NEW, [column(head) for head in heads])
    for name in ("supplier", "sheet", "declaration", "notes", "price_per_g"):
        assert getattr(made, name) == getattr(NEW if name in taken else OLD, name), name
