"""A book in a folder, and a batch sheet of two tones."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.batch import Plan
from blendlab.batch.plan import plan
from blendlab.shelf import resolve
from tests.batch import plans_to_try as tries


@pytest.fixture
def folder(tmp_path) -> store.Folder:
    return store.Folder(tmp_path)


@pytest.fixture
def book(folder) -> store.Book:
    return store.open_book(folder)


@pytest.fixture(scope="session")
def sheet() -> Plan:
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
