"""The limits of a scent on the page: the highest load, headroom rows, where the figures come from."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.fragrance import Head, ScentCheck
from blendlab.ui import parts, words

MOST_ROWS = 10
NAMED = 3


# --- ceiling --------------------------------------------------------------------------------------


def ceiling(assessed: Assessment, check: ScentCheck | None) -> None:
    """What sheets and law allow, what is usual, and how much was looked at."""
    if check is None:
        parts.small("Nothing can be checked before an oil has a share.")
        return
    figures = [("Highest load within the limits known", _figure(check.ceiling_pct))]
    if check.ceiling_pct is None and check.without:
        one = check.without[0]
        figures.append((f"Without {one.oil}", _figure(one.ceiling_pct)))
    if check.usual_pct is not None:
        kind = words.PRODUCTS.get(assessed.design.product, assessed.design.product.replace("_", " "))
        figures.append((f"Usual highest for {kind}, no limit", f"{units.plain(check.usual_pct, 2)} %"))
    body = "".join(f"<p class='bl-big'><small>{escape(what)}</small><br>{said}</p>" for what, said in figures)
    st.html(f'<div class="bl-figures">{body}</div>')
    parts.small(f"{_binds(check)} {_counted(check)}")


def _binds(check: ScentCheck) -> str:
    if check.ceiling_pct is None:
        return check.reason
    if check.ceiling_pct >= 100:
        return "No sheet and no figure listed here limits this blend."
    return f"{check.governing} binds."


def _counted(check: ScentCheck) -> str:
    """How much was looked at, and what was not."""
    counts = check.counts
    said = (
        f"Checked {counts.checked + counts.unverified} of {counts.restricted_total} restricted Standards"
        f" by figures, {counts.by_sheet} through sheets; {counts.unknown} unknown."
        f" Figures of law: {counts.law}."
    )
    if not check.unchecked:
        return said
    more = len(check.unchecked) - NAMED
    named = ", ".join(check.unchecked[:NAMED])
    return f"{said} Not checked: {named}{f' and {more} more, listed below' if more > 0 else ''}."


def _figure(ceiling: float | None) -> str:
    if ceiling is None:
        return "none for sale"
    return "no sheet limits it" if ceiling >= 100 else f"{units.floor_text(ceiling)} %"


def found(check: ScentCheck) -> None:
    """How the highest load comes about: routes, sources with their days, and what was not checked."""
    title = "How the highest load is found, and what was not checked"
    with st.expander(title, key="routes", on_change="rerun") as box:
        if box.open:
            _routes(check)


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
        f"Of {counts.restricted_total} restricted Standards {counts.checked} were checked on figures read"
        f" in their source, {counts.unverified} on figures from memory, {counts.by_sheet} through the"
        f" sheets only; {counts.unknown} unknown. Lists of {counts.on.isoformat()}."
        f" Category {check.category}."
    )
    _sources(check)
    _list("Not checked", check.unchecked)
    _list("Checked through the supplier's sheets only", check.by_sheet)
    parts.small(words.NO_LIMIT)


def _sources(check: ScentCheck) -> None:
    """Where every figure comes from, and when it was seen."""
    body = "".join(
        f"<tr><td>{escape(_row_name(row) + _mark(row))}</td><td>{escape(row.source)}</td>"
        f"<td>{escape(row.checked_on or 'not dated')}</td></tr>"
        for row in check.rows
        if row.kind not in ("sheets", "house", "practice")
    )
    if body:
        head = "<thead><tr><th>figure</th><th>source</th><th>seen or issued</th></tr></thead>"
        st.html(f'<table class="bl-table bl-read bl-sources">{head}<tbody>{body}</tbody></table>')


def _list(title: str, names: tuple[str, ...]) -> None:
    if names:
        body = "".join(f"<li>{escape(one)}</li>" for one in names)
        st.html(f'<p class="bl-small">{escape(title)}</p><ul class="bl-plain">{body}</ul>')


# --- headroom -------------------------------------------------------------------------------------


def headroom(assessed: Assessment, market: str, check: ScentCheck, proposed: ScentCheck | None) -> None:
    """Rows over, then without a figure, then least free; a proposal as one more column."""
    whose = _portion(assessed, market)
    shown = check.rows[:MOST_ROWS]
    then = {(row.name, row.kind): row for row in proposed.rows} if proposed else None
    body = "".join(_row(row, then) for row in shown)
    head = "<th>proposed</th>" if proposed else ""
    st.html(
        '<table class="bl-table bl-room">'
        f"<caption>Headroom{escape(whose)}, tightest first. The tick is the limit; ≥: an oil cannot say."
        "</caption><thead><tr><th>what limits</th><th>used of the limit</th><th>now / limit, %</th>"
        f"{head}<th>free</th></tr></thead><tbody>{body}</tbody></table>"
    )
    rest = check.rows[MOST_ROWS:]
    if rest:
        least = min((row.free_share for row in rest if row.free_share is not None), default=1.0)
        parts.small(f"{len(rest)} more, all over {_free(least)} free.")


def tightest(check: ScentCheck | None) -> str:
    """The tightest limit of one portion in a few words."""
    row = next((one for one in check.rows if one.binds), None) if check else None
    if row is None:
        return ""
    if row.free_share is None:
        return f"{row.name}: no figure"
    return f"{row.name}: {'over' if row.over else _free(row.free_share) + ' free'}"


def _portion(assessed: Assessment, market: str) -> str:
    if market not in assessed.portions:
        return ""
    loads = assessed.portions[market]
    strongest = max(loads, key=lambda one: loads[one].load_pct)
    name = next(tone.name for tone in assessed.design.tones if tone.id == strongest)
    return f" of {name}, the tone with the most scent ({loads[strongest].load_pct:.2f} %)"


def _row(row: Head, then: dict | None) -> str:
    mark = f"<small>{escape(_mark(row))}</small>"
    name = f"<th scope='row' title='{escape(row.source)}'>{escape(_row_name(row))}{mark}</th>"
    used = ("≥ " if row.at_least and row.limit_pct is not None else "") + units.digits(row.used_pct)
    after = ""
    if then is not None:
        found = then.get((row.name, row.kind))
        after = f"<td>{units.digits(found.used_pct) if found else 'gone'}</td>"
    if row.limit_pct is None or row.used_share is None or row.free_share is None:
        bar = "<td><div class='bl-bar bl-none'></div></td>"
        return f"<tr>{name}{bar}<td>{used} / ?</td>{after}<td><b>no figure</b></td></tr>"
    width = min(row.used_share, 1.25) * 80
    free = f"<b>over ×{row.used_share:.2f}</b>" if row.over else _free(row.free_share)
    hatch = " bl-over" if row.over else ""
    bar = f"<td><div class='bl-bar{hatch}'><i style='width:{width:.1f}%'></i><b></b></div></td>"
    return f"<tr>{name}{bar}<td>{used} / {units.digits(row.limit_pct)}</td>{after}<td>{free}</td></tr>"


def _free(share: float) -> str:
    """Free share of a limit, never rounded up."""
    return f"{units.floor_text(100 * max(0.0, share), 0)} %"


def _row_name(row: Head) -> str:
    return f"{row.name}, sheet" if row.kind == "sheet" else row.name


def _mark(row: Head) -> str:
    """What kind of row it is, in a word."""
    kinds = {"practice": " no limit", "house": f" yours, {row.unit}", "law": " law", "standard": " Standard"}
    return kinds.get(row.kind, "") + ("" if row.verified else ", from memory")
