"""Pictures made for the tests: flat patches of known reflectance under a light with a tint, through sRGB."""

from io import BytesIO

import numpy as np
from PIL import Image

from blendlab.tint.appearance import encode, xyz_to_linear
from blendlab.tint.spectra import spectrum_to_xyz

SIDE = 120


def linear_of(R):
    """Linear sRGB in daylight of a reflectance."""
    return xyz_to_linear(spectrum_to_xyz(R) / 100)


def scene(patches, light=(1.0, 1.0, 1.0), noise=0.0, gradient=0.0, side=SIDE):
    """Patches (linear sRGB) side by side; `gradient` is the fall of light over the width."""
    row = np.concatenate([np.tile(np.asarray(patch, float), (side, side, 1)) for patch in patches], axis=1)
    fall = 1 - gradient * np.linspace(0, 1, row.shape[1])
    seen = row * np.asarray(light) * fall[None, :, None]
    if noise:
        seen = seen * (1 + np.random.default_rng(5).normal(0, noise, seen.shape))
    return np.round(255 * encode(np.clip(seen, 0, 1))).astype(np.uint8)


def file_of(pixels, kind="PNG", **more):
    out = BytesIO()
    Image.fromarray(pixels).save(out, kind, **more)
    return out.getvalue()


def box(at, count, inner=0.6):
    """The middle of patch number `at` of `count`."""
    from blendlab.photo import Box

    edge = (1 - inner) / 2
    return Box((at + edge) / count, edge, inner / count, inner)
