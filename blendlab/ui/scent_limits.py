"""The limits of a scent on the page: the highest load, how it is found, and the headroom rows."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.fragrance import Head, ScentCheck
from blendlab.recipe.tones import names
from blendlab.ui import parts, words
from blendlab.ui.words import scent as say

MOST_ROWS = 10
NAMED = 3
UNLIMITED_PCT = 100
LONGEST_BAR, BAR_PCT = 1.25, 80
"""A bar of the whole limit is so many percent wide; what is over it is drawn as far as this share."""

Rows = Mapping[tuple[str, str], Head]


# --- ceiling --------------------------------------------------------------------------------------


def ceiling(assessed: Assessment, check: ScentCheck | None) -> None:
    """What sheets and law allow, what is usual, and how much was looked at."""
    if check is None:
        parts.small(say.NOTHING_TO_CHECK)
        return
    if not assessed.design.scent.oils:
        parts.small(say.NO_OIL_YET)
        return
    figures = [(say.HIGHEST, _figure(check.ceiling_pct))]
    if check.ceiling_pct is None and check.without:
        first = check.without[0]
        figures.append((say.WITHOUT.format(oil=first.oil), _figure(first.ceiling_pct)))
    if check.usual_pct is not None:
        kind = assessed.design.product
        product = words.PRODUCTS.get(kind, kind.replace("_", " "))
        usual = say.PERCENT.format(figure=units.plain(check.usual_pct, 2))
        figures.append((say.USUAL.format(product=product), usual))
    body = "".join(
        f"<p class='bl-big'><small>{escape(what)}</small><br>{escape(said)}</p>" for what, said in figures
    )
    st.html(f'<div class="bl-figures">{body}</div>')
    parts.small(" ".join([_binds(check), *_counted(check)]))


def _binds(check: ScentCheck) -> str:
    if check.ceiling_pct is None:
        return check.reason
    if check.ceiling_pct >= UNLIMITED_PCT:
        return say.UNLIMITED
    return say.BINDS.format(row=check.governing)


def _counted(check: ScentCheck) -> list[str]:
    """How much was looked at, and what was not."""
    counts = check.counts
    said = say.COUNTED.format(
        checked=counts.checked + counts.unverified,
        total=counts.restricted_total,
        by_sheet=counts.by_sheet,
        unknown=counts.unknown,
        law=counts.law,
    )
    if not check.unchecked:
        return [said]
    more = len(check.unchecked) - NAMED
    form = say.UNCHECKED_MORE if more > 0 else say.UNCHECKED
    return [said, form.format(names=", ".join(check.unchecked[:NAMED]), more=more)]


def _figure(pct: float | None) -> str:
    if pct is None:
        return say.NONE_FOR_SALE
    return say.NO_SHEET_LIMITS if pct >= UNLIMITED_PCT else _floor(pct)


def _floor(pct: float) -> str:
    return say.PERCENT.format(figure=units.floor_text(pct))


# --- how it is found ------------------------------------------------------------------------------


def found(check: ScentCheck) -> None:
    """How the highest load comes about: routes, sources with their days, and what was not checked."""
    with st.expander(say.FOUND, key="routes", on_change="rerun") as box:
        if box.open:
            _routes(check)


def _routes(check: ScentCheck) -> None:
    routes = {"A": check.routes.a, "B": check.routes.b, "C": check.routes.c, "law": check.routes.law}
    rows = "".join(
        f"<tr><th scope='row'>{escape(say.ROUTES[name])} <small>{escape(route.note)}</small></th>"
        f"<td>{escape(route.governing)}</td>"
        f"<td>{escape(say.NO_FIGURE if route.pct is None else _floor(route.pct))}</td></tr>"
        for name, route in routes.items()
    )
    st.html(f'<table class="bl-table"><tbody>{rows}</tbody></table>')
    counts = check.counts
    parts.small(
        say.COUNTED_LONG.format(
            total=counts.restricted_total,
            checked=counts.checked,
            unverified=counts.unverified,
            by_sheet=counts.by_sheet,
            unknown=counts.unknown,
            on=counts.on.isoformat(),
            category=check.category,
        )
    )
    _sources(check)
    _list(say.UNCHECKED_LIST, check.unchecked)
    _list(say.BY_SHEET_LIST, check.by_sheet)
    parts.small(say.NO_LIMIT)


def _sources(check: ScentCheck) -> None:
    """Where every figure comes from, and when it was seen."""
    body = "".join(
        f"<tr><td>{escape(_row_name(row) + _mark(row))}</td><td>{escape(row.source)}</td>"
        f"<td>{escape(row.checked_on or say.NOT_DATED)}</td></tr>"
        for row in check.rows
        if row.kind not in ("sheets", "house", "practice")
    )
    if body:
        heads = "".join(f"<th>{escape(head)}</th>" for head in say.SOURCES)
        st.html(
            f'<table class="bl-table bl-read bl-sources"><thead><tr>{heads}</tr></thead>'
            f"<tbody>{body}</tbody></table>"
        )


def _list(title: str, names: tuple[str, ...]) -> None:
    if names:
        body = "".join(f"<li>{escape(name)}</li>" for name in names)
        st.html(f'<p class="bl-small">{escape(title)}</p><ul class="bl-plain">{body}</ul>')


# --- headroom -------------------------------------------------------------------------------------


def headroom(assessed: Assessment, market: str, check: ScentCheck, proposed: ScentCheck | None) -> None:
    """Rows over, then without a figure, then least free; a proposal as one more column."""
    then = {(row.name, row.kind): row for row in proposed.rows} if proposed else None
    body = "".join(_row(row, then) for row in check.rows[:MOST_ROWS])
    named = [say.ROOM_ROW, say.ROOM_USED, say.ROOM_NOW, say.ROOM_FREE]
    if proposed:
        named.insert(-1, say.ROOM_PROPOSED)
    heads = "".join(f"<th>{escape(head)}</th>" for head in named)
    st.html(
        f'<table class="bl-table bl-room"><caption>{escape(_caption(assessed, market))}</caption>'
        f"<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
    )
    rest = check.rows[MOST_ROWS:]
    if rest:
        known = [row.free_share for row in rest if row.free_share is not None]
        form = say.MORE_ROWS if len(known) == len(rest) and min(known) >= 0 else say.MORE_ROWS_TIGHT
        parts.small(words.plural(len(rest), *form, free=_free(min(known, default=0.0))))


def tightest(check: ScentCheck | None) -> str:
    """The tightest limit of one portion in a few words."""
    row = next((row for row in check.rows if row.binds), None) if check else None
    if row is None:
        return ""
    if row.free_share is None:
        return say.TIGHTEST_UNKNOWN.format(row=row.name)
    form = say.TIGHTEST_OVER if row.over else say.TIGHTEST_FREE
    return form.format(row=row.name, free=_free(row.free_share))


def _caption(assessed: Assessment, market: str) -> str:
    """Of which portion the rows speak: where portions differ, of the one with the most scent."""
    loads = assessed.portions.get(market)
    if not loads:
        return say.HEADROOM
    strongest = max(loads, key=lambda tone_id: loads[tone_id].load_pct)
    return say.HEADROOM_OF.format(tone=names(assessed.design)[strongest], load=loads[strongest].load_pct)


def _row(row: Head, then: Rows | None) -> str:
    mark = f"<small>{escape(_mark(row))}</small>"
    name = f"<th scope='row' title='{escape(row.source)}'>{escape(_row_name(row))}{mark}</th>"
    limit = row.limit_pct
    used, most = (units.digits(row.used_pct), "?") if limit is None else units.beside(row.used_pct, limit)
    if row.at_least and limit is not None:
        used = say.AT_LEAST.format(figure=used)
    after = ""
    if then is not None:
        same = then.get((row.name, row.kind))
        after = f"<td>{escape(units.digits(same.used_pct) if same else say.GONE)}</td>"
    if limit is None or row.used_share is None or row.free_share is None:
        bar = "<td><div class='bl-bar bl-none'></div></td>"
        return f"<tr>{name}{bar}<td>{used} / {most}</td>{after}<td><b>{escape(say.NO_FIGURE)}</b></td></tr>"
    over = f"<b>{escape(say.OVER.format(share=units.beside(row.used_share, 1.0, 2)[0]))}</b>"
    free = over if row.over else _free(row.free_share)
    bar = f"<td>{_bar(row.used_share, row.over)}</td>"
    return f"<tr>{name}{bar}<td>{used} / {most}</td>{after}<td>{free}</td></tr>"


def _bar(share: float, over: bool) -> str:
    hatch = " bl-over" if over else ""
    width = min(share, LONGEST_BAR) * BAR_PCT
    return f"<div class='bl-bar{hatch}'><i style='width:{width:.1f}%'></i><b></b></div>"


def _free(share: float) -> str:
    """Free share of a limit, never rounded up."""
    return say.PERCENT.format(figure=units.floor_text(100 * max(0.0, share), 0))


def _row_name(row: Head) -> str:
    return say.ROW_OF_SHEET.format(oil=row.name) if row.kind == "sheet" else row.name


def _mark(row: Head) -> str:
    """What kind of row it is, in a word."""
    word = say.ROW_KINDS.get(row.kind, "").format(unit=row.unit)
    told = f" {word}" if word else ""
    return told if row.verified else f"{told}, {say.FROM_MEMORY}"
