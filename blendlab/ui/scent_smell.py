"""Notes of the scent by weight and by strength; what the opened jar smells of; how it fades on skin."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.assess import Assessment
from blendlab.facts.read import figure
from blendlab.fragrance import ScentCheck
from blendlab.fragrance.notes import Balance
from blendlab.production import settings
from blendlab.show import scents
from blendlab.ui import parts, state
from blendlab.ui.scent_blend import NOTES
from blendlab.ui.words import scent as say
from blendlab.units import convert

SMALL = 0.1
"""A share below this has no room for its name in its own cell."""
SLIVER, NAMED_SLIVER = 0.005, 0.12
"""A note below this share of what is left is not drawn; one below that share of it all is not named."""


def balances(assessed: Assessment, check: ScentCheck | None) -> None:
    """Notes by weight, and by how strong each oil smells where she said so."""
    scent = assessed.design.scent
    if check is None or not scent.oils:
        return
    _stack(say.BY_WEIGHT, check.notes)
    if scent.strengths:
        _stack(say.BY_STRENGTH, check.odour)
    if scent.wish is not None:
        said = ", ".join(_note(note, share) for note, share in zip(NOTES, scent.wish, strict=True))
        parts.small(say.WISHED_BY[scent.wish_by].format(notes=said))


def _note(note: str, share: float) -> str:
    return say.NOTE_SHARE.format(note=say.NOTES[note], pct=100 * share)


def _stack(title: str, balance: Balance) -> None:
    every = {note: getattr(balance, note) for note in (*NOTES, "unknown")}
    shares = {note: share for note, share in every.items() if share > 0}
    said = ", ".join(_note(note, share) for note, share in shares.items())
    cells = "".join(_cell(note, share) for note, share in shares.items())
    told = say.BALANCE.format(title=title, notes=said)
    stack = f'<div class="bl-stack" role="img" aria-label="{escape(told)}">{cells}</div>'
    below = f'<p class="bl-small">{escape(said)}</p>' if min(shares.values(), default=1) < SMALL else ""
    st.html(f'<p class="bl-small">{escape(title)}</p>{stack}{below}')


def _cell(note: str, share: float) -> str:
    inside = _note(note, share) if share >= 2 * SMALL else say.NOTES[note] if share >= SMALL else ""
    return f'<span style="flex:{share:.4f}">{escape(inside)}</span>'


def smell(assessed: Assessment, check: ScentCheck | None) -> None:
    """What the opened jar smells of first; for what stays on the skin, the fading."""
    if check is None or not assessed.design.scent.oils:
        return
    found = scents.smell(assessed, check.rinse)
    with st.container(key="smell"):
        parts.heading(say.SMELLS_FIRST)
        if found is None:
            parts.small(say.NOTHING_KNOWN)
            return
        left, right = st.columns(2, gap="medium")
        left.html(_first(found))
        left.html(f'<p class="bl-small">{escape(say.HEADSPACE)}</p>')
        with right:
            if found.fades:
                _fades(found)
            else:
                parts.small(say.NO_FADE)
        if check.flash_blend_c is not None:
            parts.small(_flash(*check.flash_blend_c))


def _first(found: scents.Smell) -> str:
    """Substances of the vapour over the jar, most first."""
    rows = "".join(
        _bar(name, share, say.PERCENT.format(figure=f"{share * 100:.0f}"))
        for name, share in found.first.items()
    )
    caption = f"<caption>{escape(say.VAPOUR.format(known=found.known_pct))}</caption>"
    return f'<table class="bl-table bl-bars">{caption}<tbody>{rows}</tbody></table>'


def _flash(low: float, high: float) -> str:
    """The estimated flash point of the mixed oils, or its range, in her unit."""
    unit = settings.settings(state.folder()).heat_in
    low, high = (round(convert(celsius, "C", unit)) for celsius in (low, high))
    form = say.FLASH if low == high else say.FLASH_RANGE
    return say.FLASH_MIXED.format(flash=form.format(flash=low, low=low, high=high, unit=unit))


def _bar(name: str, share: float, told: str, cells: str = "") -> str:
    inside = cells or '<span style="flex:1"></span>'
    bar = f'<div class="bl-part" style="width:{max(share, 0.004) * 100:.1f}%">{inside}</div>'
    return f"<tr><th scope='row'>{escape(name)}</th><td>{bar}</td><td>{escape(told)}</td></tr>"


def _fades(found: scents.Smell) -> None:
    rows = []
    for hours, left, shares in found.fades:
        cells = "".join(
            f'<span style="flex:{share:.4f}">'
            f"{escape(say.NOTES[note]) if share * left > NAMED_SLIVER else ''}</span>"
            for note, share in zip(NOTES, shares, strict=True)
            if share > SLIVER
        )
        rows.append(_bar(_after(hours), left, say.LEFT.format(pct=left * 100), cells))
    st.html(
        f'<table class="bl-table bl-bars"><caption>{escape(say.FADES)}</caption>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )
    parts.small(say.FADE.format(skin=figure("fragrance", "film.skin_c").value))


def _after(hours: float) -> str:
    if hours == 0:
        return say.AT_ONCE
    return say.AFTER_MINUTES.format(minutes=hours * 60) if hours < 1 else say.AFTER_HOURS.format(hours=hours)
