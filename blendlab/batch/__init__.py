"""A design -> weighed lines. So far: how heavy the whipped base is."""

from blendlab.batch.whip import Density, whipped_density

__all__ = ["Density", "whipped_density"]
