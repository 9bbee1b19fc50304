"""Percents of pigment in a white whipped base to a colour somebody sees."""

from blendlab.recipe import EYES, LAMPS
from blendlab.tint.calibration import calibrate
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.findings import findings
from blendlab.tint.gamut_map import reach
from blendlab.tint.kubelka_munk import mix
from blendlab.tint.next_swatch import calibrate_next
from blendlab.tint.prediction import Tint, predict
from blendlab.tint.recipe_ranking import Wanted, ways
from blendlab.tint.recipe_search import match
from blendlab.tint.recovery import pigment_from_hex
from blendlab.tint.seen_colour import Seen, bulk, see
from blendlab.tint.strength_correction import Made, correct
from blendlab.tint.uncertainty import DoseWeighing, Spread, alone, spread

__all__ = [
    "EYES",
    "LAMPS",
    "DoseWeighing",
    "Made",
    "Seen",
    "Spread",
    "Tint",
    "Wanted",
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
