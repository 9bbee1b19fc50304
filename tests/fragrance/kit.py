"""Small builders for the tests of this room."""

from __future__ import annotations

from datetime import date

from blendlab.recipe import OilShare, Scent
from blendlab.shelf import Base, Constituent, Declaration, Declared, Oil, Sheet

TODAY = date(2026, 11, 25)


def base(**changes) -> Base:
    plain = {
        "id": "white",
        "name": "White base",
        "product": "whipped_soap",
        "k0": (0.0,) * 31,
        "s0": (1.0,) * 31,
        "known": "estimate",
        "basis": "invented",
        "ref_overrun_pct": 100.0,
        "density_mix_g_ml": 1.0,
        "own_fragrance_pct": 0.0,
    }
    return Base(**{**plain, **changes})


def sheet(amendment: int = 51, **limits: float) -> Sheet:
    """Sheet by category: c9=4.0 is category 9."""
    return Sheet(amendment=amendment, issued=date(2026, 1, 1), limits={k[1:]: v for k, v in limits.items()})


def oil(name: str, limits: Sheet | None = None, inside: dict[str, float] | None = None, **more) -> Oil:
    contents = {
        cas: Constituent(name=cas, low=0.0, typical=pct, high=pct) for cas, pct in (inside or {}).items()
    }
    return Oil(
        id=name.lower().replace(" ", "-"),
        name=name,
        group=more.pop("group", "fragrance_oil"),
        sheet=limits,
        constituents=contents,
        **more,
    )


def declared(names: str = "new81", complete: bool = True, **rows: float) -> Declaration:
    """Declaration by number: n78_70_6=12.0."""
    return Declaration(
        names=names,
        issued=date(2026, 1, 1),
        complete=complete,
        rows={key[1:].replace("_", "-"): Declared(pct=pct) for key, pct in rows.items()},
    )


def scent(load_pct: float, *parts: tuple[Oil, float]) -> tuple[Scent, list[Oil]]:
    """Scent and its oils in line."""
    shares = tuple(OilShare(oil=part.ref, share_pct=pct) for part, pct in parts)
    return Scent(load_pct=load_pct, oils=shares), [part for part, _ in parts]
