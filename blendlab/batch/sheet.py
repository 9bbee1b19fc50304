"""Nouns of a batch sheet: lines, portions, steps, the whole plan. Grams, percents, degrees C."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal

from blendlab.batch.acidity import PhWindow, window
from blendlab.batch.ledger import Active
from blendlab.batch.preservative import Gate
from blendlab.batch.whip import Density
from blendlab.codec import Noun, decode, encode, format_of, number, refuse_newer
from blendlab.errors import Finding, UnknownName

FORMAT = 2
"""Format of a plan in the book. A field that comes later has a default; see `_of_first_format` for more."""

MOST_G = 1e12
"""No line weighs more: ten tonnes."""

What = Literal["base", "addition", "preservative", "oil", "pigment", "dust", "ingredient"]


@dataclass(frozen=True, kw_only=True)
class Line(Noun):
    """One thing to weigh.

    item       "kind:id" on the shelf
    exact_g    before rounding; grams  as the scale shows it
    pct        after rounding, of the finished product, of the finished portion or of the base
    of         what `pct` is a percent of
    wanted_pct before rounding; cap_pct  highest percent that is known, or None
    stock_pct  100, or the percent of the dilution that is weighed instead of the pure thing
    protected  rounded by itself, never takes a leftover
    good       display values it is good between
    display_g  what the display reads if it was not zeroed since the cup was put down
    least_g    smallest sensible amount on its scale
    beside     not part of the sum of the batch (dust on the tops)
    carrier    "kind:id" of what the stock was diluted in, "" where it is weighed pure or not known
    """

    id: str
    item: str
    what: What
    name: str
    cup: str
    tone: str
    exact_g: float = number(0, MOST_G, "g")
    grams: float = number(0, MOST_G, "g")
    pct: float
    of: str
    wanted_pct: float
    cap_pct: float | None
    stock_pct: float = number(0.01, 100, "% of the pure thing in the stock")
    scale: str
    step_g: float = number(0.0001, 100, "g")
    capacity_g: float
    protected: bool
    good: tuple[float, float]
    display_g: float
    least_g: float
    lot: str
    note: str
    beside: bool = False
    carrier: str = ""
    carrier_name: str = ""

    @property
    def drift_pct(self) -> float:
        """How far rounding moved the percent, relative, in percent."""
        return 100 * (self.pct / self.wanted_pct - 1) if self.wanted_pct else 0.0

    @property
    def pure_g(self) -> float:
        """Grams of the pure thing in the line."""
        return self.grams * self.stock_pct / 100

    @property
    def carrier_g(self) -> float:
        """Grams of the carrier that come along in a dilution."""
        return self.grams - self.pure_g


@dataclass(frozen=True, kw_only=True)
class Portion(Noun):
    """One tone: grams taken from the bowl, of the mixed scent, of pigments; what that makes.

    rest             the largest portion: what is left in the bowl, weighed only to compare
    bags             piping bags it fills
    per_jar_g        its part of one jar at the planned net weight
    preservative_pct of the preservative in it, sized on the low figure of the base; None = not known
    """

    tone: str
    name: str
    take_g: float
    scent_g: float
    pigment_g: float
    grams: float
    load_pct: float
    preservative_pct: float | None
    volume_ml: float
    bags: int
    rest: bool = False
    per_jar_g: float = 0.0


StepKind = Literal["do", "weigh", "gate", "tick"]


@dataclass(frozen=True)
class Step(Noun):
    """One step of the working order.

    kind     "do"; "weigh" (line says which); "gate" (measured, then ticked) or "tick":
             the last two hold back what follows
    below_c  highest temperature of the product
    heats    temperatures [C] that the text names, in its order: `units.in_degrees` says them in F
    grams    what is added to a tone that was taken before; None = what is taken stands with its portion
    """

    id: str
    kind: StepKind
    text: str
    line: str = ""
    below_c: float | None = None
    source: str = ""
    heats: tuple[float, ...] = ()
    grams: float | None = None

    @property
    def holds(self) -> bool:
        """Whether the next step waits for a tick."""
        return self.kind in ("gate", "tick")


@dataclass(frozen=True, kw_only=True)
class TopUpSummary(Noun):
    """The preservative of a batch in figures; None = not known.

    wanted_pct  what she asked for or the base had; target_pct  what law and sheet leave of it
    low, high   in the most and in the least diluted tone after rounding (low and high of the base)
    """

    name: str
    wanted_pct: float
    target_pct: float
    most_pct: float
    base_low_pct: float | None
    base_high_pct: float | None
    grams: float
    low_pct: float | None
    high_pct: float | None
    gate: Gate
    actives: tuple[Active, ...]


@dataclass(frozen=True, kw_only=True)
class Plan(Noun):
    """A batch before it is weighed. The book keeps a copy, `encode`d, and reads it with `plan_from`.

    asked        jars asked for with the spare ones, or None when grams were asked for
    jars         whole jars it yields at least; last_jar_g  grams of a short last one, a tester
    net_g        planned net weight of a jar; net_low_g, net_high_g while the density was not weighed
    batch_g      sum of the lines that are part of the batch
    mix_g_ml     density of the base before whipping; None = not known
    acidity      where its pH must lie; None = it holds no water
    foam_g_ml    density of the foam before grains are folded in, as its cup is weighed; None = as `density`
    foam_share   share of that foam in the mass of the filling
    """

    title: str
    asked: int | None
    jars: int
    last_jar_g: float
    net_g: float
    net_low_g: float
    net_high_g: float
    density: Density | None
    batch_g: float = number(0, 2 * MOST_G, "g")
    overfill_pct: float
    loss_pct: float
    retained_g: float
    lines: tuple[Line, ...]
    portions: tuple[Portion, ...]
    preservative: TopUpSummary | None
    steps: tuple[Step, ...]
    smallest_g: float
    findings: tuple[Finding, ...]
    mix_g_ml: float | None = None
    acidity: PhWindow | None = None
    foam_g_ml: float | None = None
    foam_share: float = 1.0
    format: int = FORMAT

    def __post_init__(self) -> None:
        super().__post_init__()
        for step in self.steps:
            if step.line:
                self.line(step.line)

    def line(self, line_id: str) -> Line:
        """One line by its id. Raises UnknownName."""
        for line in self.lines:
            if line.id == line_id:
                return line
        raise UnknownName("line of this batch", line_id, [line.id for line in self.lines])

    @property
    def cups(self) -> dict[str, tuple[Line, ...]]:
        """Lines by the cup they are weighed into, in working order."""
        found: dict[str, tuple[Line, ...]] = {}
        for line in self.lines:
            found[line.cup] = (*found.get(line.cup, ()), line)
        return found

    @property
    def pure_g(self) -> Mapping[str, float]:
        """Grams of each pure thing that is weighed, without what it is diluted in: "kind:id" -> grams."""
        return _sums((line.item, line.pure_g) for line in self.lines)

    @property
    def needs(self) -> Mapping[str, float]:
        """Grams of each thing that must be there, carriers of dilutions too: "kind:id" -> grams."""
        carriers = ((line.carrier, line.carrier_g) for line in self.lines if line.carrier)
        return _sums((*self.pure_g.items(), *carriers))

    def name_of(self, item: str) -> str:
        """Name of a thing that is weighed, or that something is diluted in; its key where nobody says."""
        named = {line.carrier: line.carrier_name for line in self.lines}
        return {**named, **{line.item: line.name for line in reversed(self.lines)}}.get(item, item)


def _sums(parts: Iterable[tuple[str, float]]) -> dict[str, float]:
    found: dict[str, float] = {}
    for item, grams in parts:
        found[item] = round(found.get(item, 0.0) + grams, 9)
    return found


def plan_from(plain: Any) -> Plan:
    """The plan in the plain values that a book keeps; what later versions added takes its default.

    Raises NewerFormat for a plan of a later format, BadDocument with every problem.
    """
    refuse_newer("batch sheet", plain, FORMAT)
    return decode(Plan, _with_window(_of_first_format(plain) if format_of(plain) == 1 else plain))


def _of_first_format(plain: Any) -> Any:
    """A plan as the first format wrote it, where density, gate and actives were bare lists."""
    if not isinstance(plain, Mapping):
        return plain
    changed = {**plain, "density": _named(Density, plain.get("density"))}
    topped = plain.get("preservative")
    if isinstance(topped, Mapping):
        actives = topped.get("actives")
        named = [_named(Active, active) for active in actives] if isinstance(actives, list) else actives
        changed["preservative"] = {**topped, "gate": _named(Gate, topped.get("gate")), "actives": named}
    return changed


def _with_window(plain: Any) -> Any:
    """A plan from before sheets said where the pH must lie: the product's window, and no more is known."""
    if not isinstance(plain, Mapping) or "acidity" in plain:
        return plain
    return {**plain, "acidity": encode(window(nameless="its preservative"))}


def _named(cls: type[Noun], values: Any) -> Any:
    names = [declared.name for declared in fields(cls) if declared.name != "extra"]
    return dict(zip(names, values, strict=False)) if isinstance(values, list) else values
