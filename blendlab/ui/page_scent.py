"""Scent: oils and load; what binds and what is unknown; the names on the label."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.errors import PLANNING
from blendlab.fragrance import Head, Names, ScentCheck
from blendlab.recipe import MARKETS
from blendlab.ui import memo, parts, state, words

MOST_ROWS = 12


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    oils, limits, names = st.columns([10, 10, 7], gap="medium")
    with oils:
        _oils(assessed)
    with names:
        market = _market(assessed)
    check = assessed.scents.get(market)
    with oils:
        _notes(check)
    with limits:
        _load(assessed, check)
        _ceiling(check)
        if check is not None:
            _headroom(check)
    with names:
        _names(assessed.labels.get(market))
        parts.findings((one for one in assessed.findings if one.room == "scent"), "scent", words.CLEAR)
        parts.small(PLANNING)
        with st.container(key="next"):
            if st.button("Next: the cards →", type="tertiary"):
                st.session_state.goto = "cards"
                st.rerun()


def _oils(assessed: Assessment) -> None:
    with st.container(horizontal=True, vertical_alignment="center", key="oils-head"):
        parts.heading("Oils")
        st.button("Add an oil", type="tertiary", on_click=_add_oil)
    known = {one.id: one.name for one in memo.shelf().of("oil")}
    said = {one.oil: one.state for check in assessed.scents.values() for one in check.sheets}
    for position, share in enumerate(assessed.design.scent.oils):
        _oil(position, share.oil.id, known, said)
    total = sum(share.share_pct for share in assessed.design.scent.oils)
    if assessed.design.scent.oils:
        with st.container(horizontal=True, vertical_alignment="center", key="sum"):
            parts.small(f"Sum {units.plain(total, 2)} % of the scent")
            if abs(total - 100) > 0.005 and total > 0:
                st.button("Even out to 100 %", type="tertiary", on_click=_even_out)


def _oil(position: int, oil_id: str, known: dict[str, str], states: dict[str, str]) -> None:
    path = f"scent.oils.{position}"
    name = known.get(oil_id, oil_id)
    with st.container(
        key=f"oil-{position}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        with st.container(key=f"which-oil-{position}"):
            parts.pick(
                f"Oil {position + 1}",
                known,
                f"{path}.oil.id",
                hide_label=True,
                write=lambda chosen: _choose(path, chosen),
            )
        label = f"Share of {name}, percent of the scent"
        parts.number_field(label, f"{path}.share_pct", "%", 0, 100, width=92)
        said = words.SHEETS.get(states.get(name, ""), "not checked")
        st.html(f'<p class="bl-small">{escape(said)}</p>', width=78)
        st.button(
            "✕",
            key=f"drop-oil-{position}",
            type="tertiary",
            help=f"Take {name} out",
            on_click=_drop,
            args=(position,),
        )


def _ref(oil_id: str) -> dict[str, str]:
    item = memo.shelf().today("oil", oil_id)
    return {"kind": "oil", "id": item.id, "rev": item.rev}


def _choose(path: str, oil_id: str) -> None:
    state.assign({f"{path}.oil": _ref(oil_id)}, "Another oil")


def _add_oil() -> None:
    used = {share["oil"]["id"] for share in state.at("scent.oils")}
    item = next((one for one in memo.shelf().of("oil") if one.id not in used), None)
    if item is None:
        return
    state.change(
        "An oil more",
        lambda design: design["scent"]["oils"].append({"oil": _ref(item.id), "share_pct": 0.0}),
    )


def _drop(position: int) -> None:
    state.change("An oil less", lambda design: design["scent"]["oils"].pop(position))


def _even_out() -> None:
    shares = state.at("scent.oils")
    total = sum(share["share_pct"] for share in shares)
    state.assign(
        {f"scent.oils.{at}.share_pct": share["share_pct"] * 100 / total for at, share in enumerate(shares)},
        "Shares evened out",
    )


def _notes(check: ScentCheck | None) -> None:
    if check is None:
        return
    parts.heading("Notes, by weight")
    balance = check.notes
    named = (
        ("top", balance.top),
        ("middle", balance.middle),
        ("base", balance.base),
        ("unknown", balance.unknown),
    )
    shares = [(name, share) for name, share in named if share > 0]
    cells = "".join(
        f'<span style="flex:{share:.4f}">{escape(name) if share < 0.1 else f"{escape(name)} {share * 100:.0f} %"}</span>'
        for name, share in shares
    )
    said = ", ".join(f"{name} {share * 100:.0f} %" for name, share in shares)
    st.html(f'<div class="bl-stack" role="img" aria-label="Notes by weight: {escape(said)}">{cells}</div>')


def _market(assessed: Assessment) -> str:
    chosen = assessed.design.markets[0] if assessed.design.markets else "EU"
    parts.heading("Names on the label")
    parts.pick(
        "Market, placed today",
        {market: words.MARKETS[market] for market in MARKETS},
        "markets.0",
        segments=True,
        value=chosen,
        write=lambda market: state.assign({"markets": [market]}, f"Market {words.MARKETS[market]}"),
    )
    return chosen


def _load(assessed: Assessment, check: ScentCheck | None) -> None:
    feel, exact = st.columns([7, 3], gap="small", vertical_alignment="bottom", wrap=False)
    with feel:
        parts.slide(
            "Load, percent of the finished jar", "scent.load_pct", 0.0, 3.0, 0.05, "%", hide_label=False
        )
    with exact:
        parts.number_field("Exact load, %", "scent.load_pct", "%", 0, 100, hide_label=False)


def _ceiling(check: ScentCheck | None) -> None:
    if check is None:
        parts.small("Nothing can be checked before the shares make 100 %.")
        return
    figure = _figure(check.ceiling_pct)
    first, second = st.columns([5, 5], gap="small")
    first.html(f'<p class="bl-big"><small>Highest load within the limits known</small><br>{figure}</p>')
    if check.ceiling_pct is None:
        for one in check.without[:1]:
            second.html(
                f'<p class="bl-big"><small>Without {escape(one.oil)}</small><br>'
                f"{units.floor_text(one.ceiling_pct)} %</p>"
            )
    if check.ceiling_pct is None:
        parts.small(check.reason)
    else:
        parts.small(f"{check.governing} binds. {words.BASIS}")
    with st.expander("How this figure is found", key="routes"):
        _routes(check)


def _figure(ceiling: float | None) -> str:
    if ceiling is None:
        return "none for sale"
    return "not limited by a sheet" if ceiling >= 100 else f"{units.floor_text(ceiling)} %"


def _routes(check: ScentCheck) -> None:
    routes = check.routes
    named = (("A", routes.a), ("B", routes.b), ("C", routes.c), ("law", routes.law))
    rows = "".join(
        f"<tr><th scope='row'>{escape(words.ROUTES[name])}<small>{escape(route.note)}</small></th>"
        f"<td>{escape(route.governing)}</td>"
        f"<td>{'no figure' if route.pct is None else units.floor_text(route.pct) + ' %'}</td></tr>"
        for name, route in named
    )
    st.html(f'<table class="bl-table"><tbody>{rows}</tbody></table>')
    counts = check.counts
    parts.small(
        f"Of {counts.restricted_total} restricted materials {counts.checked} were checked on figures read in their "
        f"source, {counts.unverified} on figures from memory, {counts.by_sheet} through the sheets only; "
        f"{counts.unknown} unknown. Lists of {counts.on.isoformat()}."
    )
    if check.unchecked:
        parts.small("Not checked: " + ", ".join(check.unchecked) + ".")


def _headroom(check: ScentCheck) -> None:
    shown = check.rows[:MOST_ROWS]
    body = "".join(_row(row) for row in shown)
    st.html(
        '<table class="bl-table bl-room"><caption>Headroom, tightest first. The tick is the limit.</caption>'
        "<thead><tr><th>what limits</th><th>used of the limit</th><th>now / limit, %</th><th>free</th></tr></thead>"
        f"<tbody>{body}</tbody></table>"
    )
    rest = check.rows[MOST_ROWS:]
    if rest:
        least = min((row.free_share for row in rest if row.free_share is not None), default=1.0)
        parts.small(f"{len(rest)} more, all over {max(0.0, least) * 100:.0f} % free.")


def _row(row: Head) -> str:
    unverified = "" if row.verified else "<small> figure from memory</small>"
    name = f"<th scope='row'>{escape(row.name)}{unverified}</th>"
    used = units.digits(row.used_pct)
    at_least = "at least " if row.at_least else ""
    if row.limit_pct is None or row.used_share is None or row.free_share is None:
        return f"<tr>{name}<td><div class='bl-bar bl-none'></div></td><td>{at_least}{used} / ?</td><td><b>no figure</b></td></tr>"
    width = min(row.used_share, 1.25) * 80
    over = row.used_share > 1
    free = f"<b>over ×{row.used_share:.2f}</b>" if over else f"{row.free_share * 100:.0f} %"
    hatch = " bl-over" if over else ""
    return (
        f"<tr title='{escape(row.source)}'>{name}<td><div class='bl-bar{hatch}'><i style='width:{width:.1f}%'></i><b></b></div></td>"
        f"<td>{at_least}{used} / {units.digits(row.limit_pct)}</td><td>{free}</td></tr>"
    )


def _names(labels: Names | None) -> None:
    if labels is None:
        parts.small("No names before the shares make 100 %.")
        return
    words_in = "".join(f"<li>{escape(one.name)}</li>" for one in labels.names)
    words_near = "".join(
        f"<li class='bl-near' title='not on the label at this load'>{escape(one.name)}</li>"
        for one in labels.near
    )
    st.html(f'<ul class="bl-words">{words_in}{words_near}</ul>')
    parts.small(_sentence(labels))
    if labels.unknown:
        parts.small(
            "Cannot say for: " + ", ".join(one.oil for one in labels.unknown) + ". Ask for the declaration."
        )


def _sentence(labels: Names) -> str:
    said = f"{len(labels.names)} names; {words.LISTS[labels.which]}."
    drops = [one for one in labels.names if one.drops_at_pct]
    if drops:
        last = max(drops, key=lambda one: one.drops_at_pct)
        said += f" Up to a load of {units.floor_text(last.drops_at_pct)} % {last.name} stays off."
    if labels.voluntary:
        said += f" Named early if you wish: {', '.join(one.name for one in labels.voluntary)}."
    return said
