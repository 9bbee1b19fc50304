"""Wishes and ceilings of her own; they never lift a limit."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.facts.allergens import by_name
from blendlab.recipe import Scent
from blendlab.show import scents
from blendlab.ui import echoes, mishap, parts, scent_blend, state, words
from blendlab.ui.words import scent as say


def wishes(assessed: Assessment) -> None:
    """Other kinds it is sold as, notes wished, ceilings, and what she knows of each oil."""
    with st.expander(say.WISHES, key="wishes", on_change="rerun") as box:
        if box.open:
            parts.small(_count(assessed.design.scent))
            _kinds(assessed)
            _balance(assessed)
            _ceilings(assessed.design.scent)
            _oils(assessed)


def _count(scent: Scent) -> str:
    caps = scent.caps
    count = len(caps.contents) + len(caps.unnamed) + len(caps.least) + len(scent.also_kinds)
    count += sum(wish is not None for wish in (caps.vanillin_pct, caps.cost, scent.wish))
    return words.plural(count, *say.WISHES_SET) if count else say.NO_WISHES


def _kinds(assessed: Assessment) -> None:
    options = {kind: word for kind, word in say.KINDS_SOLD.items() if kind != assessed.design.product}
    key = "m.also_kinds"
    echoes.put(key, [kind for kind in assessed.design.scent.also_kinds if kind in options])

    def chosen() -> None:
        state.assign({"scent.also_kinds": st.session_state[key]}, say.DONE_ALSO_SOLD)

    st.multiselect(
        say.ALSO_SOLD,
        list(options),
        format_func=options.__getitem__,
        key=key,
        on_change=echoes.edited(key, chosen),
        placeholder=say.NOTHING_ELSE,
    )


# --- notes ----------------------------------------------------------------------------------------


def _balance(assessed: Assessment) -> None:
    wish = assessed.design.scent.wish
    if wish is None:
        st.button(say.WISH_NOTES, key="wish-notes", on_click=_start_wish, args=(assessed,))
        return
    by, *fields = st.columns([3, 2, 2, 2], gap="small", vertical_alignment="bottom")
    with by:
        parts.pick(say.NOTES_WISHED, say.WISH_BY, "scent.wish_by")
    for at, (note, place) in enumerate(zip(scent_blend.NOTES, fields, strict=True)):
        with place:
            _wished(at, note, wish[at])
    st.button(say.NO_NOTES_WISHED, type="tertiary", on_click=_no_wish)


def _wished(at: int, note: str, share: float) -> None:
    parts.number_field(
        say.WISHED_PCT[note],
        f"scent.wish.{note}",
        "%",
        0,
        100,
        hide_label=False,
        value=100 * share,
        write=lambda typed: _wish(at, typed),
    )


@mishap.answered
def _start_wish(assessed: Assessment) -> None:
    """Start from the notes as they are."""
    state.assign({"scent.wish": scents.present_notes(assessed)}, say.NOTES_WISHED)


def _wish(at: int, pct: float) -> None:
    """One note fixed; the other two share the rest as they did."""
    wish = list(state.at("scent.wish"))
    others = [other for other in range(len(wish)) if other != at]
    whole = sum(wish[other] for other in others)
    wish[at] = pct / 100
    for other in others:
        wish[other] = (1 - pct / 100) * (wish[other] / whole if whole else 1 / len(others))
    state.assign({"scent.wish": wish}, say.NOTES_WISHED)


@mishap.answered
def _no_wish() -> None:
    state.assign({"scent.wish": None}, say.NO_NOTES_WISHED)


# --- ceilings -------------------------------------------------------------------------------------


def _ceilings(scent: Scent) -> None:
    caps = scent.caps
    vanillin, cost = st.columns(2, gap="small")
    with vanillin:
        parts.number_field(say.VANILLIN_AT_MOST, "scent.caps.vanillin_pct", "%", 0, 100, hide_label=False)
    with cost:
        parts.number_field(say.COST_AT_MOST, "scent.caps.cost", "", 0, 100_000, hide_label=False)
    _unnamed([name for name in caps.unnamed if name in by_name()])
    _own_ceilings(list(caps.contents))
    for name, pct in caps.contents.items():
        _substance(name, pct)
    if caps.vanillin_pct is not None or caps.cost is not None:
        st.button(say.NO_CEILING, type="tertiary", on_click=_no_caps)


def _unnamed(names: list[str]) -> None:
    key = "m.unnamed"
    echoes.put(key, names)

    def chosen() -> None:
        state.assign({"scent.caps.unnamed": st.session_state[key]}, say.DONE_UNNAMED)

    st.multiselect(
        say.STAY_BELOW_NAMING,
        sorted(by_name()),
        key=key,
        on_change=echoes.edited(key, chosen),
        placeholder=say.NO_NAME,
    )


def _own_ceilings(names: list[str]) -> None:
    key = "m.capped"
    echoes.put(key, names)

    def chosen() -> None:
        held = state.at("scent.caps.contents")
        contents = {name: held.get(name, by_name()[name].rinse_off) for name in st.session_state[key]}
        state.assign({"scent.caps.contents": contents}, say.DONE_OWN_CEILINGS)

    st.multiselect(
        say.OWN_CEILING,
        sorted(by_name()),
        key=key,
        on_change=echoes.edited(key, chosen),
        placeholder=say.NO_SUBSTANCE,
    )


def _substance(name: str, pct: float) -> None:
    parts.number_field(
        say.SUBSTANCE_AT_MOST.format(substance=name),
        f"scent.caps.contents.{name}",
        "%",
        0,
        100,
        hide_label=False,
        value=pct,
        write=lambda typed: _cap(name, typed),
    )


def _cap(name: str, pct: float) -> None:
    contents = {**state.at("scent.caps.contents"), name: pct}
    done = say.DONE_SUBSTANCE.format(substance=name, pct=units.plain(pct))
    state.assign({"scent.caps.contents": contents}, done)


@mishap.answered
def _no_caps() -> None:
    state.assign({"scent.caps.vanillin_pct": None, "scent.caps.cost": None}, say.DONE_NO_CEILING)


# --- oils -----------------------------------------------------------------------------------------


def _oils(assessed: Assessment) -> None:
    scent = assessed.design.scent
    if not scent.oils:
        return
    known = {oil.id: oil.name for oil in scents.oils(assessed)}
    heads = "".join(f"<span>{escape(head)}</span>" for head in say.OIL_WISHES)
    st.html(f'<div class="bl-oilhead">{heads}</div>')
    with st.container(key="wish-rows"):
        for share in scent.oils:
            _oil(share.oil.id, known.get(share.oil.id, share.oil.id), scent)
    parts.small(say.STRENGTH)


def _oil(oil_id: str, name: str, scent: Scent) -> None:
    with st.container(horizontal=True, wrap=False, vertical_alignment="center", gap="small"):
        st.html(f'<p class="bl-small">{escape(name)}</p>')
        parts.number_field(
            say.STRENGTH_OF.format(oil=name),
            f"scent.strengths.{oil_id}",
            "",
            0.1,
            10,
            value=scent.strengths.get(oil_id, 1.0),
            write=lambda typed: _keyed("scent.strengths", oil_id, typed, 1.0, say.DONE_STRENGTH),
            width=96,
        )
        parts.number_field(
            say.LEAST_OF.format(oil=name),
            f"scent.caps.least.{oil_id}",
            "%",
            0,
            100,
            value=scent.caps.least.get(oil_id, 0.0),
            write=lambda typed: _keyed("scent.caps.least", oil_id, typed, 0.0, say.DONE_LEAST),
            width=96,
        )


def _keyed(path: str, oil_id: str, value: float, usual: float, done: str) -> None:
    """Set what she says of one oil; what is usual is not kept."""
    held = {other: figure for other, figure in state.at(path).items() if other != oil_id}
    changed = held if value == usual else {**held, oil_id: value}
    state.assign({path: changed}, done.format(figure=units.plain(value)))
