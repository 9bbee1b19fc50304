"""Shelf: what a kilogram of everything costs, or a jar with its lid."""

from __future__ import annotations

from functools import partial
from html import escape

import streamlit as st

from blendlab.forms import prices
from blendlab.production import settings
from blendlab.shelf import Base, Item
from blendlab.ui import memo, parts, shelf_forms, state
from blendlab.ui.words import shelf as say

COLUMNS = (("base", "ingredient", "jar"), ("oil",), ("pigment",))
"""Kinds in each column."""


def page(kind: str) -> None:
    """Everything that has a price, by kind."""
    shelf, asked = memo.shelf(), shelf_forms.asked_name()
    parts.small(say.PRICE_OF_KG.format(currency=settings.settings(state.folder()).currency))
    for place, kinds in zip(st.columns(len(COLUMNS), gap="medium"), COLUMNS, strict=True):
        with place:
            for name in kinds:
                parts.heading(say.KINDS[name])
                for item in shelf.of(name):
                    if asked in item.name.casefold():
                        _price(item)


def _price(item: Item) -> None:
    known = prices.per_kg(item)
    with st.container(
        key=f"price-{item.kind}-{item.id}",
        horizontal=True,
        wrap=False,
        vertical_alignment="center",
        gap="small",
    ):
        cooked = isinstance(item, Base) and item.lines
        behind = f"<br><small>{say.BY_FORMULA}</small>" if cooked else ""
        st.html(f'<p class="bl-tone">{escape(parts.capital(item.name))}{behind}</p>')
        parts.number_field(
            say.PRICE_OF.format(name=item.name),
            f"price.{item.kind}.{item.id}",
            "",
            0,
            1_000_000,
            value="" if known is None else round(known, 4),
            write=partial(_set_price, item),
            width=110,
        )


def _set_price(item: Item, typed: float) -> None:
    parts.tell(prices.set_price(state.folder(), item, typed))
