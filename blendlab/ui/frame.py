"""The frame round every page: navigation, rail, the design at work."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from blendlab.assess import Assessment
from blendlab.ui import (
    base_choice,
    broken,
    draft_cards,
    drafts,
    echoes,
    kitchen,
    kitchen_door,
    memo,
    opening,
    page_batch,
    page_book,
    page_cards,
    page_guide,
    page_look,
    page_scent,
    page_shelf,
    parts,
    shelf_changes,
    state,
    typed,
    whole_callbacks,
    words,
)

PAGES: dict[str, tuple[str, Callable[..., None], bool]] = {
    "look": (words.PAGES["look"], page_look.page, True),
    "scent": (words.PAGES["scent"], page_scent.page, True),
    "batch": (words.PAGES["batch"], page_batch.page, True),
    "cards": (words.PAGES["cards"], page_cards.page, False),
    "shelf": (words.PAGES["shelf"], page_shelf.page, False),
    "book": (words.PAGES["book"], page_book.page, False),
    "guide": (words.PAGES["guide"], page_guide.page, False),
}
"""Path -> words in the navigation, the page, whether one design is at work on it."""


def run() -> None:
    """Draw the app: the door calls this on every run."""
    whole_callbacks.keep()
    st.set_page_config(page_title="blendlab", layout="wide", initial_sidebar_state="collapsed")
    st.html(Path(__file__).with_name("style.css"))
    with memo.one_run():
        _run()


def _run() -> None:
    pages = {
        path: st.Page(_show(path), title=title, url_path=path, default=path == "look")
        for path, (title, _, _) in PAGES.items()
    }
    cooking = kitchen_door.asked()
    chosen = st.navigation(list(pages.values()), position="hidden" if cooking else "top")
    if to := st.session_state.pop("goto", None):
        st.switch_page(pages[to])
    _arrive(words.KITCHEN if cooking else chosen.url_path)
    echoes.start()
    typed.catch()
    start = st.container(key="told-start", gap=None)
    with broken.answered("blendlab", start, lambda: broken.back_to_a_design("")):
        state.start()
        drafts.address()
        _kitchen() if cooking else chosen.run()
    echoes.finish()


def _arrive(page: str) -> None:
    """Messages belong to the page that showed them and go when it is left."""
    ss = st.session_state
    if ss.get("page") == page:
        return
    left, ss.page = ss.get("page"), page
    if (ss.get("said") or {}).get("page") == left:
        ss.said = None
    ss.update(answers={}, taken=None)
    for key in [key for key in ss if isinstance(key, str) and key.endswith(typed.ANSWERS)]:
        del ss[key]


def _kitchen() -> None:
    with broken.answered(words.KITCHEN, _told(at_work=False), kitchen_door.way_out):
        kitchen.page()


def _show(path: str) -> Callable[[], None]:
    title, page, at_work = PAGES[path]

    def bench() -> None:
        facts = _rail()
        told = _told(at_work)
        with broken.answered(title, told, lambda: broken.back_to_a_design(path)):
            assessed = state.assessed()
            facts.html(f'<p class="bl-facts">{escape(_facts(assessed))}</p>', width="content")
            with told:
                shelf_changes.row(assessed)
            page(assessed)
            state.drawn(path)

    def other() -> None:
        with broken.answered(title, _told(at_work), broken.back_to_look):
            page()

    show = bench if at_work else other
    show.__name__ = path
    return show


def _rail() -> DeltaGenerator:
    """Draw what stays whatever the page does; returns the place for the facts of the judged design."""
    name = escape(state.at("name"))
    with st.container(key="rail", horizontal=True, vertical_alignment="center"):
        st.html(f'<h1 class="bl-name" title="{name}">{name}</h1>')
        facts = st.container(key="rail-facts", width="content")
        with st.container(
            key="rail-acts", horizontal=True, wrap=False, vertical_alignment="center", width="content"
        ):
            with st.popover(words.BASICS, type="tertiary"):
                _basics()
            st.button(
                words.UNDO,
                on_click=state.undo,
                type="tertiary",
                disabled=not st.session_state.past,
                help=_undo_word(),
            )
            st.button(words.REDO, on_click=state.redo, type="tertiary", disabled=not st.session_state.future)
            st.button(words.SAVE, on_click=opening.save_card, type="primary", key="save")
    return facts


def _told(at_work: bool) -> DeltaGenerator:
    """The place for what is said above a page; always there, or what stands below would be built anew."""
    told = st.container(key="told", gap=None)
    if at_work:
        with told:
            if st.session_state.clash:
                _clash()
            draft_cards.elsewhere()
            draft_cards.in_bin()
            parts.said()
    return told


def _facts(assessed: Assessment) -> str:
    design = assessed.design
    resolved = assessed.resolved
    jar = resolved.jar if resolved else state.shelf().today("jar", design.jar.id)
    count = words.JARS_OF.format(jar=jar.name, count=design.batch.jars) if jar else words.NO_JAR
    counts = {level: assessed.count(level) for level in ("stop", "caution")}
    said = [
        count,
        words.SCENT_LOAD.format(load=design.scent.load_pct),
        words.PRODUCTS.get(design.product, design.product),
        parts.worst(counts),
        _saved(),
    ]
    return " · ".join(said)


def _saved() -> str:
    doc = st.session_state.doc
    if not doc["saved"]:
        return words.NOT_SAVED_YET
    if opening.binned(doc):
        return words.IN_BIN
    form = words.CHANGED if doc.get("changed") else words.SAVED_SHORT
    return form.format(time=state.clock(doc["saved"]))


def _undo_word() -> str | None:
    past = st.session_state.past
    return words.UNDO_OF.format(act=past[-1]["word"]) if past else None


def _basics() -> None:
    key = "t.name"
    echoes.put(key, state.at("name"))
    st.text_input(
        words.NAME_OF_DESIGN,
        key=key,
        max_chars=80,
        on_change=echoes.edited(
            key, lambda: state.assign({"name": st.session_state[key] or words.UNNAMED}, words.NAME)
        ),
    )
    parts.pick(words.PRODUCT, words.PRODUCTS, "product", write=base_choice.take_product)
    parts.pick(words.USED_ON, words.PLACES, "place")
    parts.number_field(words.JARS, "batch.jars", "jars", 1, 100_000, hide_label=False, write=_jars)


def _jars(figure: float) -> None:
    state.assign({"batch.jars": round(figure)}, words.plural(round(figure), *words.JARS_MADE))


def _clash() -> None:
    with st.container(key="clash", horizontal=True):
        said = words.CLASH.format(problem=st.session_state.clash)
        st.html(f'<p class="bl-said" role="alert">{escape(said)}</p>')
        st.button(words.KEEP_BOTH, on_click=opening.save_card, args=(True,))
        st.button(words.OPEN_THEIRS, on_click=opening.open_theirs)
