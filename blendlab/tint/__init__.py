"""Percents of pigment in a white whipped base to a colour somebody sees."""

from blendlab.tint.calibration import calibrate
from blendlab.tint.choosing import Wanted, ways
from blendlab.tint.correcting import Made, calibrate_next, correct
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.judging import findings
from blendlab.tint.matching import match
from blendlab.tint.mixing import mix
from blendlab.tint.prediction import Tint, predict
from blendlab.tint.reaching import reach
from blendlab.tint.recovery import pigment_from_hex
from blendlab.tint.seeing import Seen, bulk, see
from blendlab.tint.spectra import LAMPS
from blendlab.tint.uncertainty import Spread, Weighed, alone, spread
from blendlab.tint.vision import EYES

__all__ = [
    "EYES",
    "LAMPS",
    "Made",
    "Seen",
    "Spread",
    "Tint",
    "Wanted",
    "Weighed",
    "alone",
    "bulk",
    "calibrate",
    "calibrate_next",
    "correct",
    "delta_e_2000",
    "findings",
    "match",
    "mix",
    "pigment_from_hex",
    "predict",
    "reach",
    "see",
    "spread",
    "ways",
]
