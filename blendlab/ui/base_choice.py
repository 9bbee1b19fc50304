"""The base of a design and its lots: chosen by her on Look and on Batch, never swapped unseen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import streamlit as st

from blendlab import store
from blendlab.assess import Assessment
from blendlab.production import bases, stock_lots
from blendlab.production.judgement import Lots
from blendlab.shelf import Base
from blendlab.ui import echoes, memo, mishap, parts, state, words
from blendlab.ui.words import batch as say


def take_product(chosen: str) -> None:
    """Make the design another product; its base follows only where there is no choice."""
    shelf, current, kind = memo.shelf(), state.design().base, words.PRODUCTS[chosen]
    taken = bases.for_product(shelf, chosen, current)
    changes: dict[str, object] = {"product": chosen}
    if taken is not None:
        changes["base"] = state.reference(taken)
    state.assign(changes, words.CHOSEN.format(label=words.PRODUCT, choice=kind))
    fitting = bases.fitting(shelf, chosen)
    if taken is not None:
        parts.tell(words.BASE_TAKEN.format(base=taken.name, product=kind))
    elif not any(base.id == current.id for base in fitting):
        said = words.plural(len(fitting), *words.BASES_FIT, product=kind) if fitting else words.NO_BASE_FITS
        parts.tell(said.format(product=kind))


def choose(assessed: Assessment) -> None:
    """The chooser of the base: those of the product kind, and that nobody has one."""
    design, shelf = assessed.design, memo.shelf()
    known = {base.id: base.name for base in bases.fitting(shelf, design.product)}
    if not known:
        kind = words.PRODUCTS.get(design.product, design.product)
        parts.small(words.NO_BASE_FITS.format(product=kind))
    current = shelf.today("base", design.base.id)
    if isinstance(current, Base) and current.id not in known:
        kind = words.PRODUCTS.get(current.product, current.product)
        known[current.id] = words.BASE_FOR.format(base=current.name, product=kind)
    parts.pick(words.BASE, known, "base.id", write=_take)


def _take(base_id: str) -> None:
    base = memo.on_shelf(Base, base_id)
    state.assign({"base": state.reference(base)}, words.CHOSEN.format(label=words.BASE, choice=base.name))


def lots(assessed: Assessment, taken: Lots) -> None:
    """The lot of the base, and a second one where the first does not hold the batch."""
    item, today = f"base:{assessed.design.base.id}", state.today()
    there = stock_lots.to_choose(memo.book(), item, today)
    if not there:
        parts.small(say.NO_FREE_LOT if store.lots(memo.book(), item) else say.NO_BASE_LOT)
        return
    known = {str(line.number): stock_lots.lot_label(line, today) for line in there}
    chosen = taken.get(item, ())
    if not chosen:
        known = {"": say.NO_LOT_TAKEN, **known}
    current = str(chosen[0].number) if chosen else ""
    parts.pick(say.BASE_LOT, known, "batch-base-lot", value=current, write=partial(_take_lot, item))
    needed = assessed.plan.needs.get(item, 0.0) if assessed.plan is not None else 0.0
    _second(item, chosen, there, needed)


def _second(
    item: str, chosen: Sequence[store.LotLine], there: tuple[store.LotLine, ...], needed_g: float
) -> None:
    """Ask whether another lot is mixed in; nothing is mixed without her word."""
    following = chosen[1:] or [line for line in there if line not in chosen and not line.ended(state.today())]
    if not chosen or chosen[0].left_g >= needed_g or not following:
        return
    first, second = chosen[0], following[0]
    label = say.MIX_IN.format(lot=stock_lots.lot_words(second))
    key = f"mix-{first.number}-{second.number}"
    echoes.put(key, len(chosen) > 1)
    numbers = (item, first.number, second.number, key)
    st.checkbox(label, key=key, on_change=echoes.edited(key, _mix), args=numbers)


def _take_lot(item: str, number: str) -> None:
    st.session_state.lots = {**st.session_state.lots, item: [int(number)] if number else []}


@mishap.answered
def _mix(item: str, first: int, second: int, key: str) -> None:
    numbers = [first, second] if st.session_state[key] else [first]
    st.session_state.lots = {**st.session_state.lots, item: numbers}
