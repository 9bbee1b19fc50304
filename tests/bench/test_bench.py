"""The measurements can be started; what they measure is read by a person, never asserted here."""

from __future__ import annotations

import importlib
import pkgutil

import pytest

from tests import bench

MODULES = [module.name for module in pkgutil.iter_modules(bench.__path__) if module.name.startswith("bench_")]


@pytest.mark.parametrize("name", MODULES)
def test_every_measurement_finds_what_it_measures(name):
    assert callable(importlib.import_module(f"tests.bench.{name}").lines)
