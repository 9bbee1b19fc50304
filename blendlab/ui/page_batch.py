"""Batch: jars or grams in, weighed lines out, what stands in the way, cost, prints."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import jar, printing, store, units
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.errors import PLANNING, BlendlabError
from blendlab.facts.read import figure
from blendlab.production import batches, line_words, settings, stock_lots
from blendlab.recipe import slug
from blendlab.ui import batch_details, labels, memo, parts, state, words

TWO_COLUMNS = 18
STARTS = {"jars": "Jars", "grams": "Grams of batch"}


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    book = memo.book()
    if book.told:
        st.html(f'<p class="bl-said" role="alert">{escape(book.told)}</p>')
    lots, made = state.lots(), assessed.plan
    left, middle, right = st.columns([5, 11, 7], gap="medium")
    with left, st.container(key="batch-in"):
        _asked(assessed, made, lots)
    with middle:
        _to_weigh(assessed, made)
    with right:
        _beside(assessed, made)
    if made is not None:
        order, told = st.columns([11, 12], gap="medium")
        with order:
            _order(made)
        with told:
            labels.block(assessed, lots)
    with st.container(key="next"):
        if st.button("Next: the cards →", type="tertiary"):
            st.session_state.goto = "cards"
            st.rerun()


def _asked(assessed: Assessment, made: Plan | None, lots: dict[str, store.LotLine]) -> None:
    asked = assessed.design.batch
    by = "jars" if asked.grams is None else "grams"
    parts.pick(
        "Start from", STARTS, "batch-start", segments=True, value=by, write=lambda one: _start_from(one, made)
    )
    if by == "jars":
        parts.number_field(
            "Jars to fill",
            "batch-page.jars",
            "",
            1,
            100_000,
            False,
            value=asked.jars,
            write=_whole("jars", "jars"),
        )
        parts.number_field(
            "Spare jars",
            "batch-page.spare",
            "",
            0,
            1000,
            False,
            value=asked.spare,
            write=_whole("spare", "spare jars"),
        )
    else:
        parts.number_field("Batch, g", "batch.grams", "g", 50, 1_000_000, False)
    parts.number_field(
        "Held back, g", "batch.retained_g", "g", 0, 10_000, False, value=made.retained_g if made else None
    )
    parts.number_field(
        "Lost in bowl and bags, %", "batch.loss_pct", "%", 0, 90, False, value=made.loss_pct if made else None
    )
    _base_lot(assessed, lots)
    batch_details.more(assessed, made)
    _words_in()
    if made is not None:
        _figures(made)


def _start_from(chosen: str, made: Plan | None) -> None:
    grams = float(round(made.batch_g)) if made is not None and made.batch_g else 1000.0
    state.assign(
        {"batch.grams": grams if chosen == "grams" else None}, f"Start from {STARTS[chosen].lower()}"
    )


def _whole(leaf: str, what: str):
    return lambda figure: state.assign({f"batch.{leaf}": round(figure)}, f"{figure:.0f} {what}")


def _base_lot(assessed: Assessment, lots: dict[str, store.LotLine]) -> None:
    item = f"base:{assessed.design.base.id}"
    known = {str(one.number): stock_lots.lot_words(one) for one in store.lots(memo.book(), item)}
    if not known:
        parts.small("No lot of this base in the book yet: write one down on the Shelf, under Lots.")
        return
    current = str(lots[item].number) if item in lots else next(iter(known))
    parts.pick(
        "Base lot", known, "batch-base-lot", value=current, write=lambda one: _take_lot(item, int(one))
    )


def _take_lot(item: str, number: int) -> None:
    st.session_state.lots = {**st.session_state.lots, item: number}


def _words_in() -> None:
    kept = settings.settings(state.folder())
    weigh, heat = st.columns(2, gap="small")
    with weigh:
        parts.pick(
            "Weigh in",
            {"g": "g", "oz": "oz"},
            "weigh_in",
            segments=True,
            value=kept.weigh_in,
            write=_set("weigh_in"),
        )
    with heat:
        parts.pick(
            "Heat in",
            {"C": "°C", "F": "°F"},
            "heat_in",
            segments=True,
            value=kept.heat_in,
            write=_set("heat_in"),
        )


def _set(path: str):
    return lambda chosen: parts.tell(settings.set_setting(state.folder(), path, chosen))


def _figures(made: Plan) -> None:
    foam = made.density
    rows = [("Whole batch", f"{line_words.grams(made.batch_g, 1)} g"), ("Jars it fills", f"{made.jars}")]
    if foam is not None:
        rows += [("Foam", f"{foam.g_ml:.2f} g/ml"), ("In a jar", f"{made.net_g:.1f} g")]
    if foam is not None and not foam.weighed:
        rows += [
            ("Not weighed: foam may be", f"{foam.low:.2f} to {foam.high:.2f}"),
            ("and a jar hold", f"{made.net_low_g:.0f} to {made.net_high_g:.0f} g"),
        ]
    smallest = f"{line_words.grams(made.smallest_g, 1)} g of batch" if made.smallest_g > made.batch_g else ""
    rows.append(("Every line weighs well from", smallest))
    rows.append(("Stock is enough for", stock_lots.stock_words(made, store.stock(memo.book()))))
    rows.append(("Last, short jar", f"{made.last_jar_g:.0f} g" if made.last_jar_g >= 1 else ""))
    parts.rows(rows)


def _to_weigh(assessed: Assessment, made: Plan | None) -> None:
    with st.container(horizontal=True, vertical_alignment="center", key="weigh-head"):
        parts.heading("To weigh")
        with st.container(horizontal=True, horizontal_alignment="right"):
            _kitchen_buttons(assessed, made)
    if made is None or not made.lines:
        parts.small("Nothing can be sized yet: the findings say what is missing.")
        return
    if batches.running(memo.book(), assessed.design):
        parts.small("The running batch keeps the sheet it was started with; this is the sheet of another.")
    unit = settings.settings(state.folder()).weigh_in
    cups = list(made.cups.items())
    half = _half(cups) if len(made.lines) > TWO_COLUMNS else len(cups)
    tables = [table(part, unit) for part in (cups[:half], cups[half:]) if part]
    st.html(f'<div class="bl-cups">{"".join(tables)}</div>')
    parts.small(" · ".join(line_words.portion_lines(made)) + ".")
    if assessed.layout is not None and (told := jar.by_hand(assessed.layout)):
        parts.small(told)


def _half(cups: list) -> int:
    total, seen = sum(len(lines) + 1 for _, lines in cups), 0
    for at, (_, lines) in enumerate(cups, start=1):
        seen += len(lines) + 1
        if 2 * seen >= total:
            return at
    return len(cups)


def table(cups: list, unit: str) -> str:
    """Lines to weigh as one table, a block for each cup."""
    bodies = "".join(_cup(cup, lines, unit) for cup, lines in cups)
    head = f"<thead><tr><th>weigh</th><th>lot</th><th>{unit}</th></tr></thead>"
    caption = '<caption class="bl-hidden">Lines to weigh, cup by cup</caption>'
    return f'<table class="bl-weigh">{caption}{head}{bodies}</table>'


def _cup(cup: str, lines: tuple, unit: str) -> str:
    total, step = sum(one.grams for one in lines), min(one.step_g for one in lines)
    shown = line_words.ounces(total, step) if unit == "oz" else line_words.grams(total, step)
    whole = shown if len(lines) > 1 else ""
    head = f'<th scope="rowgroup" colspan="2">{escape(cup)}</th><td>{whole}</td>'
    body = "".join(_line(one, unit) for one in lines)
    return f'<tbody><tr class="bl-cup">{head}</tr>{body}</tbody>'


def _line(line, unit: str) -> str:
    big, small = line_words.line_grams(line, unit)
    of = line.of.removeprefix("the ")
    about = [f"{line.stock_pct:g} % stock" if line.stock_pct < 100 else ""]
    if line.what == "preservative":
        about.append("top-up, protected: never rounded down")
    elif line.beside:
        about.append(line.note)
    else:
        about.append(f"{units.digits(line.pct)} % of the {of}")
    said = " · ".join(one for one in about if one)
    behind = f"<small>{small}</small>" if small else ""
    return (
        f'<tr><th scope="row">{escape(parts.capital(line.name))}<small>{escape(said)}</small></th>'
        f"<td>{escape(line.lot or 'not named')}</td><td><b>{big}</b>{behind}</td></tr>"
    )


def _kitchen_buttons(assessed: Assessment, made: Plan | None) -> None:
    ready = made is not None and bool(made.lines)
    running = batches.running(memo.book(), assessed.design) if ready else None
    if running:
        st.button(f"Go on with {running}", type="primary", on_click=open_kitchen, args=(running,))
    st.button(
        "Start another" if running else "Kitchen view",
        type="tertiary" if running else "primary",
        key="start-batch",
        disabled=not ready,
        on_click=_start,
        args=(assessed, made),
    )


def _start(assessed: Assessment, made: Plan) -> None:
    try:
        code = batches.start(memo.book(), made, assessed.design, state.shelf(), state.today())
    except BlendlabError as problem:
        parts.tell(str(problem))
    else:
        open_kitchen(code)


def open_kitchen(code: str) -> None:
    """Show the kitchen view of a batch."""
    st.query_params.update({"view": "kitchen", "batch": code})


def _beside(assessed: Assessment, made: Plan | None) -> None:
    parts.heading("Before you start")
    if made is None:
        parts.small("Choose a jar and a base that are on the shelf.")
        return
    stock = store.stock(memo.book())
    parts.findings(stock_lots.findings_with_stock(made, stock), "batch", words.CLEAR_BATCH)
    others = [one for one in assessed.findings if one.level == "stop" and one.room != "batch"]
    if others:
        parts.small(f"Not for sale as it stands: {len(others)} more on Look and Scent. {words.TEST_JAR}")
    _preservative(assessed, made)
    batch_details.costs(assessed, made)
    _take_along(made, assessed)
    parts.small(PLANNING)


def _preservative(assessed: Assessment, made: Plan) -> None:
    unit = settings.settings(state.folder()).heat_in
    kept, base = made.preservative, state.shelf().find(assessed.design.base)
    gates = {one.id: one.below_c for one in made.steps if one.below_c is not None}
    rows = []
    if kept is not None:
        inside = "not known" if kept.low_pct is None else f"{kept.low_pct:.2f} to {kept.high_pct:.2f} %"
        if kept.low_pct is not None and f"{kept.low_pct:.2f}" == f"{kept.high_pct:.2f}":
            inside = f"{kept.low_pct:.2f} %"
        rows = [(f"{kept.name} in the jar", inside), ("at most, by law and sheet", f"{kept.most_pct:.2f} %")]
        rows.append(("Top-up for what is added", f"{kept.grams:g} g"))
        if "preservative-gate" in gates:
            rows.append(
                (
                    f"Preservative in below ({kept.gate.source})",
                    units.degrees(gates["preservative-gate"], unit),
                )
            )
    if "scent-gate" in gates:
        rows.append(("Scent in below", units.degrees(gates["scent-gate"], unit)))
    if not base.anhydrous:
        wanted = figure("batch", "ph_wanted")
        what = f"pH of the base, wanted {wanted.low:g} to {wanted.high:g}"
        rows.append((what, "not known" if base.pH is None else f"{base.pH:g}"))
    parts.rows(rows)


def _take_along(made: Plan, assessed: Assessment) -> None:
    parts.heading("Take along")
    today, base = state.today(), state.shelf().find(assessed.design.base).name
    unit = settings.settings(state.folder()).heat_in
    code = batches.running(memo.book(), assessed.design) or ""
    name = slug(assessed.design.name)
    with st.container(horizontal=True, gap="small"):
        st.download_button(
            "Batch sheet",
            data=lambda: printing.sheet_pdf(made, code, today, base, unit),
            file_name=f"{name}-sheet.pdf",
            mime="application/pdf",
            on_click="ignore",
            disabled=not made.lines,
        )
        st.download_button(
            "Cup labels",
            data=lambda: printing.cups_pdf(line_words.cups(made), code, made.title),
            file_name=f"{name}-cups.pdf",
            mime="application/pdf",
            on_click="ignore",
            disabled=not made.lines,
        )


def _order(made: Plan) -> None:
    unit = settings.settings(state.folder()).heat_in
    items = "".join(
        f"<li class='bl-{one.kind}'>{escape(units.in_degrees(one.text, one.heats, unit))}</li>"
        for one in made.steps
        if one.kind != "weigh"
    )
    parts.heading("Working order")
    st.html(f'<ol class="bl-order">{items}</ol>')
    parts.small(
        "Steps in heavy type hold back what follows: they are measured or ticked in the kitchen view."
    )
