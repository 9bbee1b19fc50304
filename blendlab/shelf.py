"""The frozen nouns of what she owns. No disk, no arithmetic.

A revision is the digest of an item's content, so that any change is a new revision by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any, ClassVar

from blendlab.codec import Noun, band, choice, decode, digest, number, text
from blendlab.errors import UnknownName
from blendlab.recipe import Ref

BANDS = 31
"""Bands of a spectrum: 400 to 700 nm in steps of 10 nm."""

KNOWN = ("estimate", "measured")
PHASES = ("water", "dry", "fat", "cool", "fold")
CHARGES = ("", "anionic", "cationic", "amphoteric", "nonionic")
SURFACES = ("open", "glass", "film")
MEASURED_WITH = ("spectrum", "lab", "hex", "photo")
PIGMENT_CLASSES = ("white", "filler", "pearl", "interference", "pearl-absorbing", "absorbing", "lake")


@dataclass(frozen=True, kw_only=True)
class Item(Noun):
    """Base of everything on the shelf."""

    kind: ClassVar[str]
    id: str = text(80)
    name: str = text(80)

    @cached_property
    def rev(self) -> str:
        """Digest of the content."""
        return digest(self)

    @property
    def ref(self) -> Ref:
        """Reference to this revision."""
        return Ref(kind=self.kind, id=self.id, rev=self.rev)


@dataclass(frozen=True, kw_only=True)
class Swatch(Noun):
    """One swatch of the whipped base as it was measured.

    doses    pigment id -> percent of the portion; empty for the base alone
    R        reflectance of the open surface, 31 bands; what lay over it is taken out already
    how      what it was measured with
    surface  what it was seen through
    error    CIEDE2000 that the way of measuring adds
    words    the way of measuring, in words
    """

    doses: Mapping[str, float] = field(default_factory=dict)
    R: tuple[float, ...] = band(BANDS)
    how: str = choice(MEASURED_WITH)
    surface: str = choice(SURFACES, default="open")
    error: float = number(0, 100, "Delta E", default=0.0)
    words: str = text(300, default="")


@dataclass(frozen=True, kw_only=True)
class Calibration(Noun):
    """What one day of measuring said; older ones stay beside the one in use.

    k, s       as in the item it belongs to (k0, s0 for a base)
    residuals  CIEDE2000 of each swatch in its own fit; empty where nothing could be checked
    kept_out   CIEDE2000 of the swatch that was kept out as a test
    """

    on: date | None
    lot: str = text(40, default="")
    how: str = text(300, default="")
    k: tuple[float, ...] = band(BANDS)
    s: tuple[float, ...] = band(BANDS)
    strength_sd: float = number(0, 3, "", default=0.0)
    swatches: tuple[Swatch, ...] = ()
    residuals: tuple[float, ...] = ()
    kept_out: float | None = number(0, 200, "Delta E", default=None)


@dataclass(frozen=True, kw_only=True)
class Pigment(Item):
    """A colorant as it acts in the whipped base.

    ci           colour index numbers, the union of its parts
    k, s         absorption and scattering per percent of the finished portion, 31 bands,
                 on a base whose scattering is 1
    strength_sd  standard deviation of the natural logarithm of its strength
    known        "estimate" (starter value) or "measured" (her own swatches)
    basis        how it is known, in words
    cap_pct      highest use, percent of the finished portion
    composite_of parts by mass, names with shares that add up to 1; empty for a single pigment
    surface      what its swatch was seen through
    sheen        words for what is not predicted, such as "gold sheen"
    powder_srgb  colour of the dry powder for a dusting, 0 to 1; None = unknown
    calibrations her own measurements, oldest first; the last one is in use
    """

    kind: ClassVar[str] = "pigment"
    group: str = choice(PIGMENT_CLASSES)
    ci: tuple[str, ...]
    k: tuple[float, ...] = band(BANDS)
    s: tuple[float, ...] = band(BANDS)
    strength_sd: float = number(0, 3, "")
    known: str = choice(KNOWN)
    basis: str = text(400)
    cap_pct: float = number(0, 100, "% of the finished portion")
    composite_of: Mapping[str, float] = field(default_factory=dict)
    surface: str = choice(SURFACES, default="open")
    sheen: str = text(120, default="")
    caution: str = text(400, default="")
    powder_srgb: tuple[float, float, float] | None = None
    density_g_ml: float | None = number(0.1, 25, "g/ml", default=None)
    price_per_g: float | None = number(0, 10_000, "per g", default=None)
    lot: str = text(40, default="")
    calibrations: tuple[Calibration, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Sheet(Noun):
    """A supplier's certificate: highest percent of the oil in the finished product by category.

    limits  category ("1", "5A", "9" ...) -> percent; a category that is absent is not for that use
    """

    amendment: int = number(1, 99, "")
    issued: date | None
    limits: Mapping[str, float] = field(default_factory=dict)
    document: str = text(120, default="")


@dataclass(frozen=True, kw_only=True)
class Declared(Noun):
    """One row of an allergen declaration: percent in the oil; `below` for a figure written "<"."""

    pct: float = number(0, 100, "% of the oil")
    below: bool = False


@dataclass(frozen=True, kw_only=True)
class Declaration(Noun):
    """A supplier's allergen declaration: CAS -> percent in the oil.

    names     "old26" (list of 2003) or "new81" (list of 2023)
    complete  every name of that list was looked for; what is absent is then 0, otherwise unknown
    """

    names: str = choice(("old26", "new81"))
    issued: date | None
    rows: Mapping[str, Declared] = field(default_factory=dict)
    complete: bool = False


@dataclass(frozen=True, kw_only=True)
class Constituent(Noun):
    """Percent of a substance in an oil: low, typical, high."""

    name: str = text(120)
    low: float = number(0, 100, "% of the oil")
    typical: float = number(0, 100, "% of the oil")
    high: float = number(0, 100, "% of the oil")
    source: str = text(300, default="")


@dataclass(frozen=True, kw_only=True)
class Oil(Item):
    """A fragrance or essential oil with what its supplier says of it.

    constituents  CAS -> low, typical, high; from the library or from a lot analysis
    analysed      the constituents are those of this lot
    notes         shares of top, middle, base; they add up to 1
    label_name    name that law gives to the oil itself on a label, or ""
    library_id    oil of the library its constituents and defaults were taken from, or ""
    opened       day the bottle was first opened
    peroxide_mmol_l, peroxide_on  peroxide value of the lot and the day it was measured
    solvent      solvent or phthalate note of the supplier, in words
    dilution_of  the oil that this one is a dilution of; dilution_pct: percent of it
    carrier      what it is diluted in
    """

    kind: ClassVar[str] = "oil"
    group: str = choice(("essential_oil", "absolute", "fragrance_oil"))
    sheet: Sheet | None = None
    declaration: Declaration | None = None
    constituents: Mapping[str, Constituent] = field(default_factory=dict)
    analysed: bool = False
    notes: tuple[float, float, float] | None = None
    flash_c: float | None = number(-50, 400, "C", default=None)
    density_g_ml: float | None = number(0.5, 2, "g/ml", default=None)
    vanillin_pct: float | None = number(0, 100, "% of the oil", default=None)
    ethyl_vanillin_pct: float | None = number(0, 100, "% of the oil", default=None)
    price_per_g: float | None = number(0, 10_000, "per g", default=None)
    cas: str = text(12, default="")
    inci: str = text(120, default="")
    plant_part: str = text(40, default="")
    label_name: str = text(80, default="")
    library_id: str = text(20, default="")
    supplier: str = text(80, default="")
    lot: str = text(40, default="")
    received: date | None = None
    expiry: date | None = None
    opened: date | None = None
    peroxide_mmol_l: float | None = number(0, 10_000, "mmol/l", default=None)
    peroxide_on: date | None = None
    solvent: str = text(200, default="")
    dilution_of: Ref | None = None
    dilution_pct: float | None = number(0.01, 100, "% of the pure oil", default=None)
    carrier: str = text(120, default="")


@dataclass(frozen=True, kw_only=True)
class Price(Noun):
    """What a pack costs. Money in the one currency of the folder.

    shipping  share of the postage; tax: what of the tax does not come back
    waste     share of the pack that never reaches a jar; None = common practice
    """

    pack_price: float = number(0, 1_000_000, "money")
    pack_g: float = number(0.001, 1_000_000, "g")
    shipping: float = number(0, 100_000, "money", default=0.0)
    tax: float = number(0, 100_000, "money", default=0.0)
    waste: float | None = number(0, 0.99, "share of the pack", default=None)


@dataclass(frozen=True, kw_only=True)
class BaseLine(Noun):
    """An ingredient of a base and its percent of the base."""

    ingredient: Ref
    pct: float = number(0, 100, "% of the base")


@dataclass(frozen=True, kw_only=True)
class Lot(Noun):
    """What came in one delivery, or one cooked base: code, what it is of, dates, document."""

    code: str = text(60)
    of: Ref
    name: str = text(80, default="")
    supplier: str = text(80, default="")
    received: date | None = None
    expiry: date | None = None
    opened: date | None = None
    document: str = text(120, default="")


@dataclass(frozen=True, kw_only=True)
class Base(Item):
    """The white whipped base of one product kind.

    k0, s0               its own absorption and scattering, 31 bands; s0 = 1 by convention
    ref_overrun_pct      overrun at which k0, s0 hold
    density_mix_g_ml     before whipping
    density_whipped_g_ml her weighed cup, or None: not weighed
    actives              preservative and surfactant actives: name -> percent of the base
    own_fragrance_pct    fragrance it already carries; None = unknown
    own_sheet            certificate of that fragrance
    anhydrous            holds no water, so that pH has no meaning for it
    contents             CAS -> highest percent of restricted substances in the base
    lines                what it is cooked from; empty for a bought base
    declared             ingredient names of a bought base in the order its supplier declares
    calibrations         her own swatches of it, oldest first; the last one is in use
    foam_power           exponent on the foam law from her unwhipped and whipped swatch; None = the trend
    foam_power_sd        its standard error
    brown_rate           browning per percent of vanillin from her own aged photo; None = rule of thumb
    preservative         what it was preserved with; None = read from the actives
    preservative_pct     low and high percent of that in the base; None = read from the actives
    add_below_c          highest temperature for the preservative by the sheet of the lot
    """

    kind: ClassVar[str] = "base"
    product: str = text(40)
    k0: tuple[float, ...] = band(BANDS)
    s0: tuple[float, ...] = band(BANDS)
    known: str = choice(KNOWN)
    basis: str = text(400)
    ref_overrun_pct: float = number(0, 400, "% overrun")
    density_mix_g_ml: float = number(0.3, 2.5, "g/ml")
    density_whipped_g_ml: float | None = number(0.1, 2, "g/ml", default=None)
    pH: float | None = number(0, 14, "", default=None)
    anhydrous: bool = False
    actives: Mapping[str, float] = field(default_factory=dict)
    own_fragrance_pct: float | None = number(0, 100, "% of the base", default=None)
    own_sheet: Sheet | None = None
    contents: Mapping[str, float] = field(default_factory=dict)
    lines: tuple[BaseLine, ...] = ()
    declared: tuple[str, ...] = ()
    preservative: Ref | None = None
    preservative_pct: tuple[float, float] | None = None
    add_below_c: float | None = number(0, 150, "C", default=None)
    lot: str = text(40, default="")
    made_on: date | None = None
    opened_on: date | None = None
    best_before: date | None = None
    price: Price | None = None
    calibrations: tuple[Calibration, ...] = ()
    foam_power: float | None = number(0, 10, "", default=None)
    foam_power_sd: float = number(0, 10, "", default=0.0)
    brown_rate: float | None = number(0, 1000, "per % vanillin", default=None)


@dataclass(frozen=True, kw_only=True)
class Jar(Item):
    """A round jar. Millimetres; `height_mm` from the inside bottom to the rim.

    outer_mm, inner_mm  diameters where the jar is widest
    corner_mm    fillet between wall and bottom; 0 until measured
    bottom_inner_mm  inside diameter at the bottom of a tapered jar; None = straight
    shoulder_mm  radius of a quarter-round shoulder, neck_mm: height of the neck above it; 0 = none
    water_g      water it takes to the brim, weighed; volumes are scaled to it
    lid          flat or domed; lid_inner_mm: height inside it above the rim
    wall_contact 0..1: how far the wetted wall deepens the tone; None = unknown (drawn as 0)
    """

    kind: ClassVar[str] = "jar"
    nominal_ml: float = number(1, 5000, "ml")
    outer_mm: float = number(10, 300, "mm")
    inner_mm: float = number(10, 300, "mm")
    height_mm: float = number(5, 400, "mm")
    base_mm: float = number(0.5, 30, "mm", default=3.0)
    corner_mm: float = number(0, 40, "mm", default=0.0)
    headspace_mm: float = number(0, 100, "mm", default=4.0)
    material: str = choice(
        ("glass", "acrylic", "polyester", "polystyrene", "polypropylene"), default="polyester"
    )
    lid_inner_mm: float = number(0, 80, "mm", default=6.0)
    lid: str = choice(("flat", "domed"), default="flat")
    bottom_inner_mm: float | None = number(10, 300, "mm", default=None)
    shoulder_mm: float = number(0, 80, "mm", default=0.0)
    neck_mm: float = number(0, 200, "mm", default=0.0)
    water_g: float | None = number(1, 5000, "g", default=None)
    wall_contact: float | None = number(0, 1, "", default=None)
    basis: str = text(300, default="")
    price_each: float | None = number(0, 10_000, "per jar with lid", default=None)


@dataclass(frozen=True, kw_only=True)
class Scale(Item):
    """A scale: the step of its display and its capacity, both in grams."""

    kind: ClassVar[str] = "scale"
    step_g: float = number(0.0001, 100, "g")
    capacity_g: float = number(0.1, 100_000, "g")


@dataclass(frozen=True, kw_only=True)
class Component(Noun):
    """One component of a raw material: INCI, CAS, percent low and high."""

    inci: str = text(120)
    cas: str = text(12, default="")
    low_pct: float = number(0, 100, "% of the ingredient")
    high_pct: float = number(0, 100, "% of the ingredient")


@dataclass(frozen=True, kw_only=True)
class Ingredient(Item):
    """A raw material: a mixture of components until shown otherwise. None means unknown.

    function       in words; "preservative", "surfactant", "water", "acid" ... count in checks
    phase          when it goes in: "water", "dry", "fat", "cool" or "fold"
    water_pct      water in it; active_pct: active surfactant in it
    charge         "anionic", "cationic", "amphoteric", "nonionic" or "" for neither
    low_pct        least that its sheet asks for; high_pct: most that its sheet allows
    add_below_c    highest temperature of the product when it goes in, by the sheet of the lot
    care           protection of who handles it, in words
    limits         active or CAS -> highest percent of the finished product
    """

    kind: ClassVar[str] = "ingredient"
    function: str = text(60)
    components: tuple[Component, ...]
    density_g_ml: float | None = number(0.1, 25, "g/ml", default=None)
    price_per_g: float | None = number(0, 10_000, "per g", default=None)
    limits: Mapping[str, float] = field(default_factory=dict)
    phase: str = choice(PHASES, default="water")
    water_pct: float | None = number(0, 100, "% of the ingredient", default=None)
    active_pct: float = number(0, 100, "% of the ingredient", default=0.0)
    charge: str = choice(CHARGES, default="")
    low_pct: float | None = number(0, 100, "% of the finished product", default=None)
    high_pct: float | None = number(0, 100, "% of the finished product", default=None)
    add_below_c: float | None = number(0, 150, "C", default=None)
    flash_c: float | None = number(-50, 400, "C", default=None)
    care: str = text(200, default="")
    supplier: str = text(80, default="")
    lot: str = text(40, default="")
    received: date | None = None
    expiry: date | None = None
    price: Price | None = None


ITEMS: dict[str, type[Item]] = {one.kind: one for one in (Pigment, Oil, Base, Jar, Scale, Ingredient)}


def item_from_dict(kind: str, data: Any) -> Item:
    """The shelf item of one kind in a plain dict; BadDocument lists every problem.

    >>> item_from_dict("scale", {"id": "fine", "name": "fine", "step_g": 0.01, "capacity_g": 500}).step_g
    0.01
    """
    if kind not in ITEMS:
        raise UnknownName("kind of shelf item", kind, ITEMS)
    return decode(ITEMS[kind], data)


@dataclass(frozen=True)
class Shelf:
    """What she owns today, and older revisions that saved designs carry with them.

    items     today's items
    embedded  revisions that came with a design
    """

    items: tuple[Item, ...] = ()
    embedded: tuple[Item, ...] = ()

    @cached_property
    def _today(self) -> dict[tuple[str, str], Item]:
        return {(item.kind, item.id): item for item in self.items}

    @cached_property
    def _revisions(self) -> dict[str, Item]:
        return {item.ref.key: item for item in (*self.items, *self.embedded)}

    @cached_property
    def revisions(self) -> str:
        """What tells one state of the shelf from another, the carried revisions included."""
        return "|".join(item.ref.key for item in (*self.items, *self.embedded))

    def today(self, kind: str, item_id: str) -> Item | None:
        """Today's item of that id, or None."""
        return self._today.get((kind, item_id))

    def find(self, ref: Ref) -> Any:
        """The revision that `ref` names; without it, today's item of the same id, else an embedded one.

        Raises UnknownName when none is there.
        """
        found = self._revisions.get(ref.key) or self.today(ref.kind, ref.id) or self._carried(ref)
        if found is None:
            raise UnknownName(ref.kind, ref.id, [item.id for item in self.of(ref.kind)])
        return found

    def has(self, ref: Ref) -> bool:
        """Whether `find` would find it."""
        return bool(self._revisions.get(ref.key) or self.today(ref.kind, ref.id) or self._carried(ref))

    def _carried(self, ref: Ref) -> Item | None:
        same = (item for item in self.embedded if (item.kind, item.id) == (ref.kind, ref.id))
        return next(same, None)

    def newer(self, ref: Ref) -> Item | None:
        """Today's item when it differs from the revision that `ref` names."""
        item = self.today(ref.kind, ref.id)
        return item if item is not None and ref.rev and item.rev != ref.rev else None

    def of(self, kind: str) -> Iterator[Any]:
        """Today's items of one kind, in their order."""
        return (item for item in self.items if item.kind == kind)

    def carrying(self, embedded: Iterable[Item]) -> Shelf:
        """The same shelf with the revisions of a design beside it."""
        return Shelf(self.items, tuple(embedded))
