"""Swatches on a picture with a grey or white card, or a chart -> colours in daylight."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.photo.chart import correction
from blendlab.photo.picture import BadPicture, Box, Picture
from blendlab.tint.appearance import linear_to_lab, to_hex, to_screen, xyz_to_linear
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.spectra import spectrum_to_xyz

Array = NDArray[np.float64]
CARDS = {"grey": figure("tint", "grey_card").value, "white": figure("tint", "white_card").value}
"""Kind of card -> the share of the light it throws back."""
_BLOCKS = 4


class Refused(BadPicture):
    """Marks on a picture that cannot be measured; every reason at once."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = tuple(reasons)
        super().__init__(" ".join(reasons))


@dataclass(frozen=True)
class Marks:
    """What lies where on the picture.

    swatches          name -> rectangle
    card, card_share  the grey or white card, and the share of the light it throws back
    second_card       the same card a second time, across the picture
    base              a swatch of the undyed base
    chart             a chart of 24 patches; it takes the place of the card
    """

    swatches: Mapping[str, Box]
    card: Box | None = None
    card_share: float = CARDS["grey"]
    second_card: Box | None = None
    base: Box | None = None
    chart: Box | None = None


@dataclass(frozen=True, eq=False)
class Colour:
    """One swatch: linear sRGB [3] in daylight, its Lab (D65, 2 degrees) and hex, and how uneven it is [%]."""

    linear: Array
    lab: Array
    hex: str
    uneven_pct: float


@dataclass(frozen=True, eq=False)
class Measured:
    """What the picture says.

    swatches     name -> colour
    hue_checked  a chart was in the picture; else hue rests on the camera alone
    error        CIEDE2000 that this way of measuring adds
    gradient_pct change of the light between two cards; None with one card
    base_apart   CIEDE2000 of the base in the picture from the stored one, before it was used; None without
    notes        what to mind, in words
    """

    swatches: Mapping[str, Colour]
    hue_checked: bool
    error: float
    gradient_pct: float | None
    base_apart: float | None
    notes: tuple[str, ...] = field(default=())

    @property
    def words(self) -> str:
        """The way of measuring, in words."""
        return "photo with a chart" if self.hue_checked else "photo with a grey or white card, hue unchecked"


def measure(picture: Picture, marks: Marks, base_R: ArrayLike | None = None) -> Measured:
    """Colours of the marked swatches, white balance and exposure taken from the card or the chart.

    base_R  stored reflectance [31] of the base, for a base that is marked

    Raises Refused with every reason: clipped, dark, uneven, a gradient of the light, a base that comes
    out wrong; BadPicture for no card, OutOfRange for its share.
    """
    if marks.card is None and marks.chart is None:
        raise BadPicture("Mark a grey card, a white card or a chart; without one a photo has no scale.")
    if not 0.02 <= marks.card_share <= 1:
        raise OutOfRange("share of the light that the card throws back", marks.card_share, 0.02, 1, "")
    reasons = _unfit(picture, marks)
    if reasons:
        raise Refused(reasons)
    balanced, gradient, left = _balance(picture, marks)
    factor, apart = np.ones(3), None
    if marks.base is not None and base_R is not None:
        factor, apart = _check_base(balanced(marks.base), base_R)
    found = {
        name: _colour(balanced(box) * factor, _uneven(picture.patch(box)))
        for name, box in marks.swatches.items()
    }
    checked = marks.chart is not None
    error = (
        max(figure("tint", "chart_photo_error").value, left)
        if checked
        else figure("tint", "grey_photo_error").value
    )
    return Measured(found, checked, error, gradient, apart, tuple(_notes(picture, marks, found, apart)))


def _named(marks: Marks) -> dict[str, Box]:
    named = {f"the swatch {name}": box for name, box in marks.swatches.items()}
    extra = {"the card": marks.card, "the second card": marks.second_card, "the base": marks.base}
    return {**named, **{name: box for name, box in extra.items() if box is not None}}


