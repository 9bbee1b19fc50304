"""Batch: what a jar costs and sells for, share by share, and her rates behind it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.production import money, settings
from blendlab.production.judgement import Lots
from blendlab.ui import memo, mishap, parts, state
from blendlab.ui.words import batch as say


def block(assessed: Assessment, made: Plan, lots: Lots) -> None:
    """What a jar costs, what it sells for, and the rates behind it."""
    parts.heading(say.COSTS)
    kept = settings.settings(state.folder())
    told = money.costs(made, assessed.design, state.shelf(), kept, memo.book(), lots)
    with st.container():  # the popovers keep their place, and stay open, however many sentences there are
        _rows(money.cost_rows(told, kept))
        for sentence in money.price_words(told, kept):
            parts.small(sentence)
    with st.container(horizontal=True, gap="small"):
        with st.popover(say.RATES_AND_FEES, type="tertiary"):
            _rates(kept)
        with st.popover(say.BY_LINE, type="tertiary"):
            _rows(money.line_rows(told, kept))


def _rows(rows: Iterable[money.Row]) -> None:
    """Rows of money; what the rows before it make stands under a line."""
    body = "".join(map(_row, rows))
    st.html(f'<table class="bl-table bl-kv bl-money"><tbody>{body}</tbody></table>')


def _row(row: money.Row) -> str:
    mark = ' class="bl-total"' if row.total else ""
    name, amount = escape(parts.capital(row.name)), escape(row.amount)
    return f"<tr{mark}><th scope='row'>{name}</th><td>{amount}</td></tr>"


def _rates(kept: settings.Settings) -> None:
    for leaf, label in say.RATES.items():
        share = leaf in settings.SHARES
        parts.number_field(
            label.format(currency=kept.currency),
            f"rates.{leaf}",
            "min" if leaf == "minutes" else "%" if share else "",
            0,
            99.9 if share else 1_000_000,
            False,
            value=settings.shown_rate(getattr(kept.rates, leaf), share),
            write=partial(_keep_rate, leaf, share),
        )
    parts.number_field(
        say.MARKUP,
        "rates.markup",
        "%",
        0,
        100_000,
        False,
        value=settings.shown_markup(kept.rates),
        write=_keep_markup,
    )
    parts.number_field(
        say.FIXED.format(currency=kept.currency),
        "rates.fixed_per_year",
        "",
        0,
        10_000_000,
        False,
        value=float(kept.fixed_per_year),
        write=_keep_fixed,
    )
    st.text_input(
        say.CURRENCY, value=kept.currency, key="set-currency", max_chars=5, on_change=_keep_currency
    )


def _keep_rate(leaf: str, share: bool, typed: float) -> None:
    parts.tell(settings.set_rate(state.folder(), leaf, typed, share))


def _keep_markup(typed: float) -> None:
    parts.tell(settings.set_markup(state.folder(), typed))


def _keep_fixed(typed: float) -> None:
    parts.tell(settings.set_setting(state.folder(), "fixed_per_year", units.plain(typed)))


@mishap.answered
def _keep_currency() -> None:
    typed = st.session_state["set-currency"].strip().upper() or settings.Settings.currency
    parts.tell(settings.set_setting(state.folder(), "currency", typed))
