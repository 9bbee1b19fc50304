"""What another window took from the shelf while this page still offers it: a sentence, nothing changes."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.ui import words
from tests.ui.conftest import Pages


@pytest.mark.parametrize(
    ("page", "field", "kind", "path"),
    [
        ("look", "p.tones.0.doses.0.pigment.id", "pigment", "tones"),
        ("look", "p.top.dust", "pigment", "top"),
        ("look", "p.jar.id", "jar", "jar"),
        ("scent", "add-oil", "oil", "scent"),
    ],
)
def test_what_is_gone_meanwhile_is_answered_and_changes_nothing(folder, page, field, kind, path):
    pages = Pages().go(page)
    before = pages.design[path]
    offered = pages.at.selectbox(key=field)
    gone = next(
        item.id
        for item in store.read_shelf(folder).of(kind)
        if item.name in " ".join(offered.options) and item.id not in str(before)
    )
    offered.set_value(gone)
    store.delete_item(folder, kind, gone)
    pages.run()
    assert words.GONE.format(item=gone) in pages.said
    assert words.NOT_DONE not in pages.said
    assert pages.design[path] == before
