"""Shares of oils -> percent on skin: limits, notes, names on a label, the closest blend, volatility."""

from blendlab.fragrance.blend import SharesOff
from blendlab.fragrance.check import check, keeps
from blendlab.fragrance.closest import Change, Closest, Proposal, closest
from blendlab.fragrance.entry import BadCas, read_cas, read_declaration, read_limits
from blendlab.fragrance.labels import Name, Names, Unanswered, declare
from blendlab.fragrance.result import Counts, Head, Route, Routes, ScentCheck, Without
from blendlab.fragrance.sheets import SheetState, sheet_state
from blendlab.fragrance.volatility import Fade, Whiff, fade, headspace

__all__ = [
    "BadCas",
    "Change",
    "Closest",
    "Counts",
    "Fade",
    "Head",
    "Name",
    "Names",
    "Proposal",
    "Route",
    "Routes",
    "ScentCheck",
    "SharesOff",
    "SheetState",
    "Unanswered",
    "Whiff",
    "Without",
    "check",
    "closest",
    "declare",
    "fade",
    "headspace",
    "keeps",
    "read_cas",
    "read_declaration",
    "read_limits",
    "sheet_state",
]
