"""The check of a scent for one product, market and day: ceiling, rows, notes, findings.

For sale the ceiling is route B; law and route C may only lower it. Nothing lifts a limit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from math import isclose

from blendlab.errors import Finding
from blendlab.facts.law import laws
from blendlab.facts.read import figure
from blendlab.facts.standards import restricted
from blendlab.fragrance import findings
from blendlab.fragrance.blend import BASE, SHEETS, Blend, Constraint, lay_out
from blendlab.fragrance.contents import high_pct
from blendlab.fragrance.freshness import aged, unmeasured
from blendlab.fragrance.heat import gate_c
from blendlab.fragrance.load import FULL, content, fraction_rule
from blendlab.fragrance.notes import Balance, Vanillin, balance, vanillin
from blendlab.fragrance.result import Counts, Head, Route, Routes, ScentCheck, Without
from blendlab.fragrance.sums import exact
from blendlab.recipe import Scent
from blendlab.shelf import Base, Oil

SHEET = "supplier's sheet"


def check(scent: Scent, oils: Sequence[Oil], base: Base, product: str, market: str, on: date) -> ScentCheck:
    """Everything the lists say about a scent in one product.

    scent    oils with shares of 100 % in all, load in percent of the finished product
    oils     shelf items aligned with scent.oils; a share of 0 drops out
    product  kind of product, such as "whipped_soap"
    market   "EU", "GB", "US" or "CA"; figures of EU law are used everywhere, unverified outside the EU
    on       day of the check

    Raises SharesOff, UnknownName (product, market), OutOfRange (oils and shares differ in number).

    >>> from blendlab.recipe import OilShare
    >>> from blendlab.facts.library import demo_oils
    >>> white = Base(id="w", name="White", product="whipped_soap", k0=(0.0,) * 31, s0=(1.0,) * 31,
    ...     known="estimate", basis="", ref_overrun_pct=100, density_mix_g_ml=1.0, own_fragrance_pct=0)
    >>> oil = demo_oils()[0]
    >>> scent = Scent(load_pct=1.2, oils=(OilShare(oil=oil.ref, share_pct=100),))
    >>> check(scent, [oil], white, "whipped_soap", "EU", date(2026, 11, 25)).governing
    'All sheets together'
    """
    blend = lay_out(scent, oils, base, product, market, on)
    ceiling, governing = blend.most()
    rows = _rows(blend, ceiling, market)
    asked = [row for row in blend.constraints if row.limit.use.act == "ask"]
    named = [row for row in asked if _unanswered(blend, row)]
    silent = [oil for oil, one in zip(blend.oils, blend.sheets, strict=True) if one.limit_pct is None]
    unchecked = (*(row.name for row in named), *(f"all else in {oil.name}" for oil in silent))
    flashes = [oil.flash_c for oil in blend.oils if oil.flash_c is not None]
    made = ScentCheck(
        product=product,
        market=market,
        category=blend.category,
        rinse=blend.product.rinse,
        load_pct=scent.load_pct,
        ceiling_pct=ceiling,
        reason=_reason(blend, governing) if ceiling is None else "",
        governing=governing,
        without=_without(blend),
        routes=_routes(blend, market, on),
        rows=rows,
        counts=_counts(rows, _unknown(silent, named), len(asked) - len(named), on),
        unchecked=unchecked,
        by_sheet=tuple(row.name for row in asked if row not in named),
        sheets=blend.sheets,
        notes=_notes(blend),
        vanillin=_vanillin(blend),
        flash_min_c=min(flashes, default=None),
        heat_gate_c=gate_c(
            flashes, figure("fragrance", "gate.cap_c").value, figure("fragrance", "gate.margin_k").value
        ),
        usual_pct=blend.product.usual_high_pct,
        odour=_notes(blend, scent.strengths),
        findings=(),
    )
    return made.told(_findings(made, blend, base, scent, oils, market, on))


def _findings(
    made: ScentCheck,
    blend: Blend,
    base: Base,
    scent: Scent,
    oils: Sequence[Oil],
    market: str,
    on: date,
) -> list[Finding]:
    told = [*findings.of_load(made, blend), *findings.of_sheets(made, blend), *findings.of_base(base, made)]
    told += findings.of_contents(made, blend)
    told += findings.of_process(made, blend)
    named = dict(zip(blend.names, blend.oils, strict=True))
    told += [one for name, oil in named.items() for one in aged(name, oil, on)]
    told += unmeasured(named)
    if blend.product.also and blend.product.also_use == "caution" and blend.oils:
        other = lay_out(scent, oils, base, blend.product.name, market, on, blend.product.also)
        told += findings.of_other_category(made, blend.product, other.most()[0])
    return told


def _reason(blend: Blend, governing: str) -> str:
    if not blend.oils:
        return "No oil in the scent."
    if governing == BASE:
        return "The base carries fragrance without a sheet for this use. Counted as a stop for sale."
    missing = [one.oil for one in blend.sheets if one.limit_pct is None]
    word = "oil" if len(missing) == 1 else "oils"
    return (
        f"Not enough data: {len(missing)} {word} without a sheet for this use"
        f" ({', '.join(missing)}). Counted as a stop for sale."
    )


def _without(blend: Blend) -> tuple[Without, ...]:
    if len(blend.oils) < 2:
        return ()
    loads = [(name, blend.without(position).most()[0]) for position, name in enumerate(blend.names)]
    return tuple(Without(name, pct) for name, pct in loads if pct is not None)


def _routes(blend: Blend, market: str, on: date) -> Routes:
    a, own = blend.route_a()
    b = fraction_rule(blend.by_name(), blend.limits(), blend.used or 0.0)
    return Routes(
        a=Route(a, own, "each oil within its own sheet; shown, never used for sale"),
        b=Route(
            None if blend.used is None else b.pct,
            BASE if blend.used is None else b.governing,
            "used fractions of all sheets together",
        ),
        c=_lowest(blend, ("standard", "sum"), "listed Standards, known contents only"),
        law=_lowest(blend, ("law",), _law_note(blend, market, on)),
    )


def _law_note(blend: Blend, market: str, on: date) -> str:
    named = [one for one in laws(blend.product.scopes, on) if one.use.act == "limit"]
    silent = sum(any(high_pct(oil, one.cas) is None for oil in blend.oils) for one in named)
    note = "figures of EU law"
    if market != "EU":
        note += f", used there all the same; the law of {market} was not read"
    return f"{note}; {silent} of {len(named)} names not answered by every oil"


def _lowest(blend: Blend, kinds: Sequence[str], note: str) -> Route:
    rows = [
        row
        for row in blend.constraints
        if row.kind in kinds and row.limit.use.act == "limit" and row.pct is not None
    ]
    if not rows or not blend.oils:
        return Route(None, "", note + "; no row touches this scent")
    row = min(rows, key=lambda one: one.most(blend.shares))
    return Route(row.most(blend.shares), row.name, note)


def _unanswered(blend: Blend, row: Constraint) -> bool:
    """Whether an oil that bears a restricted material has no usable sheet to answer for it."""
    bearing = [one.limit_pct is None for one, pct in zip(blend.sheets, row.contents_pct, strict=True) if pct]
    return any(bearing) or (row.base_pct > 0 and not blend.used)


def _rows(blend: Blend, ceiling: float | None, market: str) -> tuple[Head, ...]:
    rows = []
    if blend.oils:
        sheets = fraction_rule(blend.by_name(), blend.limits(), blend.used or 0.0).pct
        usable = blend.used is not None and sheets is not None
        rows.append(_head(SHEETS, "sheets", blend, blend.load_pct, sheets if usable else None))
    for name, oil, share, sheet in zip(blend.names, blend.oils, blend.shares, blend.sheets, strict=True):
        if sheet.limit_pct is None or sheet.limit_pct < FULL:
            rows.append(_head(name, "sheet", blend, share * blend.load_pct, sheet.limit_pct, oil))
    for row in blend.constraints:
        if row.limit.use.act == "limit" or _unanswered(blend, row):
            rows.append(_of_constraint(row, blend, market))
    rows += [_of_constraint(row, blend, market) for row in blend.house]
    usual = blend.product.usual_high_pct
    if blend.oils and usual is not None:
        rows.append(_usual(blend, usual))
    return tuple(sorted(rows, key=_order))


def _usual(blend: Blend, most: float) -> Head:
    name = f"Usual for {blend.product.name.replace('_', ' ')}"
    return Head.of(name, "practice", blend.load_pct, most, True, "common practice", "", blend.category, False)


def _order(row: Head) -> tuple[int, float]:
    if row.limit_pct is None:
        return 1, 0.0
    free = 0.0 if row.free_share is None else row.free_share
    return (0 if row.over and row.binds else 2), free


def _head(
    name: str, kind: str, blend: Blend, used: float, limit: float | None, oil: Oil | None = None
) -> Head:
    source, issued = SHEET, ""
    if oil is not None and oil.sheet is not None:
        source = f"{SHEET} {oil.sheet.document}".strip()
        issued = oil.sheet.issued.isoformat() if oil.sheet.issued else ""
    return Head.of(name, kind, used, limit, True, source, issued, blend.category, at_least=limit is None)


def _of_constraint(row: Constraint, blend: Blend, market: str) -> Head:
    verified = row.limit.use.verified and (row.kind != "law" or market == "EU")
    return Head.of(
        row.name,
        row.kind,
        exact(row.used(blend.shares, blend.load_pct)),
        row.pct,
        verified,
        row.limit.source,
        row.limit.checked_on,
        row.limit.scope,
        at_least=any(one is None for one in row.contents_pct),
        unit=row.unit,
    )


def _unknown(silent: Sequence[Oil], named: Sequence[Constraint]) -> int:
    """How many restricted Standards nothing answers for: those of oils without a usable sheet."""
    told = {cas for row in named for cas in row.limit.cas}
    return sum(
        bool(cas & told) or any(high_pct(oil, cas) is None for oil in silent) for _, cas in restricted()
    )


def _counts(rows: Sequence[Head], unknown: int, by_sheet: int, on: date) -> Counts:
    listed = [row for row in rows if row.kind in ("standard", "sum") and row.limit_pct is not None]
    verified = sum(row.verified for row in listed)
    return Counts(
        checked=verified,
        unverified=len(listed) - verified,
        unknown=unknown,
        by_sheet=by_sheet,
        restricted_total=len(restricted()),
        on=on,
        law=sum(row.kind == "law" for row in rows),
    )


def _notes(blend: Blend, strengths: Mapping[str, float] | None = None) -> Balance:
    oils = dict(zip(blend.names, blend.oils, strict=True))
    strong = {name: (strengths or {}).get(oil.id, 1.0) for name, oil in oils.items()}
    return balance(blend.by_name(), {name: oil.notes for name, oil in oils.items()}, strong)


def _vanillin(blend: Blend) -> Vanillin:
    shares = blend.by_name()
    oils = dict(zip(blend.names, blend.oils, strict=True))
    return vanillin(
        blend.load_pct,
        content(shares, {name: oil.vanillin_pct for name, oil in oils.items()}),
        content(shares, {name: oil.ethyl_vanillin_pct for name, oil in oils.items()}),
    )


def keeps(load_pct: float, ceiling_pct: float | None) -> bool:
    """Whether a load keeps a ceiling; no ceiling is never kept, a load of 0 always.

    >>> keeps(1.0, 1.0), keeps(1.01, 1.0), keeps(0.5, None), keeps(0.0, None)
    (True, False, False, True)
    """
    if load_pct == 0:
        return True
    return ceiling_pct is not None and (
        load_pct <= ceiling_pct or isclose(load_pct, ceiling_pct, rel_tol=1e-12)
    )
