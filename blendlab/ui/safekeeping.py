"""What keeps her work: make a backup, look everything over, bring a backup in."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.show import safekeeping
from blendlab.ui import mishap, parts, state
from blendlab.ui.words import safekeeping as say

MOST_MEGABYTES = 2000


def section() -> None:
    """Draw the section."""
    _backup()
    _look_over()
    _bring_in()
    parts.small(say.IN_TERMINAL)


def _backup() -> None:
    st.button(say.MAKE_BACKUP, key="backup-make", on_click=_make, help=say.MAKE_BACKUP_WHAT)
    made = st.session_state.get("backup-made")
    if made:
        for sentence in made["told"]:
            parts.small(sentence)
        path = Path(made["path"])
        size = say.MEGABYTES.format(count=made["bytes"] / 1e6)
        st.download_button(
            say.DOWNLOAD.format(name=path.name, size=size),
            data=path.read_bytes,
            file_name=path.name,
            mime="application/zip",
            on_click="ignore",
            key="backup-download",
        )


@mishap.answered
def _make() -> None:
    ss = st.session_state
    if "backup-made" in ss:
        store.forget_download(Path(ss.pop("backup-made")["path"]))
    made = store.backup_to_download(state.folder(), datetime.now())
    told = [safekeeping.made_words(made), *made.told]
    ss["backup-made"] = {"path": str(made.path), "bytes": made.path.stat().st_size, "told": told}


def _look_over() -> None:
    st.button(say.LOOK_OVER, key="verify", on_click=_verify, help=say.LOOK_OVER_WHAT)
    for sentence in st.session_state.get("verify-told", []):
        parts.small(sentence)


@mishap.answered
def _verify() -> None:
    looked = store.verify(state.folder())
    st.session_state["verify-told"] = [looked.told, *(looked.found or (say.NOTHING_WRONG,))]


def _bring_in() -> None:
    with st.expander(say.BRING_IN, key="fold-bring-in", on_change="rerun") as opened:
        if not opened.open:
            return
        file = st.file_uploader(
            say.BRING_IN_WHAT, type="zip", key="bring-in-file", max_upload_size=MOST_MEGABYTES
        )
        if file is None:
            return
        came = st.session_state.get("bring-in-told", {})
        if came.get("file") == file.file_id:
            for sentence in came["told"]:
                parts.small(sentence)
        else:
            _offer(file.getvalue(), file.file_id)


def _offer(data: bytes, file_id: str) -> None:
    """What would come, and the button that lets it."""
    prices = bool(st.session_state.get("bring-in-prices"))
    try:
        arrival = store.bring_in_bytes(state.folder(), data, write=False, with_prices=prices)
    except BlendlabError as problem:
        parts.alert(str(problem), "said")
        return
    for sentence in safekeeping.told(arrival, came=False):
        parts.small(sentence)
    if arrival.prices_ask or prices:
        st.checkbox(say.BRING_IN_PRICES, key="bring-in-prices")
    if arrival.book_asks:
        st.checkbox(say.BRING_IN_BOOK, key="bring-in-book")
    st.button(say.BRING_IN_GO, key="bring-in", type="primary", on_click=_take, args=(file_id,))


@mishap.answered
def _take(file_id: str) -> None:
    ss = st.session_state
    arrival = store.bring_in_bytes(
        state.folder(),
        ss["bring-in-file"].getvalue(),
        write=True,
        with_book=bool(ss.get("bring-in-book")),
        with_prices=bool(ss.get("bring-in-prices")),
    )
    ss["bring-in-told"] = {"file": file_id, "told": list(safekeeping.told(arrival, came=True))}