def _unfit(picture: Picture, marks: Marks) -> list[str]:
    """Every reason why a marked patch cannot be measured."""
    reasons = []
    for name, box in _named(marks).items():
        linear = picture.patch(box)
        top, mean = np.percentile(linear, 98, axis=(0, 1)).max(), linear.mean(axis=(0, 1))
        what = name[:1].upper() + name[1:]
        if top > figure("tint", "photo_clipped").value:
            reasons.append(f"{what} is clipped ({100 * top:.0f} % of full light); expose less.")
        if mean.min() < figure("tint", "photo_dark").value:
            reasons.append(f"{what} is too dark ({100 * mean.min():.1f} % of full light); expose more.")
        uneven = _uneven(linear)
        most = figure("tint", "photo_uneven").value
        if uneven > most:
            reasons.append(f"{what} is uneven by {uneven:.1f} %; at most {most:g} % can be averaged.")
    if marks.card is not None and marks.second_card is not None:
        gradient = _gradient(picture, marks.card, marks.second_card)
        if gradient > figure("tint", "photo_gradient").value:
            reasons.append(
                f"The light changes by {gradient:.1f} % between the two cards; "
                f"at most {figure('tint', 'photo_gradient').value:g} %: turn the set to the window."
            )
    return reasons


def _uneven(linear: Array) -> float:
    """How far the means of 4 x 4 blocks scatter, percent of their mean: grain is averaged out."""
    rows, columns = (np.array_split(np.arange(size), _BLOCKS) for size in linear.shape[:2])
    blocks = [linear[row[0] : row[-1] + 1, col[0] : col[-1] + 1] for row in rows for col in columns]
    means = np.array([block.mean(axis=(0, 1)) for block in blocks])
    return float(100 * (means.std(axis=0) / np.maximum(means.mean(axis=0), 1e-6)).max())


def _gradient(picture: Picture, first: Box, second: Box) -> float:
    a, b = (picture.patch(box).mean(axis=(0, 1)) for box in (first, second))
    return float(100 * (np.abs(a - b) / ((a + b) / 2)).max())


def _balance(picture: Picture, marks: Marks) -> tuple[Callable[[Box], Array], float | None, float]:
    """A function from a rectangle to its linear light in daylight, the gradient, what a chart leaves."""

    def mean(box: Box) -> Array:
        return np.asarray(picture.patch(box).mean(axis=(0, 1)))

    if marks.chart is not None:
        correct, left = correction(picture, marks.chart)
        return (lambda box: correct(mean(box))), None, left
    card = marks.card
    assert card is not None
    if marks.second_card is None:
        gain = marks.card_share / mean(card)
        return (lambda box: mean(box) * gain), None, 0.0
    second = marks.second_card
    ends = [marks.card_share / mean(laid) for laid in (card, second)]
    start, line = _centre(card), _centre(second) - _centre(card)

    def between(box: Box) -> Array:
        part = float(np.clip((_centre(box) - start) @ line / max(float(line @ line), 1e-9), 0, 1))
        return np.asarray(mean(box) * ((1 - part) * ends[0] + part * ends[1]))

    return between, _gradient(picture, card, second), 0.0


def _centre(box: Box) -> Array:
    return np.array([box.left + box.width / 2, box.top + box.height / 2])


def _check_base(linear: Array, base_R: ArrayLike) -> tuple[Array, float]:
    """Factor by which the base in the picture becomes the stored one, and how far apart they were."""
    stored = spectrum_to_xyz(base_R) / 100.0
    wanted = xyz_to_linear(stored)
    apart = float(delta_e_2000(linear_to_lab(linear), linear_to_lab(wanted)))
    most = figure("tint", "photo_base").value
    if apart > most:
        raise Refused(
            [
                f"The base in the picture lies Delta E {apart:.1f} from the stored one; at most {most:g}: "
                "the card, its figure or the light is not what it should be."
            ]
        )
    return wanted / np.maximum(linear, 1e-6), apart


def _colour(linear: Array, uneven: float) -> Colour:
    held = np.clip(linear, 1e-4, None)
    return Colour(held, linear_to_lab(held), to_hex(to_screen(held)[0]), uneven)


def _notes(picture: Picture, marks: Marks, found: Mapping[str, Colour], apart: float | None) -> list[str]:
    notes = list(picture.notes)
    if marks.chart is None:
        notes.append("Hue unchecked: a card sets exposure and white, not the hues of the camera.")
        if marks.second_card is None:
            notes.append("One card: a gradient of the light is not seen. Lay a second one across the frame.")
    if apart is None:
        notes.append("No base in the picture, so nothing checks it against what is stored.")
    else:
        notes.append(f"The base lay Delta E {apart:.1f} from the stored one and was used as a second card.")
    for name, colour in found.items():
        if colour.linear.max() > 1.0:
            notes.append(f"The swatch {name} comes out lighter than a perfect white in one channel.")
    return notes
