"""The closest blends within all limits beside the present one: Take or Leave."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.fragrance import Closest, Proposal, Relaxed, ScentCheck
from blendlab.fragrance.conflict import LOAD
from blendlab.show import scents
from blendlab.ui import mishap, parts, state, words
from blendlab.ui.words import scent as say

NOTES = ("top", "middle", "base")
OPEN = "closest-open"


def asked() -> bool:
    """Whether she asked for the closest blend."""
    return bool(st.session_state.get(OPEN))


def proposed(assessed: Assessment, market: str) -> ScentCheck | None:
    """The proposals, when she asked for them; what the shown one would be told."""
    if not asked():
        st.button(say.FIND_CLOSEST, key="closest", width="stretch", on_click=_open)
        return None
    found = scents.closest(assessed, market)
    with st.container(key="proposals", border=True):
        if found is None or found.fits or not found.proposals:
            _nothing(found)
            st.button(say.LEAVE, key="leave-blend", on_click=_close)
            return None
        proposal = _which(found)
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            st.html(f'<p class="bl-tone">{escape(_sentence(proposal))}</p>')
            st.button(say.TAKE, key="take-blend", type="primary", on_click=_take, args=(proposal,))
            st.button(say.LEAVE, key="leave-blend", on_click=_close)
        _told(assessed, found, proposal)
    return scents.as_checked(assessed, market, proposal.scent)


@mishap.answered
def _open() -> None:
    st.session_state[OPEN] = True


@mishap.answered
def _close() -> None:
    st.session_state[OPEN] = False


@mishap.answered
def _take(proposal: Proposal) -> None:
    _close()
    state.assign(scents.taken(state.design().scent, proposal.scent), say.CLOSEST)


def _nothing(found: Closest | None) -> None:
    if found is not None and found.fits:
        parts.small(say.FITS)
    elif found is None:
        parts.small(say.NOTHING_FOUND)
    else:
        parts.small(say.NONE_CAN_BE_SOLD)
        _why(found)


def _which(found: Closest) -> Proposal:
    by_way = {proposal.way: proposal for proposal in found.proposals}
    chosen = st.segmented_control(
        say.CLOSEST,
        list(by_way),
        format_func=say.WAYS.__getitem__,
        required=True,
        default=next(iter(by_way)),
        key="closest-way",
        width="stretch",
        label_visibility="collapsed",
    )
    return by_way.get(chosen, found.proposals[0])


def _sentence(proposal: Proposal) -> str:
    load, count = proposal.scent.load_pct, len(proposal.changes)
    if not count:
        return say.SHARES_KEPT.format(load=load)
    return words.plural(count, *say.SHARES_MOVED, load=load, largest=proposal.largest_pct)


def _told(assessed: Assessment, found: Closest, proposal: Proposal) -> None:
    st.html(_table(assessed, proposal))
    shares = {note: getattr(proposal.notes, note) for note in NOTES}
    said = [
        say.NOTE_SHARE.format(note=say.NOTES[note], pct=100 * share)
        for note, share in shares.items()
        if share
    ]
    if said:
        parts.small(say.NOTES_BY[assessed.design.scent.wish_by].format(notes=", ".join(said)))
    if proposal.binding:
        parts.small(say.USED_UP.format(rows=", ".join(proposal.binding)))
    for relaxed in proposal.relaxed:
        parts.small(_relaxed(relaxed))
    _why(found)


def _table(assessed: Assessment, proposal: Proposal) -> str:
    before = {share.oil.id: share.share_pct for share in assessed.design.scent.oils}
    known = {oil.id: oil.name for oil in scents.oils(assessed)}
    rows = "".join(
        f"<tr><th scope='row'>{escape(known.get(share.oil.id, share.oil.id))}</th>"
        f"<td>{before.get(share.oil.id, 0.0):.2f}</td><td>{share.share_pct:.2f}</td>"
        f"<td>{proposal.grams.get(known.get(share.oil.id, ''), 0.0):.2f}</td></tr>"
        for share in proposal.scent.oils
    )
    heads = "".join(f"<th>{escape(head)}</th>" for head in say.PROPOSAL)
    return f'<table class="bl-table bl-shares"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _relaxed(relaxed: Relaxed) -> str:
    return say.RELAXED.format(
        name=relaxed.name,
        tried=units.digits(relaxed.tried),
        unit=relaxed.unit,
        most=units.digits(relaxed.most),
        what=relaxed.what,
        after=relaxed.after,
        moved="%" if relaxed.what == "load" else say.POINTS,
        before=relaxed.before,
    )


def _why(found: Closest) -> None:
    if found.conflict:
        named = [say.THE_LOAD if row == LOAD else row for row in found.conflict]
        parts.small(say.CONFLICT.format(rows="; ".join(named)))
    for name, most in (found.needs or {}).items():
        parts.small(say.NEEDED.format(name=name, figure=units.digits(most)))
    for why in found.left_out.values():
        parts.small(say.LEFT_OUT.format(why=why))
