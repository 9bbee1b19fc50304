"""The label of a batch in the Book: of the design it was made of, whatever became of its card since."""

from __future__ import annotations

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import labels, settings
from blendlab.recipe import MARKETS
from blendlab.ui import labels as drawn
from blendlab.ui import memo, parts, state, words
from blendlab.ui.words import book as say
from blendlab.ui.words import label as say_label


def block(book: store.Book, shown: store.BatchPage) -> None:
    """The label, once it is asked for; the market is the design's until she chooses another."""
    with st.expander(say.LABEL, key=f"fold-label-{shown.line.code}", on_change="rerun") as opened:
        if not opened.open:
            return
        first = (shown.design.get("markets") or MARKETS)[0]
        market = parts.one_of(
            say_label.MARKET,
            {code: words.MARKETS[code] for code in (first, *(code for code in MARKETS if code != first))},
            f"book-market-{shown.line.code}",
        )
        try:
            judged = memo.as_made(shown, memo.shelf(), state.today(), market)
            told = labels.label(book, judged, market, settings.settings(state.folder()), shown)
        except BlendlabError as problem:
            parts.alert(str(problem))
            return
        drawn.draw(told, judged.resolved, shown.line.code)
        parts.findings(told.findings, "book-label", "")
