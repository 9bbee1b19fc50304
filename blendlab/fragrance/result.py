"""What a check answers: frozen, without behaviour beyond reading it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from blendlab.errors import Finding, worst_first
from blendlab.fragrance.notes import Balance, Vanillin
from blendlab.fragrance.sheets import SheetState
from blendlab.fragrance.thresholds import keeps
from blendlab.units import floor_text, plain

WHOLE = 100.0


@dataclass(frozen=True)
class Head:
    """One headroom row: how much of a limit is used and how much is free.

    kind       "sheets" (all together), "sheet" (one oil), "standard", "law" or "sum"; no limit but worth
               a row: "practice" (what is usual) and "house" (her own ceiling)
    used_pct   percent of the finished product; of the sum in a sum row
    unit       of what is used and of the limit
    limit_pct  None = no figure; shown as unknown, never as fine
    verified   the figure was read in its source and is not known to be replaced
    checked_on day the figure was looked up, or the day a sheet was issued; "" = not dated
    at_least   an oil cannot say how much it holds: the true use may be higher
    """

    name: str
    kind: str
    used_pct: float
    limit_pct: float | None
    verified: bool
    used_share: float | None
    free_share: float | None
    source: str
    checked_on: str
    category: str
    at_least: bool
    unit: str = "%"

    @classmethod
    def of(
        cls,
        name: str,
        kind: str,
        used_pct: float,
        limit_pct: float | None,
        verified: bool,
        source: str,
        checked_on: str,
        category: str,
        at_least: bool,
        unit: str = "%",
    ) -> Head:
        """The row with its shares worked out; a limit of 0 is used up by anything."""
        if limit_pct is None:
            share = None
        elif limit_pct > 0:
            share = used_pct / limit_pct
        else:
            share = float("inf") if used_pct > 0 else 0.0
        free = None if share is None else 1.0 - share
        told = (verified, share, free, source, checked_on, category, at_least, unit)
        return cls(name, kind, used_pct, limit_pct, *told)

    @property
    def binds(self) -> bool:
        """Whether the row is a limit of law, a Standard or a sheet."""
        return self.kind not in ("practice", "house")

    @property
    def over(self) -> bool:
        """Whether more is used than the row allows."""
        return self.limit_pct is not None and not keeps(self.used_pct, self.limit_pct)


@dataclass(frozen=True)
class Route:
    """Highest load by one route, percent of the finished product; None = no figure."""

    pct: float | None
    governing: str
    note: str


@dataclass(frozen=True)
class Routes:
    """Routes A (shown only), B (for sale), C and law (they may only lower B)."""

    a: Route
    b: Route
    c: Route
    law: Route


@dataclass(frozen=True)
class Without:
    """Ceiling when one oil is left out and the other shares are renormalised."""

    oil: str
    ceiling_pct: float


@dataclass(frozen=True)
class Counts:
    """How much was looked at.

    checked, unverified  Standards with a figure here, by whether the figure was read in its source
    unknown              restricted materials that may be in the scent and nothing answers for
    by_sheet             restricted materials without a figure here, answered by the sheets
    restricted_total     restricted Standards in the index
    law                  figures of law that touch the scent
    """

    checked: int
    unverified: int
    unknown: int
    by_sheet: int
    restricted_total: int
    on: date
    law: int = 0


@dataclass(frozen=True)
class ScentCheck:
    """The answer of `check`.

    rinse        "rinse_off", "leave_on" or "not_cosmetic"
    ceiling_pct  highest load for sale, percent of the finished product; None = none for sale
    reason       why there is none, or ""
    governing    name of the row, oil or base that decides
    without      what the ceiling would be without one oil
    rows         over, then without a figure, then least free
    unchecked    restricted materials that could not be checked, and oils that say nothing
    by_sheet     restricted materials checked only through the sheets
    flash_min_c  lowest flash point of the oils that tell theirs; flash_blend_c: estimates for the blend
    heat_gate_c  highest temperature of the product when the scent goes in
    usual_pct    usual highest load of this kind of product; common practice, never a limit; None = not known
    odour        notes weighted by how strong each oil smells beside the others
    """

    product: str
    market: str
    category: str
    rinse: str
    load_pct: float
    ceiling_pct: float | None
    reason: str
    governing: str
    without: tuple[Without, ...]
    routes: Routes
    rows: tuple[Head, ...]
    counts: Counts
    unchecked: tuple[str, ...]
    by_sheet: tuple[str, ...]
    sheets: tuple[SheetState, ...]
    notes: Balance
    vanillin: Vanillin
    flash_min_c: float | None
    flash_blend_c: tuple[float, float] | None
    heat_gate_c: float
    usual_pct: float | None
    odour: Balance
    findings: tuple[Finding, ...]

    @property
    def highest(self) -> str:
        """The highest load in words, with what binds; what is usual where no sheet limits it."""
        if self.ceiling_pct is None:
            return f"none for sale: {self.reason}"
        if self.ceiling_pct < WHOLE:
            return f"{floor_text(self.ceiling_pct)} %, {self.governing} binds"
        usual = "" if self.usual_pct is None else f"; usual up to {plain(self.usual_pct, 2)} %, no limit"
        return f"no sheet limits it{usual}"

    def told(self, findings: Iterable[Finding]) -> ScentCheck:
        """The same answer with its findings, worst first."""
        return replace(self, findings=worst_first(findings))
