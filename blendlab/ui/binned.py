"""The bin: what she put there in the last days, each with its way back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import streamlit as st

from blendlab import store
from blendlab.codec import local_time
from blendlab.ui import mishap, parts, state
from blendlab.ui.words import safekeeping as say
from blendlab.ui.words import shelf as shelf_words

DAYS = 30


def fold(*kinds: str) -> None:
    """Draw what lies in the bin of some kinds, folded."""
    with st.expander(say.BIN, key=f"fold-bin-{kinds[0]}", on_change="rerun") as opened:
        if opened.open:
            _things(store.in_bin(state.folder(), *kinds))


def _things(things: tuple[store.Binned, ...]) -> None:
    since = datetime.now(UTC) - timedelta(days=DAYS)
    shown = [thing for thing in things if thing.at >= since]
    if not shown:
        parts.small(say.BIN_EMPTY.format(days=DAYS))
    for thing in shown:
        with st.container(horizontal=True, vertical_alignment="center", key=f"bin-{thing.inner}"):
            kind = say.BIN_KINDS.get(thing.kind) or shelf_words.KINDS[thing.kind].casefold()
            day = local_time(thing.at.isoformat())
            parts.small(say.BIN_ROW.format(name=thing.name, kind=kind, day=day))
            st.button(
                say.PUT_BACK,
                key=f"put-back-{thing.inner}",
                type="tertiary",
                on_click=_put_back,
                args=(thing.inner, thing.name),
            )
    if len(things) > len(shown):
        parts.small(say.BIN_OLDER.format(count=len(things) - len(shown)))


@mishap.answered
def _put_back(inner: str, name: str) -> None:
    store.put_back(state.folder(), inner)
    parts.tell(say.PUT_BACK_DONE.format(name=name))
