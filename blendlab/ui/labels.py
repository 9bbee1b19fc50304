"""The label of a design on the Batch page and in the Book: words, what holds it back, its print."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import printing, store
from blendlab.assess import Assessment
from blendlab.batch import Label
from blendlab.production import batches, labels, settings
from blendlab.recipe import MARKETS, slug
from blendlab.shelf import Resolved
from blendlab.ui import echoes, memo, parts, state, words

MAKER = (
    ("name", "Name on the label"),
    ("address", "Address, one line"),
    ("contact", "Contact for reports"),
    ("country", "Country of origin"),
)


def block(assessed: Assessment, lots: dict[str, store.LotLine]) -> None:
    """The label of the newest batch of this design, for the market of the design."""
    resolved, made = assessed.resolved, assessed.plan
    if resolved is None or made is None:
        return
    market = assessed.design.markets[0] if assessed.design.markets else "EU"
    parts.heading("On the label")
    parts.pick(
        "Market",
        {one: words.MARKETS[one] for one in MARKETS},
        "label-market",
        segments=True,
        value=market,
        write=lambda one: state.assign({"markets": [one]}, f"Market {words.MARKETS[one]}"),
    )
    page = batches.newest(memo.book(), assessed.design)
    told = labels.label_of_batch(
        memo.book(),
        assessed,
        resolved,
        made,
        market,
        settings.settings(state.folder()).maker,
        page,
        lots.get(f"base:{assessed.design.base.id}"),
    )
    st.html(_words(told))
    _export(told, resolved)
    parts.findings(told.findings, "label", "")
    with st.container(horizontal=True, gap="small"):
        with st.popover("Who answers for it", type="tertiary"):
            _maker()
        with st.popover("What only you can do", type="tertiary"):
            items = "".join(f"<li>{escape(one)}</li>" for one in told.tasks)
            st.html(f'<ul class="bl-plain">{items}</ul>')


def _words(told: Label) -> str:
    names = escape(told.ingredients.text) or "No ingredient is known."
    unsure = "" if labels.ordered(told) else f"<br><b>{words.ORDER_UNKNOWN}</b>"
    height = f", figures at least {told.net.figure_mm:.1f} mm high" if told.net.figure_mm else ""
    rows = (
        ("Net weight", f"{told.net.text or 'none yet'}{height}<small>{escape(told.net.basis)}</small>"),
        ("Ingredients", names + unsure),
        ("Batch", escape(told.code or "none yet")),
        ("Durability", escape(told.durability or "no date yet")),
        ("Warnings, use", " ".join(escape(one) for one in told.warnings)),
    )
    body = "".join(f"<tr><th scope='row'>{name}</th><td>{value}</td></tr>" for name, value in rows)
    return f'<table class="bl-table bl-label"><tbody>{body}</tbody></table>'


def _export(told: Label, resolved: Resolved) -> None:
    name = resolved.design.name
    stops = sum(one.level == "stop" for one in told.findings)
    st.download_button(
        "Jar labels, true size (PDF)",
        data=lambda: printing.label_pdf(told, name, resolved.jar.outer_mm, resolved.jar.height_mm),
        file_name=f"{slug(name)}-labels.pdf",
        mime="application/pdf",
        on_click="ignore",
        disabled=not told.export,
    )
    if not told.export:
        parts.small(f"Held back: {stops} {'stops' if stops > 1 else 'stop'} below.")


def _maker() -> None:
    kept = settings.settings(state.folder()).maker
    for leaf, label in MAKER:
        key = f"maker-{leaf}"
        echoes.put(key, getattr(kept, leaf))
        st.text_input(
            label, key=key, max_chars=160, on_change=echoes.edited(key, _set_maker), args=(leaf, key)
        )


def _set_maker(leaf: str, key: str) -> None:
    parts.tell(settings.set_setting(state.folder(), f"maker.{leaf}", st.session_state[key].strip()))
