"""The chain in the Book, both ways: the lots of a batch, and where a lot went."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.production import recall
from blendlab.ui import book_recall, parts
from blendlab.ui.words import book as say
from blendlab.ui.words import care, plural
from blendlab.units import plain


def backward(origin: store.Origin, nothing: str = say.NO_LOT_NAMED) -> str:
    """The lots that a batch took, and those behind a cooked lot, as a list in html.

    nothing  what to say when no lot was named
    """
    if not origin.lots and not origin.unread:
        return f'<p class="bl-small">{nothing}</p>'
    items = [f"<li>{escape(sentence)}</li>" for sentence in origin.unread]
    behind = {cooked.batch.code: cooked for cooked in origin.behind}
    for line in origin.lots:
        inner = backward(behind[line.batch], say.COOKED_OF_NONE) if line.batch in behind else ""
        items.append(f"<li><b>{escape(line.lot.code)}</b> {escape(_about(line))}{inner}</li>")
    return f'<ul class="bl-chain">{"".join(items)}</ul>'


def _about(line: store.LotLine) -> str:
    lot = line.lot
    said = [lot.name, lot.supplier or ("" if line.batch else say.NO_SUPPLIER), lot.document]
    said.append(say.RECEIVED_ON.format(day=lot.received) if lot.received else "")
    said.append(say.COOKED_AS.format(code=line.batch) if line.batch else "")
    return " · ".join(part for part in said if part)


def lot_page(book: store.Book, number: int) -> None:
    """A lot and everything that was made of it."""
    reach = store.forward(book, number)
    line, lot = reach.lot, reach.lot.lot
    parts.heading(say.LOT_TITLE.format(code=lot.code, name=lot.name))
    parts.rows(
        [
            (say.LEFT, _left(line)),
            (say.SUPPLIER, lot.supplier or say.NOT_ENTERED),
            (say.RECEIVED, f"{lot.received or say.NOT_ENTERED}"),
            (say.USE_BY, f"{lot.expiry or say.NOT_ENTERED}"),
            (say.DOCUMENT, lot.document),
            (say.COOKED, line.batch),
        ]
    )
    with st.container(horizontal=True, gap="small"):
        book_recall.lists(lambda: recall.of_lots(book, [number]), f"lot-{number}")
    parts.heading(say.WHERE_TO)
    st.html(_forward(reach))
    unnamed = recall.of_lots(book, [number]).unnamed
    if unnamed:
        parts.small(plural(len(unnamed), *care.MAY_HOLD, codes=", ".join(unnamed)))


def _left(line: store.LotLine) -> str:
    left, came = plain(line.left_g, 2), plain(line.came_g, 2)
    return say.LEFT_OF.format(left=left, came=came, unit=store.unit_of(line.item))


def _forward(reach: store.Reach) -> str:
    items = [
        f"<li><b>{escape(batch.code)}</b> {escape(_made_and_sold(reach, batch))}</li>"
        for batch in reach.batches
    ]
    items += [
        f"<li><b>{escape(onward.lot.lot.code)}</b> {say.COOKED_WITH_IT}{_forward(onward)}</li>"
        for onward in reach.onward
    ]
    items += [f"<li>{escape(sentence)}</li>" for sentence in reach.unread]
    if not items:
        return f'<p class="bl-small">{say.NOTHING_MADE}</p>'
    return f'<ul class="bl-chain">{"".join(items)}</ul>'


def _made_and_sold(reach: store.Reach, batch: store.BatchLine) -> str:
    sales = reach.sales[batch.code]
    sold, buyers = sum(sale.out for sale in sales), ", ".join(sale.said.to for sale in sales if sale.out)
    said = say.MADE_AND_SOLD if buyers else say.MADE_OF_IT
    count = reach.jars[batch.code]
    return plural(count, *said, name=batch.name, day=batch.made_on, sold=sold, buyers=buyers)
