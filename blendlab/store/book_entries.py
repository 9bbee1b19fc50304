"""What each kind of entry of the book says: held to when it is written, and again when it is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from blendlab.batch import Family
from blendlab.codec import Noun, decode, encode, number, text
from blendlab.errors import BadDocument, Problem, UnknownName
from blendlab.shelf import Price
from blendlab.store.book_care_entries import CARE
from blendlab.store.book_said import Said
from blendlab.store.book_sales_entries import SALES

FOR_SALE = "released for sale"
TEST_JARS = "test jars, not for sale"
CALLED_BACK = "called back"
"""Subjects of a release: the two ways in which a batch is decided, and a release that no longer stands."""


MIX, WHIPPING, FOAM = "mix", "whipping", "foam"
"""Subjects of a density: before whipping, a cup on the way, the foam that is filled."""


@dataclass(frozen=True, kw_only=True)
class Tick(Said):
    """A step that was done; a gate with what was measured."""

    celsius: float | None = number(-60, 500, "C", default=None)


@dataclass(frozen=True, kw_only=True)
class Temperature(Said):
    """A temperature of the product that did not open a gate."""

    celsius: float = number(-60, 500, "C")


@dataclass(frozen=True, kw_only=True)
class Pot(Said):
    """The pot of a cooked base on the scale: empty, or full with the water that was filled up.

    water_g  grams that were filled up; None = the pot was weighed empty
    lot      number of the lot that water came from; None = of no lot
    """

    pot_g: float = number(0, 1e7, "g")
    water_g: float | None = number(0, 1e7, "g", default=None)
    lot: int | None = None


@dataclass(frozen=True, kw_only=True)
class Deviation(Said):
    """Why a line is off, and by how many percent the rest was made bigger or smaller to go with it.

    asks_g     grams the line asks for in all, where what went into the bowl asks for others than the sheet
    bowl_g     grams of the bowl that the tones are told to take, where they are not those of the sheet
    pigment_g  grams of all pigments in the tone of the line, where they are less than was asked for
    """

    cause: str = text(600, default="")
    grams: float | None = number(0, 1e7, "g", default=None)
    planned_g: float | None = number(0, 1e7, "g", default=None)
    enlarge_pct: float = number(0, 10_000, "%", default=0.0)
    shrink_pct: float = number(0, 99, "%", default=0.0)
    asks_g: float | None = number(0, 1e7, "g", default=None)
    bowl_g: float | None = number(0, 1e7, "g", default=None)
    pigment_g: float | None = number(0, 1e7, "g", default=None)


@dataclass(frozen=True, kw_only=True)
class CupWeight(Said):
    """Density of the whipped base, from a level cup."""

    g_ml: float = number(0.01, 25, "g/ml")
    cup_ml: float | None = number(0, 1e5, "ml", default=None)
    cup_g: float | None = number(0, 1e5, "g", default=None)


@dataclass(frozen=True, kw_only=True)
class Acidity(Said):
    """A measured pH."""

    pH: float = number(0, 14, "")


@dataclass(frozen=True, kw_only=True)
class Fill(Said):
    """Net grams of one filled jar."""

    net_g: float = number(0.001, 100_000, "g")
    tone: str = text(80, default="")


@dataclass(frozen=True, kw_only=True)
class Filled(Said):
    """Jars that were filled in all, weighed or not."""

    jars: int = number(0, 1_000_000, "jars")


@dataclass(frozen=True, kw_only=True)
class Leftover(Said):
    """What did not go into jars: set aside, or left in bowl, bags and cups."""

    retained_g: float = number(0, 1e7, "g", default=0.0)
    left_g: float = number(0, 1e7, "g", default=0.0)


@dataclass(frozen=True, kw_only=True)
class Release(Said):
    """The day of a decision; read: sentences of the cautions that she had read before it.

    heats  temperatures [C] that its sentences name, in their order
    """

    on: date
    read: tuple[str, ...] = ()
    heats: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TestReading(Said):
    """A reading of a stability test; None = not read. photo: digest of the photo taken with it, or ""."""

    __test__ = False

    on: date
    note: str = text(600, default="")
    height_drop_pct: float | None = number(-100, 100, "%", default=None)
    ph_shift: float | None = number(-14, 14, "", default=None)
    bleed_mm: float | None = number(0, 1000, "mm", default=None)
    delta_e00: float | None = number(0, 1000, "deltaE2000", default=None)
    free_liquid: bool | None = None
    growth: bool | None = None
    photo: str = text(64, default="", pattern="|[0-9a-f]{64}")
    fails: tuple[str, ...] = ()
    not_read: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Assessed(Family, Said):
    """What an assessor looked at, or that this was written down wrong."""


@dataclass(frozen=True, kw_only=True)
class Taken(Said):
    """What a batch took of her shelf: the keys of revisions, of two of one thing the one in use last."""

    revisions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Revision(Said):
    """One revision of a thing on her shelf, whole; it stands once in the book, whoever took it."""

    item: Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Note(Said):
    """Anything else; its keys are free."""


ENTRIES: dict[str, type[Noun]] = {
    "tick": Tick,
    "temperature": Temperature,
    "pot": Pot,
    "deviation": Deviation,
    "density": CupWeight,
    "ph": Acidity,
    "fill": Fill,
    "filled": Filled,
    "yield": Leftover,
    "release": Release,
    "family": Assessed,
    "reading": TestReading,
    "taken": Taken,
    "revision": Revision,
    "note": Note,
    **SALES,
    **CARE,
}
"""Kinds of entries beside weighings -> what each says."""

RULED = frozenset({"release", "reading", "taken", "revision", *SALES, *CARE})
"""Kinds with rules of their own: no entry of them is written as it comes."""


def checked(kind: str, data: Mapping[str, Any]) -> dict[str, Any]:
    """The plain values of an entry. Raises UnknownName for its kind, BadDocument for its values."""
    if kind not in ENTRIES:
        raise UnknownName("kind of entry", kind, ENTRIES)
    plain: dict[str, Any] = encode(data)
    decode(ENTRIES[kind], plain)
    return plain


@dataclass(frozen=True, kw_only=True)
class LotData(Noun):
    """What is known of one lot beside its description; the most is known of a base.

    preservative_pct  low and high percent, or "unknown"; None = as the base says
    kept_by           id of the raw material that it was preserved with; "" = as the base says
    own_fragrance_pct fragrance that it carries, percent of it; None = as the base says
    held, freed       why it is held back, so that nobody takes it; "" = it is not, and why it was freed
    corrected         why what is known of it was corrected last
    in_order          declared name -> low and high percent, in the order of its supplier
    batch             code of the batch it was cooked in
    formula           `Base.formula` that it was cooked by; "" = not kept
    price             what was paid for it; minutes: work of cooking it. None = not written down
    """

    preservative_pct: Any = None
    kept_by: str = text(80, default="")
    own_fragrance_pct: float | None = number(0, 100, "% of the base", default=None)
    held: str = text(200, default="")
    freed: str = text(200, default="")
    corrected: str = text(200, default="")
    in_order: Mapping[str, tuple[float, float]] | None = None
    pH: float | None = number(0, 14, "", default=None)
    density_whipped_g_ml: float | None = number(0.1, 2, "g/ml", default=None)
    add_below_c: float | None = number(0, 150, "C", default=None)
    batch: str = text(80, default="")
    formula: str = text(40, default="")
    price: Price | None = None
    minutes: float | None = number(0, 10_000, "min", default=None)


def checked_lot(data: Mapping[str, Any]) -> dict[str, Any]:
    """The plain values beside the description of a lot. Raises BadDocument."""
    plain: dict[str, Any] = encode(data)
    kept = decode(LotData, plain).preservative_pct
    if kept not in (None, "unknown") and not _is_range(kept):
        raise BadDocument("lot", [Problem("preservative_pct", 'is no pair of percents and not "unknown"')])
    return plain


def _is_range(kept: Any) -> bool:
    return isinstance(kept, list) and len(kept) == 2 and all(map(_is_pct, kept))


def _is_pct(figure: Any) -> bool:
    return isinstance(figure, int | float) and not isinstance(figure, bool) and 0 <= figure <= 100
