"""Names on the label: market, the day of placing, the names and the loads up to which each stays off."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.fragrance import Name, Names
from blendlab.recipe import MARKETS
from blendlab.ui import echoes, parts, state, words
from blendlab.ui.words import scent as say


def names(assessed: Assessment, market: str) -> None:
    """Market, placing day and the names."""
    parts.heading(say.NAMES)
    with st.container(key="market-row", horizontal=True, vertical_alignment="bottom", gap="small"):
        with st.container(key="market"):
            parts.pick(
                say.MARKET,
                {known: words.MARKETS[known] for known in MARKETS},
                "markets.0",
                segments=True,
                value=market,
                write=_take_market,
            )
        with st.container(key="placed"):
            _placed(assessed)
    labels = assessed.labels.get(market)
    if labels is None:
        parts.small(say.NO_NAMES)
        return
    _names(labels)
    parts.small(" ".join(_sentences(labels, assessed.design.scent.load_pct)))
    if labels.unknown:
        parts.small(say.CANNOT_SAY.format(oils=", ".join(silent.oil for silent in labels.unknown)))


def _take_market(market: str) -> None:
    state.assign({"markets": [market]}, say.DONE_MARKET.format(market=words.MARKETS[market]))


def _placed(assessed: Assessment) -> None:
    key = "t.placed_on"
    bad = st.session_state.bad.get(key)
    day = assessed.design.placed_on
    echoes.put(key, bad["typed"] if bad else (day.isoformat() if day else ""))
    st.text_input(
        say.FIRST_PLACED,
        key=key,
        placeholder=say.TODAY_IS.format(day=assessed.on.isoformat()),
        on_change=echoes.edited(key, _read_day),
        args=(key,),
        help=say.PLACED_HELP,
    )
    if bad:
        parts.alert(bad["answer"])


def _read_day(key: str) -> None:
    typed = st.session_state[key].strip()
    others = {field: answer for field, answer in st.session_state.bad.items() if field != key}
    st.session_state.bad = others
    try:
        day = date.fromisoformat(typed).isoformat() if typed else None
    except ValueError:
        answer = say.NO_DATE.format(typed=typed)
        st.session_state.bad = {**others, key: {"typed": typed, "answer": answer}}
        return
    state.assign({"placed_on": day}, say.DONE_PLACED.format(day=day or say.TODAY))


def _names(labels: Names) -> None:
    chips = _chips(labels.names, "{load}")
    chips += _chips(labels.near, say.FROM_LOAD, "bl-near")
    chips += _chips(labels.voluntary, "{load}", "bl-near")
    if chips:
        st.html(f'<ul class="bl-words">{chips}</ul>')


def _chips(named: Iterable[Name], form: str, look: str = "") -> str:
    """Names as a list; `form` says the load up to which, or from which, a name matters."""
    opened = f"<li class='{look}'>" if look else "<li>"
    return "".join(
        f"{opened}{escape(name.name)} <small>{escape(_off(name.drops_at_pct, form))}</small></li>"
        for name in named
    )


def _off(load: float | None, form: str) -> str:
    """Load up to which a name stays off the label; a name that the base brings never does."""
    return say.IN_BASE if load is None else form.format(load=_cut(load))


def _cut(load: float) -> str:
    """A load cut to two figures that say something."""
    places = next((places for places in range(2, 6) if load >= 10 ** (1 - places)), 6)
    return units.floor_text(load, places)


def _sentences(labels: Names, load: float) -> list[str]:
    listed = say.LISTS[labels.which]
    if labels.source:
        listed = say.LIST_SOURCE.format(list=listed, source=labels.source)
    said = [words.plural(len(labels.names), *say.NAMES_AT, load=load, list=listed)]
    if any(name.drops_at_pct for name in labels.names):
        said.append(say.SMALL_FIGURE)
    if labels.sold_until:
        said.append(say.SOLD_UNTIL.format(day=labels.sold_until.isoformat()))
    if labels.voluntary:
        form = say.EARLY_SOME if labels.near else say.EARLY_ALL
        said.append(form.format(count=len(labels.voluntary)))
    return said
