"""Notes of the scent by weight and by strength; what the opened jar smells of; how it fades on skin."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab.assess import Assessment
from blendlab.facts.read import figure
from blendlab.fragrance import ScentCheck
from blendlab.production import settings
from blendlab.show import scents
from blendlab.ui import parts, state, words
from blendlab.units import convert

NOTES = ("top", "middle", "base")
SMALL = 0.1


def balances(assessed: Assessment, check: ScentCheck | None) -> None:
    """Notes by weight, and by how strong each oil smells where she said so."""
    if check is None or not assessed.design.scent.oils:
        return
    _stack("Notes, by weight", check.notes)
    if assessed.design.scent.strengths:
        _stack("Notes, by strength", check.odour)
    wish = assessed.design.scent.wish
    if wish is not None:
        said = ", ".join(f"{name} {100 * share:.0f} %" for name, share in zip(NOTES, wish, strict=True))
        by = "strength" if assessed.design.scent.wish_by == "odour" else "weight"
        parts.small(f"Wished by {by}: {said}.")


def _stack(title: str, balance: object) -> None:
    named = ((name, getattr(balance, name)) for name in (*NOTES, "unknown"))
    shares = [(name, share) for name, share in named if share > 0]
    said = ", ".join(f"{name} {share * 100:.0f} %" for name, share in shares)
    cells = "".join(_cell(name, share) for name, share in shares)
    st.html(
        f'<p class="bl-small">{escape(title)}</p>'
        f'<div class="bl-stack" role="img" aria-label="{escape(title)}: {escape(said)}">{cells}</div>'
        + (f'<p class="bl-small">{escape(said)}</p>' if any(share < SMALL for _, share in shares) else "")
    )


def _cell(name: str, share: float) -> str:
    inside = (
        f"{escape(name)} {share * 100:.0f} %"
        if share >= 2 * SMALL
        else escape(name)
        if share >= SMALL
        else ""
    )
    return f'<span style="flex:{share:.4f}">{inside}</span>'


def smell(assessed: Assessment, check: ScentCheck | None) -> None:
    """What the opened jar smells of first; for what stays on the skin, the fading."""
    if check is None or not assessed.design.scent.oils:
        return
    found = scents.smell(assessed, check.rinse)
    with st.container(key="smell"):
        parts.heading("What the opened jar smells of first")
        if found is None:
            parts.small("No substance of these oils is known well enough to say.")
            return
        rows = "".join(_bar(name, share, f"{share * 100:.0f} %") for name, share in found.first.items())
        known = f"{found.known_pct:.0f} % of the scent is known by its substances"
        caption = f"Shares of the vapour over the jar; {known}."
        first = f'<table class="bl-table bl-bars"><caption>{caption}</caption><tbody>{rows}</tbody></table>'
        left, right = st.columns(2, gap="medium")
        left.html(first)
        left.html(f'<p class="bl-small">{escape(words.HEADSPACE)}</p>')
        with right:
            if found.fades:
                _fading(found)
            else:
                parts.small(words.NO_FADE)
        if check.flash_blend_c is not None:
            parts.small(_flash(*check.flash_blend_c))


def _flash(low: float, high: float) -> str:
    """The estimated flash point of the mixed oils, or its range, in her unit."""
    unit = settings.settings(state.folder()).heat_in
    said = list(dict.fromkeys(f"{convert(celsius, 'C', unit):.0f}" for celsius in (low, high)))
    return words.FLASH_MIXED.format(flash=f"{' to '.join(said)} °{unit}")


def _bar(name: str, share: float, figure: str, cells: str = "") -> str:
    inside = cells or '<span style="flex:1"></span>'
    bar = f'<div class="bl-part" style="width:{max(share, 0.004) * 100:.1f}%">{inside}</div>'
    return f"<tr><th scope='row'>{escape(name)}</th><td>{bar}</td><td>{escape(figure)}</td></tr>"


def _fading(found: scents.Smell) -> None:
    rows = []
    for hour, left, notes in found.fades:
        cells = "".join(
            f'<span style="flex:{share:.4f}">{name if share * left > 0.12 else ""}</span>'
            for name, share in zip(NOTES, notes, strict=True)
            if share > 0.005
        )
        rows.append(_bar(_after(hour), left, f"{left * 100:.0f} % left", cells))
    st.html(
        '<table class="bl-table bl-bars">'
        "<caption>How it fades from the skin: top, middle and base, left to right.</caption>"
        f"<tbody>{''.join(rows)}</tbody></table>"
    )
    parts.small(words.FADE.format(skin=figure("fragrance", "film.skin_c").value))


def _after(hours: float) -> str:
    if hours == 0:
        return "at once"
    return f"after {hours * 60:.0f} min" if hours < 1 else f"after {hours:.0f} h"
