"""Shares of oils -> percent on skin: limits, notes, names on a label, the closest blend, volatility."""

from blendlab.fragrance.blend import SharesOff
from blendlab.fragrance.check import check
from blendlab.fragrance.closest import closest
from blendlab.fragrance.dilutions import diluted
from blendlab.fragrance.entry import read_declaration, read_limits
from blendlab.fragrance.labels import Name, Names, Unanswered, declare
from blendlab.fragrance.proposals import Change, Closest, Proposal, Relaxed
from blendlab.fragrance.registry_numbers import BadCas, read_cas
from blendlab.fragrance.result import Counts, Head, Route, Routes, ScentCheck, Without
from blendlab.fragrance.review_dates import Reason, ahead, since
from blendlab.fragrance.sheets import SheetState, sheet_state
from blendlab.fragrance.volatility import Fade, Whiff, fade, headspace
from blendlab.fragrance.wording import Impression, imitation, label_warnings, of_words, signs

__all__ = [
    "BadCas",
    "Change",
    "Closest",
    "Counts",
    "Fade",
    "Head",
    "Impression",
    "Name",
    "Names",
    "Proposal",
    "Reason",
    "Relaxed",
    "Route",
    "Routes",
    "ScentCheck",
    "SharesOff",
    "SheetState",
    "Unanswered",
    "Whiff",
    "Without",
    "ahead",
    "check",
    "closest",
    "declare",
    "diluted",
    "fade",
    "headspace",
    "imitation",
    "label_warnings",
    "of_words",
    "read_cas",
    "read_declaration",
    "read_limits",
    "sheet_state",
    "signs",
    "since",
]
