"""A picture file -> patches of colour."""

from blendlab.photo.patch import Patch, middle

__all__ = ["Patch", "middle"]
