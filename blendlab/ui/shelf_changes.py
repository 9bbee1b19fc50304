"""What she has changed on the shelf since the design at work took it: said on every page, beside the stop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

import streamlit as st

from blendlab import renew
from blendlab.assess import Assessment
from blendlab.errors import Finding
from blendlab.ui import mishap, parts, state, words

MOST = 3
"""Things with a button each; with more there is one for all of them."""


def row(assessed: Assessment) -> None:
    """What was changed since, by how much the tones would move, and the buttons that use it."""
    found = _newer()
    told = next((finding for finding in assessed.findings if finding.id == renew.NEWER), None)
    if not found or told is None or told.act is None:
        return
    with st.container(key="newer", horizontal=True, vertical_alignment="center", gap="small"):
        st.html(f'<p class="bl-said" role="status">{escape(told.text)}</p>', width="content")
        for each in found if len(found) <= MOST else ():
            _button(words.USE.format(name=each.item.name), each, "row")
        if len(found) > 1:
            all_of_them = (told.act, words.ALL)
            st.button(words.USE_ALL, key="use-all", type="tertiary", on_click=_use, args=all_of_them)


def beside(finding: Finding, key: str) -> None:
    """The buttons beside a finding that speaks of something changed since and has no such button itself."""
    for each in _newer():
        if each.concerns(finding) and not (finding.act and finding.act.items() <= each.act.items()):
            _button(words.CHANGED_SINCE.format(name=each.item.name), each, key)


def stops(found: Iterable[Finding], key: str) -> None:
    """Of the stops that belong to other pages those that something changed since may lift."""
    found_newer = _newer()
    parts.findings(
        [stop for stop in found if any(each.concerns(stop) for each in found_newer)], key, beside=beside
    )


def _newer() -> tuple[renew.Newer, ...]:
    return renew.newer(state.design(), state.shelf())


def _button(label: str, each: renew.Newer, key: str) -> None:
    item = each.item
    st.button(
        label,
        key=f"use-{key}-{item.kind}-{item.id}",
        type="tertiary",
        on_click=_use,
        args=(each.act, item.name),
    )


@mishap.answered
def _use(act: Mapping[str, str], name: str) -> None:
    state.assign(act, words.UNDO_USE.format(name=name))
