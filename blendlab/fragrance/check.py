"""The check of a scent for one product, market and day: ceiling, rows, notes, findings.

For sale the ceiling is route B; law and route C may only lower it. Nothing lifts a limit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from blendlab.errors import Finding
from blendlab.facts.law import laws
from blendlab.facts.read import figure
from blendlab.facts.standards import restricted
from blendlab.fragrance import findings, headroom
from blendlab.fragrance.blend import BASE, Blend, lay_out
from blendlab.fragrance.constraints import Constraint
from blendlab.fragrance.contents import high_pct
from blendlab.fragrance.freshness import aged, unmeasured
from blendlab.fragrance.heat import flash_gate, flash_of_blend, gate_c
from blendlab.fragrance.load import content
from blendlab.fragrance.notes import Balance, Vanillin, balance, vanillin
from blendlab.fragrance.result import Counts, Head, Route, Routes, ScentCheck, Without
from blendlab.recipe import Scent
from blendlab.shelf import Base, Oil


def check(
    scent: Scent,
    oils: Sequence[Oil],
    base: Base,
    product: str,
    market: str,
    on: date,
    made_on: date | None = None,
) -> ScentCheck:
    """Everything the lists say about a scent in one product.

    scent    oils with shares of 100 % in all, load in percent of the finished product
    oils     shelf items aligned with scent.oils; a share of 0 drops out
    product  kind of product, such as "whipped_soap"
    market   "EU", "GB", "US" or "CA"; figures of EU law are used everywhere, unverified outside the EU
    on       day of the check
    made_on  day the oils are used, by which their age is judged; None = `on`

    Raises SharesOff, UnknownName (product), OutOfRange (oils and shares differ in number).

    >>> from blendlab.recipe import OilShare
    >>> from blendlab.facts.library import demo_oils
    >>> white = Base(id="w", name="White", product="whipped_soap", k0=(0.0,) * 31, s0=(1.0,) * 31,
    ...     known="estimate", basis="", ref_overrun_pct=100, density_mix_g_ml=1.0, own_fragrance_pct=0)
    >>> oil = demo_oils()[0]
    >>> scent = Scent(load_pct=1.2, oils=(OilShare(oil=oil.ref, share_pct=100),))
    >>> check(scent, [oil], white, "whipped_soap", "EU", date(2026, 11, 25)).governing
    'All sheets together'
    """
    used_on = made_on or on
    blend = lay_out(scent, oils, base, product, on, made_on=used_on)
    ceiling, governing = blend.most()
    rows = headroom.rows(blend, market)
    asked = [row for row in blend.constraints if row.limit.use.act == "ask"]
    named = [row for row in asked if headroom.unanswered(blend, row)]
    by_sheet = tuple(row.name for row in asked if row not in named)
    silent = [oil for oil, sheet in zip(blend.oils, blend.sheets, strict=True) if sheet.limit_pct is None]
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
        counts=_counts(rows, _unknown(silent, named), len(by_sheet), on),
        unchecked=(*(row.name for row in named), *(f"all else in {oil.name}" for oil in silent)),
        by_sheet=by_sheet,
        sheets=blend.sheets,
        notes=_notes(blend),
        vanillin=_vanillin(blend),
        flash_min_c=flash_gate([oil.flash_c for oil in blend.oils], blend.shares),
        flash_blend_c=flash_of_blend(blend.oils, blend.shares),
        heat_gate_c=gate_c(
            flashes, figure("fragrance", "gate.cap_c").value, figure("fragrance", "gate.margin_k").value
        ),
        usual_pct=blend.product.usual_high_pct,
        odour=_notes(blend, scent.strengths),
        findings=(),
    )
    return made.told(_findings(made, blend, base, scent, oils, on, used_on))


def _findings(
    made: ScentCheck, blend: Blend, base: Base, scent: Scent, oils: Sequence[Oil], on: date, used_on: date
) -> list[Finding]:
    told = [*findings.of_load(made, blend), *findings.of_sheets(made, blend), *findings.of_base(base, made)]
    told += findings.of_contents(made, blend)
    told += findings.of_process(made, blend)
    named = dict(zip(blend.names, blend.oils, strict=True))
    told += [finding for name, oil in named.items() for finding in aged(name, oil, used_on)]
    told += unmeasured(named)
    if blend.product.also and blend.product.also_use == "caution" and blend.oils:
        other = lay_out(scent, oils, base, blend.product.name, on, blend.product.also)
        told += findings.of_other_category(made, blend.product, other.most()[0])
    return told


def _reason(blend: Blend, governing: str) -> str:
    if not blend.oils:
        return "No oil in the scent."
    if governing == BASE:
        return "The base carries fragrance without a sheet for this use. Counted as a stop for sale."
    missing = [sheet.oil for sheet in blend.sheets if sheet.limit_pct is None]
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
    return Routes(
        a=Route(*blend.route_a(), "each oil within its own sheet; shown, never used for sale"),
        b=Route(*blend.route_b(), "used fractions of all sheets together"),
        c=_lowest(blend, ("standard", "sum"), "listed Standards, known contents only"),
        law=_lowest(blend, ("law",), _law_note(blend, market, on)),
    )


def _law_note(blend: Blend, market: str, on: date) -> str:
    named = [limit for limit in laws(blend.product.scopes, on) if limit.use.act == "limit"]
    silent = sum(any(high_pct(oil, limit.cas) is None for oil in blend.oils) for limit in named)
    note = "figures of EU law"
    if market != "EU":
        note += f", used there all the same; the law of {market} was not read"
    return f"{note}; {silent} of {len(named)} names not answered by every oil"


def _lowest(blend: Blend, kinds: Sequence[str], note: str) -> Route:
    found = blend.tightest(kinds)
    return Route(*found, note) if found else Route(None, "", note + "; no row touches this scent")


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
