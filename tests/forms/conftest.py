"""A folder with a few things of the demo shelf in it, to type into."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.facts.demo import demo_shelf
from blendlab.shelf import Shelf

OWNED = (
    ("base", "soap-white"),
    ("pigment", "ultramarine_blue"),
    ("pigment", "iron_oxide_yellow"),
    ("pigment", "mica_white"),
    ("oil", "lavender"),
    ("jar", "j120-70"),
    ("ingredient", "glycerin"),
)


@pytest.fixture
def folder(tmp_path) -> store.Folder:
    made = store.Folder(tmp_path)
    for kind, item_id in OWNED:
        store.save_item(made, demo_shelf().today(kind, item_id), None)
    return made


@pytest.fixture
def shelf(folder) -> Shelf:
    return store.read_shelf(folder)


@pytest.fixture
def book(folder) -> store.Book:
    return store.open_book(folder)
