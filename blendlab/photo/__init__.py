"""A picture file -> patches of colour."""

from blendlab.photo.card import CARDS, Colour, Marks, Measured, Refused, measure
from blendlab.photo.kept import MOST_PX, as_kept
from blendlab.photo.outline import outlined
from blendlab.photo.patch import Patch, middle
from blendlab.photo.picture import MOST_BYTES, BadPicture, Box, Picture, open_picture, refuse_unfit

__all__ = [
    "CARDS",
    "MOST_BYTES",
    "MOST_PX",
    "BadPicture",
    "Box",
    "Colour",
    "Marks",
    "Measured",
    "Patch",
    "Picture",
    "Refused",
    "as_kept",
    "measure",
    "middle",
    "open_picture",
    "outlined",
    "refuse_unfit",
]
