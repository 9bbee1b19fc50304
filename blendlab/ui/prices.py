"""Shelf: what a kilogram of everything costs, or a jar with its lid; packs with their postage."""

from __future__ import annotations

from functools import partial
from html import escape

import streamlit as st

from blendlab.forms import prices
from blendlab.production import money, settings
from blendlab.shelf import Base, Item
from blendlab.ui import memo, mishap, parts, shelf_forms, state, typed
from blendlab.ui.words import shelf as say

COLUMNS = (("base", "ingredient", "jar"), ("oil",), ("pigment",))
"""Kinds in each column."""
PACK, PREFIX = ("price", "pack", "shipping"), "pack-"
"""Fields of a pack, and what their keys begin with."""


def page(kind: str) -> None:
    """Everything that has a price, by kind."""
    shelf, asked = memo.shelf(), shelf_forms.asked_name()
    kept = settings.settings(state.folder())
    parts.small(say.PRICE_OF_KG.format(currency=kept.currency))
    with st.popover(say.FROM_A_PACK, type="tertiary"):
        _pack()
    for place, kinds in zip(st.columns(len(COLUMNS), gap="medium"), COLUMNS, strict=True):
        with place:
            for name in kinds:
                parts.heading(say.KINDS[name])
                for item in shelf.of(name):
                    if asked in item.name.casefold():
                        _price(item, kept)


def _price(item: Item, kept: settings.Settings) -> None:
    with st.container(
        key=f"price-{item.kind}-{item.id}",
        horizontal=True,
        wrap=False,
        vertical_alignment="center",
        gap="small",
    ):
        if isinstance(item, Base) and item.lines:
            said = money.base_words(item, memo.book(), memo.shelf(), kept)
            st.html(f'<p class="bl-tone">{_name(item)}<br><small>{escape(said)}</small></p>')
            return
        st.html(f'<p class="bl-tone">{_name(item)}</p>')
        known = prices.per_kg(item)
        parts.number_field(
            say.PRICE_OF.format(name=item.name, currency=kept.currency),
            f"price.{item.kind}.{item.id}",
            "",
            0,
            1_000_000,
            value="" if known is None else round(known, 4),
            write=partial(_set_price, item),
            width=110,
        )


def _name(item: Item) -> str:
    return escape(parts.capital(item.name))


def _set_price(item: Item, price: float) -> None:
    parts.tell(prices.set_price(state.folder(), item, price))


def _pack() -> None:
    """A pack as it was bought: its price, its grams, its share of the postage."""
    shelf = memo.shelf()
    known = {
        f"{item.kind}:{item.id}": item.name
        for kinds in COLUMNS
        for kind in kinds
        for item in shelf.of(kind)
        if prices.bought(item)
    }
    typed.hold("pack", PREFIX, dict.fromkeys(PACK, ""))
    parts.one_of(say.WHICH, known, typed.key(PREFIX, "item"))
    for name in PACK:
        label = say.PACK[name].format(currency=parts.currency())
        st.text_input(label, key=typed.key(PREFIX, name), max_chars=20)
    for answer in st.session_state.get(f"{PREFIX}answers", []):
        parts.alert(answer)
    st.button(say.KEEP_PACK, type="primary", key="keep-pack", on_click=_keep_pack)


@mishap.answered
def _keep_pack() -> None:
    given = typed.fields(PREFIX)
    item = memo.shelf().today(*given["item"].split(":", 1))
    answers = prices.set_pack(state.folder(), item, given)
    st.session_state[f"{PREFIX}answers"] = answers
    if not answers:
        typed.forget("pack", PREFIX)
