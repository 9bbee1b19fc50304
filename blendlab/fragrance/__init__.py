"""Shares of oils -> percent on skin: limits, notes, names on a label, the closest blend, volatility."""

from blendlab.fragrance.blend import SharesOff
from blendlab.fragrance.check import check, keeps
from blendlab.fragrance.labels import Name, Names, Unanswered, declare
from blendlab.fragrance.result import Counts, Head, Route, Routes, ScentCheck, Without

__all__ = [
    "Counts",
    "Head",
    "Name",
    "Names",
    "Route",
    "Routes",
    "ScentCheck",
    "SharesOff",
    "Unanswered",
    "Without",
    "check",
    "declare",
    "keeps",
]
