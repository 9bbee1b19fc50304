"""Wishes and ceilings of her own, and the closest blends beside the present one: Take or Leave."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.facts.allergens import by_name
from blendlab.fragrance import Closest, Proposal, ScentCheck
from blendlab.fragrance.conflict import LOAD
from blendlab.recipe import Scent
from blendlab.show import scents
from blendlab.ui import echoes, parts, state, words

NOTES = ("top", "middle", "base")
BY = {"weight": "by weight", "odour": "by strength"}


# --- the closest blend ----------------------------------------------------------------------------


def asked() -> bool:
    """Whether she asked for the closest blend."""
    return bool(st.session_state.get("closest-open"))


def proposed(assessed: Assessment, market: str) -> ScentCheck | None:
    """The proposals, when she asked for them; what the shown one would be told."""
    if not asked():
        st.button("Find the closest blend within all limits", key="closest", width="stretch", on_click=_open)
        return None
    found = scents.closest(assessed, market)
    with st.container(key="proposals", border=True):
        if found is None or found.fits or not found.proposals:
            _nothing(found)
            st.button("Leave", key="leave-blend", on_click=_close)
            return None
        one = _which(found)
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            st.html(f'<p class="bl-tone">{escape(_sentence(one))}</p>')
            st.button("Take", key="take-blend", type="primary", on_click=_take, args=(one,))
            st.button("Leave", key="leave-blend", on_click=_close)
        _told(assessed, found, one)
    return scents.as_checked(assessed, market, one.scent)


def _open() -> None:
    st.session_state["closest-open"] = True


def _close() -> None:
    st.session_state["closest-open"] = False


def _take(one: Proposal) -> None:
    _close()
    state.assign(scents.taken(state.design().scent, one.scent), "Closest blend")


def _nothing(found: Closest | None) -> None:
    if found is not None and found.fits:
        parts.small("The blend is within every limit listed here and within your own wishes as it is.")
    elif found is None:
        parts.small("Nothing can be found before an oil has a share, and every oil and the base are there.")
    else:
        parts.small("No blend of these oils can be sold at any load.")
        _why(found)


def _which(found: Closest) -> Proposal:
    ways = {one.way: words.WAYS[one.way] for one in found.proposals}
    chosen = st.segmented_control(
        "Closest blend",
        list(ways),
        format_func=ways.__getitem__,
        required=True,
        default=next(iter(ways)),
        key="closest-way",
        width="stretch",
        label_visibility="collapsed",
    )
    return next((one for one in found.proposals if one.way == chosen), found.proposals[0])


def _sentence(one: Proposal) -> str:
    count = len(one.changes)
    moved = "all shares kept"
    if count:
        verb = "share changes" if count == 1 else "shares change"
        moved = f"{count} {verb}, largest by {one.largest_pct:.1f} points"
    return f"Closest blend within the limits: load {one.scent.load_pct:.2f} %, {moved}."


def _told(assessed: Assessment, found: Closest, one: Proposal) -> None:
    scent = assessed.design.scent
    before = {share.oil.id: share.share_pct for share in scent.oils}
    known = {oil.id: oil.name for oil in scents.oils(assessed)}
    rows = "".join(
        f"<tr><th scope='row'>{escape(known.get(share.oil.id, share.oil.id))}</th>"
        f"<td>{before.get(share.oil.id, 0.0):.2f}</td><td>{share.share_pct:.2f}</td>"
        f"<td>{one.grams.get(known.get(share.oil.id, ''), 0.0):.2f}</td></tr>"
        for share in one.scent.oils
    )
    st.html(
        '<table class="bl-table bl-shares"><thead><tr><th>oil</th><th>now, % of the scent</th>'
        f"<th>proposed</th><th>g in the batch</th></tr></thead><tbody>{rows}</tbody></table>"
    )
    said = [f"{name} {100 * getattr(one.notes, name):.0f} %" for name in NOTES if getattr(one.notes, name)]
    lines = [f"Notes {BY[scent.wish_by]}: {', '.join(said)}."] if said else []
    if one.binding:
        lines.append(f"Used up: {', '.join(one.binding)}.")
    lines += [_relaxed(each) for each in one.relaxed]
    for line in lines:
        parts.small(line)
    _why(found)


def _relaxed(one: object) -> str:
    unit = {"load": "%", "largest change": "points"}.get(one.what, "points")
    return (
        f"{one.name} is yours to move: at {units.digits(one.tried)} {one.unit} instead of"
        f" {units.digits(one.most)} the {one.what} is {one.after:.2f} {unit} instead of {one.before:.2f}."
    )


def _why(found: Closest) -> None:
    if found.conflict:
        named = [words.THE_LOAD if one == LOAD else one for one in found.conflict]
        parts.small(f"These cannot hold together, any one of them could: {'; '.join(named)}.")
    for name, most in (found.needs or {}).items():
        parts.small(f"{name} would have to be {units.digits(most)} for this load.")
    for text in found.left_out.values():
        parts.small(f"Left out: {text}")


# --- her own wishes -------------------------------------------------------------------------------


def wishes(assessed: Assessment) -> None:
    """Ceilings and wishes of her own; they never lift a limit."""
    with st.expander("Your wishes and ceilings", key="wishes", on_change="rerun") as box:
        if box.open:
            parts.small(_count(assessed))
            _kinds(assessed)
            _balance(assessed)
            _ceilings(assessed)
            _oils(assessed)


def _count(assessed: Assessment) -> str:
    scent, caps = assessed.design.scent, assessed.design.scent.caps
    count = len(caps.contents) + len(caps.unnamed) + len(caps.least) + len(scent.also_kinds)
    count += sum(one is not None for one in (caps.vanillin_pct, caps.cost, scent.wish))
    return f"{count or 'None'} set. They steer the closest blend; a limit never gives way to them."


def _kinds(assessed: Assessment) -> None:
    options = {key: word for key, word in words.KINDS_SOLD.items() if key != assessed.design.product}
    key = "m.also_kinds"
    echoes.put(key, [one for one in assessed.design.scent.also_kinds if one in options])
    st.multiselect(
        "Sold also as (the stricter figure counts)",
        list(options),
        format_func=options.__getitem__,
        key=key,
        on_change=echoes.edited(
            key, lambda: state.assign({"scent.also_kinds": st.session_state[key]}, "Sold also as")
        ),
        placeholder="nothing else",
    )


def _balance(assessed: Assessment) -> None:
    wish = assessed.design.scent.wish
    if wish is None:
        st.button("Wish for other notes", key="wish-notes", on_click=_start_wish, args=(assessed,))
        return
    by, *fields = st.columns([3, 2, 2, 2], gap="small", vertical_alignment="bottom")
    with by:
        parts.pick("Notes wished", BY, "scent.wish_by")
    for at, (name, place) in enumerate(zip(NOTES, fields, strict=True)):
        with place:
            parts.number_field(
                f"{parts.capital(name)}, %",
                f"scent.wish.{name}",
                "%",
                0,
                100,
                hide_label=False,
                value=100 * wish[at],
                write=lambda typed, at=at: _wish(at, typed),
            )
    st.button("No wish for notes", type="tertiary", on_click=_no_wish)


def _start_wish(assessed: Assessment) -> None:
    """Start from the notes as they are."""
    state.assign({"scent.wish": scents.present_notes(assessed)}, "Notes wished")


def _wish(at: int, pct: float) -> None:
    """One note fixed; the other two share the rest as they did."""
    wish = list(state.at("scent.wish"))
    others = [one for one in range(3) if one != at]
    whole = sum(wish[one] for one in others)
    wish[at] = pct / 100
    for one in others:
        wish[one] = (1 - pct / 100) * (wish[one] / whole if whole else 0.5)
    state.assign({"scent.wish": wish}, "Notes wished")


def _no_wish() -> None:
    state.assign({"scent.wish": None}, "No wish for notes")


def _ceilings(assessed: Assessment) -> None:
    vanillin, cost = st.columns(2, gap="small")
    with vanillin:
        parts.number_field(
            "Vanillin at most, % of the jar", "scent.caps.vanillin_pct", "%", 0, 100, hide_label=False
        )
    with cost:
        parts.number_field("Oils at most, cost of 100 g", "scent.caps.cost", "", 0, 100_000, hide_label=False)
    key = "m.unnamed"
    caps = assessed.design.scent.caps
    echoes.put(key, [one for one in caps.unnamed if one in by_name()])
    st.multiselect(
        "Stay below naming",
        sorted(by_name()),
        key=key,
        on_change=echoes.edited(
            key, lambda: state.assign({"scent.caps.unnamed": st.session_state[key]}, "Names kept off")
        ),
        placeholder="no name",
    )
    which = "m.capped"
    echoes.put(which, list(caps.contents))
    st.multiselect(
        "Your own ceiling for",
        sorted(by_name()),
        key=which,
        on_change=echoes.edited(which, lambda: _capped(st.session_state[which])),
        placeholder="no substance",
    )
    for name in caps.contents:
        label = f"{name} at most, % of the jar"
        parts.number_field(
            label,
            f"scent.caps.contents.{name}",
            "%",
            0,
            100,
            hide_label=False,
            value=caps.contents[name],
            write=lambda typed, name=name: _cap(name, typed),
        )
    if caps.vanillin_pct is not None or caps.cost is not None:
        st.button("No ceiling for vanillin and cost", type="tertiary", on_click=_no_caps)


def _no_caps() -> None:
    state.assign({"scent.caps.vanillin_pct": None, "scent.caps.cost": None}, "No ceiling")


def _capped(names: list[str]) -> None:
    held = state.at("scent.caps.contents")
    contents = {name: held.get(name, by_name()[name].rinse_off) for name in names}
    state.assign({"scent.caps.contents": contents}, "Your own ceilings")


def _cap(name: str, pct: float) -> None:
    contents = {**state.at("scent.caps.contents"), name: pct}
    state.assign({"scent.caps.contents": contents}, f"{name} at most {units.plain(pct)} %")


def _oils(assessed: Assessment) -> None:
    scent = assessed.design.scent
    if not scent.oils:
        return
    known = {one.id: one.name for one in scents.oils(assessed)}
    heads = "".join(f"<span>{one}</span>" for one in ("oil", "strength 0.1 to 10", "at least, %"))
    st.html(f'<div class="bl-oilhead">{heads}</div>')
    with st.container(key="wish-rows"):
        for share in scent.oils:
            _wish_row(share.oil.id, known.get(share.oil.id, share.oil.id), scent)
    parts.small(words.STRENGTH)


def _wish_row(key: str, name: str, scent: Scent) -> None:
    with st.container(horizontal=True, wrap=False, vertical_alignment="center", gap="small"):
        st.html(f'<p class="bl-small">{escape(name)}</p>')
        parts.number_field(
            f"How strong {name} smells beside the others",
            f"scent.strengths.{key}",
            "",
            0.1,
            10,
            value=scent.strengths.get(key, 1.0),
            write=lambda typed: _keyed("scent.strengths", key, typed, 1.0, "Strength"),
            width=96,
        )
        parts.number_field(
            f"Least share of {name}, percent of the scent",
            f"scent.caps.least.{key}",
            "%",
            0,
            100,
            value=scent.caps.least.get(key, 0.0),
            write=lambda typed: _keyed("scent.caps.least", key, typed, 0.0, "Least share"),
            width=96,
        )


def _keyed(path: str, key: str, value: float, usual: float, word: str) -> None:
    held = {one: each for one, each in state.at(path).items() if one != key}
    state.assign({path: held if value == usual else {**held, key: value}}, f"{word} {units.plain(value)}")
