"""The label of a design on the Batch page and in the Book: words, what holds it back, its print."""

from __future__ import annotations

from functools import partial
from html import escape

import streamlit as st

from blendlab import printing
from blendlab.assess import Assessment
from blendlab.batch import Label
from blendlab.batch.durability import Durability
from blendlab.errors import BlendlabError
from blendlab.production import batches, labels, settings
from blendlab.production.judgement import Lots
from blendlab.recipe import MARKETS, slug
from blendlab.shelf import Resolved
from blendlab.ui import echoes, memo, parts, state, words
from blendlab.ui.words import label as say


def block(assessed: Assessment, lots: Lots) -> None:
    """The label of the newest batch of this very design, for its market; a draft where none was begun."""
    resolved = assessed.resolved
    if resolved is None:
        return
    market = (assessed.design.markets or MARKETS)[0]
    parts.heading(say.HEADING)
    markets = {code: words.MARKETS[code] for code in MARKETS}
    parts.pick(say.MARKET, markets, "label-market", segments=True, value=market, write=_set_market)
    kept, base_lots = settings.settings(state.folder()), lots.get(f"base:{assessed.design.base.id}", ())
    try:
        page = batches.made_of(memo.book(), assessed.design)
        judged = memo.as_made(page, state.shelf(), state.today(), market) if page else assessed
        told = labels.label(memo.book(), judged, market, kept, page, base_lots)
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    with st.container():  # the popovers keep their place, and stay open, whatever stands here
        draw(told, resolved, slug(assessed.design.name))
        parts.findings(told.findings, "label", "")
    with st.container(horizontal=True, gap="small"):
        with st.popover(say.WHO, type="tertiary"):
            _maker()
        with st.popover(say.MONTHS, type="tertiary"):
            _months(assessed.design.product)
        with st.popover(say.TASKS, type="tertiary"):
            items = "".join(f"<li>{escape(task)}</li>" for task in told.tasks)
            st.html(f'<ul class="bl-plain">{items}</ul>')


def draw(told: Label, resolved: Resolved | None, file: str) -> None:
    """The words of a label and its print.

    file  first part of the name of the file
    """
    st.html(_words(told))
    if resolved is not None:
        _export(told, resolved, file)


def _set_market(chosen: str) -> None:
    state.assign({"markets": [chosen]}, say.UNDO_MARKET.format(market=words.MARKETS[chosen]))


def _words(told: Label) -> str:
    names = escape(told.ingredients.text or say.NO_INGREDIENT)
    unsure = "" if labels.ordered(told) else f"<br><b>{say.ORDER_UNKNOWN}</b>"
    net = told.net.text or say.NONE_YET
    if told.net.figure_mm:
        net = say.NET_HEIGHT.format(net=net, mm=told.net.figure_mm)
    rows = (
        (say.NET, f"{escape(net)}<small>{escape(told.net.basis)}</small>"),
        (say.INGREDIENTS, names + unsure),
        (say.BATCH, escape(told.code or say.DRAFT)),
        (say.DURABILITY, _durability(told.lasts)),
        (say.WARNINGS, " ".join(escape(warning) for warning in told.warnings)),
    )
    body = "".join(f"<tr><th scope='row'>{name}</th><td>{value}</td></tr>" for name, value in rows)
    return f'<table class="bl-table bl-label"><tbody>{body}</tbody></table>'


def _durability(lasts: Durability | None) -> str:
    """The words of the label, and what sets them."""
    if lasts is None:
        return escape(say.NO_BATCH_NO_DATE)
    said = [say.SET_BY.format(bound=lasts.set_by)]
    said += [say.LATER.format(bounds="; ".join(lasts.others))] if lasts.others else []
    return f"{escape(lasts.words or say.NO_DATE)}<small>{escape(' '.join(said))}</small>"


def _export(told: Label, resolved: Resolved, file: str) -> None:
    name = resolved.design.name
    stops = sum(finding.level == "stop" for finding in told.findings)
    st.download_button(
        say.PRINT,
        data=lambda: printing.label_pdf(told, name, resolved.jar.outer_mm, resolved.jar.height_mm),
        file_name=f"{file}-labels.pdf",
        mime="application/pdf",
        on_click="ignore",
        disabled=not told.export,
    )
    if not told.export:
        parts.small(words.plural(stops, *say.HELD_BACK))


def _maker() -> None:
    kept = settings.settings(state.folder()).maker
    for leaf, label in say.MAKER.items():
        key = f"maker-{leaf}"
        echoes.put(key, getattr(kept, leaf))
        st.text_input(
            label,
            key=key,
            max_chars=160,
            on_change=echoes.edited(key, _set_maker),
            args=(leaf, key),
        )


def _months(product: str) -> None:
    """How long jars of this kind last, closed and after opening."""
    lasting = settings.settings(state.folder()).lasting(product)
    parts.small(say.MONTHS_WHY)
    for which, value in (("closed", lasting.closed), ("opened", lasting.opened)):
        parts.number_field(
            say.MONTHS_OF[which],
            f"lasting.{which}.{product}",
            "",
            1,
            settings.MOST_MONTHS,
            False,
            value=value,
            write=partial(_set_months, which, product),
        )


def _set_months(which: str, product: str, typed: float) -> None:
    parts.tell(settings.set_months(state.folder(), which, product, typed))


def _set_maker(leaf: str, key: str) -> None:
    parts.tell(settings.set_setting(state.folder(), f"maker.{leaf}", st.session_state[key].strip()))
