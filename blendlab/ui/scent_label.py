"""The right side of the Scent page: market and day, names on the label, findings, the assessor's answer."""

from __future__ import annotations

from datetime import date
from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.errors import PLANNING
from blendlab.fragrance import Names
from blendlab.recipe import MARKETS
from blendlab.show import scents
from blendlab.ui import echoes, memo, parts, state, words


def names(assessed: Assessment, market: str) -> None:
    """Market, placing day and the names."""
    parts.heading("Names on the label")
    with st.container(key="market-row", horizontal=True, vertical_alignment="bottom", gap="small"):
        with st.container(key="market"):
            parts.pick(
                "Market",
                {one: words.MARKETS[one] for one in MARKETS},
                "markets.0",
                segments=True,
                value=market,
                write=lambda one: state.assign({"markets": [one]}, f"Market {words.MARKETS[one]}"),
            )
        with st.container(key="placed"):
            _placed(assessed)
    labels = assessed.labels.get(market)
    if labels is None:
        parts.small("No names before an oil has a share.")
        return
    _words(labels)
    parts.small(_sentence(labels, assessed.design.scent.load_pct))
    if labels.unknown:
        parts.small(
            "Cannot say for: " + ", ".join(one.oil for one in labels.unknown) + ". Ask for the declaration."
        )


def _placed(assessed: Assessment) -> None:
    key = "t.placed_on"
    bad = st.session_state.bad.get(key)
    day = assessed.design.placed_on
    echoes.put(key, bad["typed"] if bad else (day.isoformat() if day else ""))
    st.text_input(
        "First placed",
        key=key,
        placeholder=f"today, {assessed.on.isoformat()}",
        on_change=echoes.edited(key, _read_day),
        args=(key,),
        help="The list of names follows the day on which the jar is first placed on that market.",
    )
    if bad:
        st.html(f'<p class="bl-bad" role="alert">{escape(bad["answer"])}</p>')


def _read_day(key: str) -> None:
    typed = st.session_state[key].strip()
    st.session_state.bad = {name: one for name, one in st.session_state.bad.items() if name != key}
    try:
        day = date.fromisoformat(typed).isoformat() if typed else None
    except ValueError:
        answer = f'"{typed}" is no date like 2026-11-25.'
        st.session_state.bad = {**st.session_state.bad, key: {"typed": typed, "answer": answer}}
        return
    state.assign({"placed_on": day}, f"Placed on the market {day or 'today'}")


def _words(labels: Names) -> None:
    chips = "".join(f"<li>{escape(one.name)}{_off(one.drops_at_pct)}</li>" for one in labels.names)
    chips += "".join(
        f"<li class='bl-near'>{escape(one.name)}{_off(one.drops_at_pct, 'from')}</li>" for one in labels.near
    )
    chips += "".join(
        f"<li class='bl-near'>{escape(one.name)}{_off(one.drops_at_pct)}</li>" for one in labels.voluntary
    )
    if chips:
        st.html(f'<ul class="bl-words">{chips}</ul>')


def _off(load: float | None, word: str = "") -> str:
    """Load up to which a name stays off the label."""
    if load is None:
        return " <small>base</small>"
    return f" <small>{word} {_cut(load)}</small>"


def _cut(load: float) -> str:
    """A load cut to two figures that say something."""
    places = next((one for one in range(2, 6) if load >= 10 ** (1 - one)), 6)
    return units.floor_text(load, places)


def _sentence(labels: Names, load: float) -> str:
    count = len(labels.names)
    said = f"{count} {'name' if count == 1 else 'names'} at {load:.2f} %; {words.LISTS[labels.which]}"
    said += f" ({labels.source})." if labels.source else "."
    drops = [one for one in labels.names if one.drops_at_pct]
    if drops:
        said += " The small figure is the load in % up to which a name stays off; dashed: near, not on it."
    if labels.sold_until:
        said += f" Only for jars placed already; they may be sold until {labels.sold_until.isoformat()}."
    if labels.voluntary:
        early = "the dashed ones" if not labels.near else f"{len(labels.voluntary)} of the dashed ones"
        said += f" Named early if you wish: {early}."
    return said


def findings(assessed: Assessment) -> None:
    """Findings of the scent, warnings for the label, and what has changed since the save."""
    found = [one for one in assessed.findings if one.room == "scent"]
    parts.findings(found, "scent", words.CLEAR)
    if any(one.id == "food" for one in found):
        _answer(assessed)
    if assessed.warnings:
        parts.small("The label also says: " + " ".join(assessed.warnings))
    _changed(assessed)
    parts.small(PLANNING)
    parts.onward("Next: the batch", "batch")


def _answer(assessed: Assessment) -> None:
    held = assessed.design.scent.food_answer
    with st.expander("The assessor's answer", key="food"):
        if held is not None:
            parts.small(f"{held.by}, {held.on.isoformat() if held.on else 'no date'}: {held.words}")
            st.button("Take the answer back", type="tertiary", on_click=_set_answer, args=(None,))
            return
        st.text_area("What the assessor answered", key="food-words", height=90, max_chars=600)
        st.text_input("Name of the assessor", key="food-by", max_chars=80)
        st.button("Record the answer", on_click=_record, args=(assessed,))
        if st.session_state.get("food-bad"):
            st.html(f'<p class="bl-bad" role="alert">{escape(st.session_state["food-bad"])}</p>')


def _record(assessed: Assessment) -> None:
    ss = st.session_state
    told, by = (ss.get("food-words") or "").strip(), (ss.get("food-by") or "").strip()
    if not told or not by:
        ss["food-bad"] = "The answer and the assessor's name are both wanted."
        return
    ss["food-bad"] = ""
    _set_answer({"words": told, "by": by, "on": assessed.on.isoformat(), "about": assessed.food_signs})


def _set_answer(answer: dict | None) -> None:
    state.assign({"scent.food_answer": answer}, "Assessor's answer")


def _changed(assessed: Assessment) -> None:
    """What has happened since this design was saved."""
    saved = st.session_state.doc.get("saved")
    if not saved:
        return
    reasons = scents.changed(assessed, state.shelf(), date.fromisoformat(saved[:10]))
    if not reasons:
        return
    with st.container(key="changed"):
        parts.small(
            f"Since this card was saved on {saved[:10]}, to judge again: "
            + " ".join(one.text for one in reasons)
        )
        if any(item.rev != share.oil.rev for share, item in _today(assessed)):
            st.button("Take today's oils", type="tertiary", on_click=_renew)


def _today(assessed: Assessment) -> list:
    pairs = ((share, memo.shelf().today("oil", share.oil.id)) for share in assessed.design.scent.oils)
    return [(share, item) for share, item in pairs if item is not None]


def _renew() -> None:
    fresh = scents.renewed(state.design().scent, memo.shelf())
    refs = {
        f"scent.oils.{at}.oil": {"kind": "oil", "id": one.oil.id, "rev": one.oil.rev}
        for at, one in enumerate(fresh.oils)
    }
    state.assign(refs, "Today's oils")
