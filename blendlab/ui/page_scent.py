"""Scent: oils and load; what binds and what is unknown; names on the label; what to do about it."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.production import line_words
from blendlab.recipe import OilShare
from blendlab.show import scents
from blendlab.ui import echoes, memo, parts, scent_blend, scent_label, scent_limits, scent_smell, state

LOAD_AS = {"pct": "% of the jar", "parts": "g to 100 g of the rest", "grams": "g in the batch"}


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    market = assessed.design.markets[0] if assessed.design.markets else "EU"
    check = assessed.scents.get(market)
    with st.container(key="scent"):
        left, middle, right = st.columns([10, 11, 8], gap="medium")
        with left:
            _oils(assessed)
            scent_smell.balances(assessed, check)
        with middle:
            _load(assessed)
            scent_limits.ceiling(assessed, check)
            asked = scent_blend.asked()
            table = None if asked else st.container(key="beside")
            proposed = scent_blend.proposed(assessed, market)
            with table or st.container(key="beside"):
                if check is not None:
                    scent_limits.headroom(assessed, market, check, proposed)
            if check is not None:
                scent_limits.found(check)
            scent_blend.wishes(assessed)
            if len(assessed.design.tones) > 1:
                _tone_loads(assessed, market)
        with right:
            scent_label.names(assessed, market)
            scent_label.findings(assessed)
        scent_smell.smell(assessed, check)


# --- oils -----------------------------------------------------------------------------------------


def _oils(assessed: Assessment) -> None:
    with st.container(horizontal=True, vertical_alignment="center", key="oils-head"):
        parts.heading("Oils")
        with st.container(key="add"):
            _add()
    shares = assessed.design.scent.oils
    said = {one.oil_id: one for check in assessed.scents.values() for one in check.sheets}
    with st.container(key="oil-rows"):
        for position, share in enumerate(shares):
            _oil(position, share, said.get(share.oil.id))
    total = sum(share.share_pct for share in shares)
    with st.container(horizontal=True, vertical_alignment="center", key="sum"):
        parts.small(f"Sum {units.plain(total, 2)} % of the scent" if shares else "No oil in the scent yet.")
        if shares and abs(total - 100) > 0.005 and total > 0:
            st.button("Even out to 100 %", type="tertiary", on_click=_even_out)


def _oil(position: int, share: OilShare, sheet: object) -> None:
    shelf = state.shelf()
    oil = shelf.find(share.oil) if shelf.has(share.oil) else None
    name = oil.name if oil else share.oil.id
    with st.container(
        key=f"oil-{position}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        word = _sheet_word(sheet) if share.share_pct else "none in it"
        told = f"{scents.note_word(oil) if oil else '?'}, {word}"
        shown = f'<span title="{escape(name)}">{escape(name)}</span><small>{escape(told)}</small>'
        st.html(f'<p class="bl-oil">{shown}</p>')
        label = f"Share of {name}, percent of the scent"
        parts.number_field(label, f"scent.oils.{position}.share_pct", "%", 0, 100, width=92)
        st.button("Out", key=f"drop-oil-{position}", type="tertiary", on_click=_drop, args=(position,))


def _sheet_word(sheet: object) -> str:
    if sheet is None:
        return "not checked"
    return sheet.word if sheet.state != "use" else "sheet"


def _ref(oil_id: str) -> dict[str, str]:
    item = memo.shelf().today("oil", oil_id)
    return {"kind": "oil", "id": item.id, "rev": item.rev}


def _add() -> None:
    """Choice of an oil of the shelf that is not in the scent yet."""
    used = {share["oil"]["id"] for share in state.at("scent.oils")}
    free = {one.id: one.name for one in memo.shelf().of("oil") if one.id not in used}
    st.selectbox(
        "Add an oil",
        list(free),
        format_func=lambda one: free.get(one, one),
        index=None,
        key="add-oil",
        placeholder="Add an oil",
        label_visibility="collapsed",
        on_change=echoes.edited("add-oil", _add_oil),
    )


def _add_oil() -> None:
    ss = st.session_state
    chosen = ss["add-oil"]
    echoes.put("add-oil", None)
    if chosen:
        share = {"oil": _ref(chosen), "share_pct": 0.0}
        state.change("An oil more", lambda design: design["scent"]["oils"].append(share))


def _drop(position: int) -> None:
    state.change("An oil less", lambda design: design["scent"]["oils"].pop(position))


def _even_out() -> None:
    shares = state.at("scent.oils")
    total = sum(share["share_pct"] for share in shares)
    state.assign(
        {f"scent.oils.{at}.share_pct": 100 * (share["share_pct"] / total) for at, share in enumerate(shares)},
        "Shares evened out",
    )


# --- load -----------------------------------------------------------------------------------------


def _load(assessed: Assessment) -> None:
    said = scents.load(assessed)
    with st.container(key="load-row", horizontal=True, vertical_alignment="bottom", gap="small"):
        with st.container(key="load-feel"):
            label = "Load, percent of the finished jar"
            parts.slide(label, "scent.load_pct", 0.0, 3.0, 0.05, "%", hide_label=False)
        way = st.session_state.get("load-as", "pct")
        with st.container(key="load-exact"):
            if way == "pct":
                parts.number_field("Exact load, %", "scent.load_pct", "%", 0, 100, hide_label=False)
            else:
                _other(way, said, assessed)
        with st.container(key="load-way"):
            st.selectbox("Typed as", list(LOAD_AS), format_func=LOAD_AS.__getitem__, key="load-as")
    text = f"{said.pct:.2f} % of the finished jar = {said.parts:.2f} g to 100 g of everything else"
    if said.batch_g:
        scent, whole = line_words.grams(said.grams, said.step_g), line_words.grams(said.batch_g, 1)
        text += f" = {scent} g in the batch of {whole} g"
    text += "."
    if said.price is not None:
        text += f" Oils for one jar cost {said.price:.2f}."
    if said.drops is not None and said.jar_g > 0:
        few, many = said.drops
        text += f" One jar takes {units.digits(said.jar_g)} g, {few:.0f} to {many:.0f} drops: weigh it."
    parts.small(text)


def _other(way: str, said: scents.Load, assessed: Assessment) -> None:
    figure = said.parts if way == "parts" else said.grams
    parts.number_field(
        f"Load, {LOAD_AS[way]}",
        f"scent.load_as_{way}",
        "g",
        0,
        10_000 if way == "parts" else max(said.batch_g, 1e-9),
        hide_label=False,
        value=round(figure, 4),
        write=lambda typed: _write_load(way, typed, assessed),
    )


def _write_load(way: str, typed: float, assessed: Assessment) -> None:
    pct = scents.pct_from(way, typed, assessed)
    state.assign({"scent.load_pct": pct}, f"Load {units.plain(pct)} % of the finished jar")


def _tone_loads(assessed: Assessment, market: str) -> None:
    scent = assessed.design.scent
    with st.expander("Load by tone", key="tone-loads", on_change="rerun") as box:
        if not box.open:
            return
        parts.small("A buyer may use one colour alone: the tone with the most scent is the one checked.")
        for tone in assessed.design.tones:
            with st.container(horizontal=True, wrap=False, vertical_alignment="center", gap="small"):
                told = scent_limits.tightest(assessed.portions.get(market, {}).get(tone.id))
                st.html(
                    f'<p class="bl-oil"><span>{escape(tone.name)}</span><small>{escape(told)}</small></p>'
                )
                pct = scent.tone_loads.get(tone.id, scent.load_pct)
                parts.number_field(
                    f"Load of {tone.name}, percent of that tone",
                    f"scent.tone_loads.{tone.id}",
                    "%",
                    0,
                    100,
                    value=pct,
                    write=lambda typed, tone_id=tone.id: _tone_load(tone_id, typed),
                    width=110,
                )
        if scent.tone_loads:
            st.button("Same load in every tone", type="tertiary", on_click=_same_loads)


def _tone_load(tone_id: str, pct: float) -> None:
    loads = {**state.at("scent.tone_loads"), tone_id: pct}
    state.assign({"scent.tone_loads": loads}, f"Load of one tone {units.plain(pct)} %")


def _same_loads() -> None:
    state.assign({"scent.tone_loads": {}}, "Same load in every tone")
