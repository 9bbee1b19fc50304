"""A picture file -> patches of colour."""

from blendlab.photo.card import CARDS, Colour, Marks, Measured, Refused, measure
from blendlab.photo.outline import outlined
from blendlab.photo.patch import Patch, middle
from blendlab.photo.picture import BadPicture, Box, Picture, open_picture

__all__ = [
    "CARDS",
    "BadPicture",
    "Box",
    "Colour",
    "Marks",
    "Measured",
    "Patch",
    "Picture",
    "Refused",
    "measure",
    "middle",
    "open_picture",
    "outlined",
]
