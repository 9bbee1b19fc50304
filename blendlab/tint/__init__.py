"""Percents of pigment in a white whipped base to a colour somebody sees."""

from blendlab.tint.difference import delta_e_2000
from blendlab.tint.judging import findings
from blendlab.tint.mixing import mix
from blendlab.tint.prediction import Tint, predict
from blendlab.tint.recovery import pigment_from_hex
from blendlab.tint.seeing import Seen, bulk, see
from blendlab.tint.spectra import LAMPS
from blendlab.tint.uncertainty import Spread, alone, spread
from blendlab.tint.vision import EYES

__all__ = [
    "EYES",
    "LAMPS",
    "Seen",
    "Spread",
    "Tint",
    "alone",
    "bulk",
    "delta_e_2000",
    "findings",
    "mix",
    "pigment_from_hex",
    "predict",
    "see",
    "spread",
]
