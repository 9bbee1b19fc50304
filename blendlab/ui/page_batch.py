"""Batch: jars or grams in, weighed lines out, what stands in the way, cost, prints."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from html import escape

import streamlit as st

from blendlab import jar, printing, store, units
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.batch.sheet import TopUpSummary
from blendlab.errors import PLANNING
from blendlab.production import batches, line_words, settings, shortage
from blendlab.production import foam as foams
from blendlab.production.judgement import Lots
from blendlab.recipe import slug
from blendlab.shelf import Base
from blendlab.ui import (
    allotment_rows,
    base_choice,
    batch_details,
    costs,
    kitchen_door,
    labels,
    memo,
    parts,
    shelf_changes,
    state,
    weigh_table,
)
from blendlab.ui.words import batch as say
from blendlab.ui.words import plural


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    book = memo.book()
    parts.alert(book.told, "said")
    lots, made = state.lots(), assessed.plan
    left, middle, right = st.columns([5, 11, 7], gap="medium")
    with left, st.container(key="batch-in"):
        _asked(assessed, made, lots)
    with middle:
        _to_weigh(assessed, made)
    with right:
        _beside(assessed, made, lots)
    if made is not None:
        order, told = st.columns([11, 12], gap="medium")
        with order:
            _order(made)
        with told:
            labels.block(assessed, lots)
    with st.container(key="next"):
        if st.button(say.NEXT, type="tertiary"):
            st.session_state.goto = "cards"
            st.rerun()


def _asked(assessed: Assessment, made: Plan | None, lots: Lots) -> None:
    asked = assessed.design.batch
    by = "jars" if asked.grams is None else "grams"
    parts.pick(
        say.START, say.STARTS, "batch-start", segments=True, value=by, write=partial(_start_from, made)
    )
    if by == "jars":
        parts.number_field(
            say.JARS, "batch-page.jars", "", 1, 100_000, False, value=asked.jars, write=_set_jars
        )
        parts.number_field(
            say.SPARE, "batch-page.spare", "", 0, 1000, False, value=asked.spare, write=_set_spare
        )
    else:
        parts.number_field(say.GRAMS, "batch.grams", "g", 50, 1_000_000, False)
    retained, loss = (made.retained_g, made.loss_pct) if made else (None, None)
    parts.number_field(say.RETAINED, "batch.retained_g", "g", 0, 10_000, False, value=retained)
    parts.number_field(say.LOSS, "batch.loss_pct", "%", 0, 90, False, value=loss)
    base_choice.choose(assessed)
    base_choice.lots(assessed, lots)
    batch_details.more(assessed, made)
    _words_in()
    if made is not None:
        _figures(made)
        if shared := allotment_rows.rows(made, asked):
            with st.popover(say.PARTS, type="tertiary"):
                parts.rows(shared)


def _start_from(made: Plan | None, chosen: str) -> None:
    grams = float(round(made.batch_g)) if made is not None and made.batch_g else 1000.0
    state.assign({"batch.grams": grams if chosen == "grams" else None}, say.UNDO_START[chosen])


def _set_jars(typed: float) -> None:
    state.assign({"batch.jars": round(typed)}, plural(round(typed), *say.UNDO_JARS))


def _set_spare(typed: float) -> None:
    state.assign({"batch.spare": round(typed)}, plural(round(typed), *say.UNDO_SPARE))


def _words_in() -> None:
    kept = settings.settings(state.folder())
    weigh, heat = st.columns(2, gap="small")
    with weigh:
        parts.pick(
            say.WEIGH_IN,
            say.UNITS,
            "weigh_in",
            segments=True,
            value=kept.weigh_in,
            write=_set("weigh_in"),
        )
    with heat:
        parts.pick(
            say.HEAT_IN,
            say.DEGREES,
            "heat_in",
            segments=True,
            value=kept.heat_in,
            write=_set("heat_in"),
        )


def _set(path: str) -> Callable[[str], None]:
    return lambda chosen: parts.tell(settings.set_setting(state.folder(), path, chosen))


def _net(made: Plan) -> str:
    """Whole grams that a jar holds of the foam there may be."""
    low, high = f"{made.net_low_g:.0f}", f"{made.net_high_g:.0f}"
    return (say.ABOUT_GRAMS if low == high else say.JAR_GRAMS_RANGE).format(low=low, high=high)


def _figures(made: Plan) -> None:
    foam = made.density
    rows = [
        (say.WHOLE, say.WHOLE_GRAMS.format(grams=line_words.grams(made.batch_g, 1))),
        (say.FILLS, f"{made.jars}"),
    ]
    folded = made.foam_share < 1 and made.foam_g_ml is not None
    if foam is not None:
        rows += [
            (say.FOAM, say.FOAM_DENSITY.format(density=made.foam_g_ml if folded else foam.g_ml)),
            (say.FILLING, say.FOAM_DENSITY.format(density=foam.g_ml) if folded else ""),
            (say.IN_A_JAR, say.JAR_GRAMS.format(grams=made.net_g)),
        ]
    if foam is not None and (yours := foams.words(foam)):
        rows += [
            (say.FOAM_YOURS, yours),
            (say.JAR_RANGE, _net(made)),
        ]
    if foam is not None and not foam.weighed:
        rows += [
            (
                say.FILLING_RANGE if folded else say.FOAM_RANGE,
                say.DENSITIES.format(low=foam.low, high=foam.high),
            ),
            (say.JAR_RANGE, _net(made)),
        ]
    stock = shortage.stock_words(made, store.stock(memo.book(), state.today()))
    smallest, last = "", ""
    if made.smallest_g > made.batch_g:
        smallest = say.SMALLEST_GRAMS.format(grams=line_words.grams(made.smallest_g, 1))
    if made.last_jar_g >= 1:
        last = say.LAST_GRAMS.format(grams=made.last_jar_g)
    parts.rows([*rows, (say.SMALLEST, smallest), (say.STOCK_LASTS, stock), (say.LAST_JAR, last)])


def _to_weigh(assessed: Assessment, made: Plan | None) -> None:
    with st.container(horizontal=True, vertical_alignment="center", key="weigh-head"):
        parts.heading(say.TO_WEIGH)
        with st.container(horizontal=True, horizontal_alignment="right"):
            _kitchen_buttons(assessed, made)
    if made is None or not made.lines:
        parts.small(say.NOTHING_SIZED)
        return
    if batches.running(memo.book(), assessed.design):
        parts.small(say.OTHER_RUNS)
    unit = settings.settings(state.folder()).weigh_in
    st.html(weigh_table.tables(list(made.cups.items()), unit))
    parts.small(" · ".join(line_words.portion_lines(made)) + ".")
    if assessed.layout is not None:
        parts.small(jar.by_hand(assessed.layout))


def _kitchen_buttons(assessed: Assessment, made: Plan | None) -> None:
    ready = made is not None and bool(made.lines)
    running = batches.running(memo.book(), assessed.design) if ready else None
    if running:
        go_on = say.GO_ON.format(code=running)
        st.button(go_on, type="primary", on_click=kitchen_door.enter, args=(running,))
    st.button(
        say.START_ANOTHER if running else say.KITCHEN,
        type="tertiary" if running else "primary",
        key="start-batch",
        disabled=not ready,
        on_click=kitchen_door.prepare,
    )


def _beside(assessed: Assessment, made: Plan | None, lots: Lots) -> None:
    parts.heading(say.BEFORE)
    resolved = assessed.resolved
    if made is None or resolved is None:
        parts.small(say.NO_JAR_OR_BASE)
        return
    parts.findings(
        [finding for finding in assessed.findings if finding.room == "batch"],
        "batch",
        say.CLEAR,
        shelf_changes.beside,
    )
    others = [finding for finding in assessed.findings if finding.level == "stop" and finding.room != "batch"]
    if others:
        parts.small(say.NOT_FOR_SALE.format(count=len(others)))
        shelf_changes.stops(others, "elsewhere")
    _gates(made, resolved.base)
    costs.block(assessed, made, lots)
    _take_along(assessed, made, resolved.base.name)
    parts.small(PLANNING)


def _gates(made: Plan, base: Base) -> None:
    """Preservative, temperatures and pH that the batch has to keep to."""
    unit = settings.settings(state.folder()).heat_in
    kept = made.preservative
    gates = {step.id: units.degrees(step.below_c, unit) for step in made.steps if step.below_c is not None}
    rows = []
    if kept is not None:
        rows = [
            (say.PRESERVED.format(name=kept.name), _inside(kept)),
            (say.AT_MOST, say.PCT.format(pct=kept.most_pct)),
            (say.TOP_UP_GRAMS, _top_up(kept)),
        ]
        if "preservative-gate" in gates:
            rows.append((say.PRESERVATIVE_BELOW.format(source=kept.gate.source), gates["preservative-gate"]))
    if "scent-gate" in gates:
        rows.append((say.SCENT_BELOW, gates["scent-gate"]))
    if made.acidity is not None:
        acid = say.NOT_KNOWN if base.pH is None else f"{base.pH:g}"
        rows.append((say.PH.format(wanted=made.acidity.words), acid))
    parts.rows(rows)


def _inside(kept: TopUpSummary) -> str:
    """Preservative in the jar, from the most to the least diluted tone."""
    if kept.low_pct is None or kept.high_pct is None:
        return say.NOT_KNOWN
    low, high = say.PCT.format(pct=kept.low_pct), say.PCT.format(pct=kept.high_pct)
    return low if low == high else say.PCT_RANGE.format(low=kept.low_pct, high=kept.high_pct)


def _top_up(kept: TopUpSummary) -> str:
    """Grams that are topped up; of a base whose preservative is not known none were sized."""
    return say.NOT_SIZED if kept.low_pct is None else say.WHOLE_GRAMS.format(grams=f"{kept.grams:g}")


def _take_along(assessed: Assessment, made: Plan, base: str) -> None:
    parts.heading(say.TAKE_ALONG)
    today, name = state.today(), slug(assessed.design.name)
    unit = settings.settings(state.folder()).heat_in
    with st.container(horizontal=True, gap="small"):
        st.download_button(
            say.SHEET,
            data=lambda: printing.sheet_pdf(made, "", today, base, unit),
            file_name=f"{name}-sheet.pdf",
            mime="application/pdf",
            on_click="ignore",
            disabled=not made.lines,
        )
        st.download_button(
            say.CUPS,
            data=lambda: printing.cups_pdf(line_words.cups(made), "", made.title),
            file_name=f"{name}-cups.pdf",
            mime="application/pdf",
            on_click="ignore",
            disabled=not made.lines,
        )


def _order(made: Plan) -> None:
    unit = settings.settings(state.folder()).heat_in
    items = "".join(
        f"<li class='bl-{step.kind}'>{escape(units.in_degrees(step.text, step.heats, unit))}</li>"
        for step in made.steps
        if step.kind != "weigh"
    )
    parts.heading(say.ORDER)
    st.html(f'<ol class="bl-order">{items}</ol>')
    parts.small(say.HEAVY)
