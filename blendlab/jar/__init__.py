"""From a design to a filled jar: volumes, grams, shares that are seen, and a picture of it."""

from blendlab.jar.advice import findings
from blendlab.jar.filling import Layout, Portion, default_turn, layout, turned
from blendlab.jar.marks import encode
from blendlab.jar.painter import halves, paint
from blendlab.jar.palette import Colours, colours
from blendlab.jar.sentence import describe

__all__ = [
    "Colours",
    "Layout",
    "Portion",
    "colours",
    "default_turn",
    "describe",
    "encode",
    "findings",
    "halves",
    "layout",
    "paint",
    "turned",
]
