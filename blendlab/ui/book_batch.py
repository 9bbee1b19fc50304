"""One batch or one lot in the Book: how it came out, the chain both ways, corrections, sales, release."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import printing, store
from blendlab.errors import BlendlabError
from blendlab.facts.read import figure
from blendlab.production import (
    batches,
    corrections,
    kitchen_acts,
    kitchen_log,
    outcome,
    recall,
    release,
    stock_lots,
)
from blendlab.shelf import embedded
from blendlab.ui import memo, page_batch, parts, state
from blendlab.units import plain, read_number


def page(book: store.Book, shown: store.BatchPage) -> None:
    """Everything the book holds of a batch."""
    code = shown.line.code
    parts.heading(f"{code} · {shown.line.name}")
    _acts(book, shown)
    parts.rows(_facts(shown))
    for sentence in shown.unread:
        st.html(f'<p class="bl-said" role="alert">{escape(sentence)}</p>')
    if shown.line.kind == "jars":
        _release(book, shown)
        _weights(shown)
    parts.heading("Where it came from")
    st.html(_backward(store.backward(book, code)))
    if shown.line.kind == "jars":
        _sold(book, shown)
    parts.heading("What was weighed")
    st.html(_weighings(book, shown))
    with st.container(horizontal=True, gap="small"):
        with st.popover("Correct a line", type="tertiary"):
            _correct(book, shown)
        with st.popover("Write pH, foam or a jar down", type="tertiary"):
            _later(book, shown)
    with st.expander("Everything written down", key="book-entries"):
        st.html(_entries(shown))


def _acts(book: store.Book, shown: store.BatchPage) -> None:
    code = shown.line.code
    with st.container(horizontal=True, gap="small", key="book-acts"):
        if kitchen_log.stand(shown).current is not None and not shown.of("release"):
            st.button("Go on in the kitchen", type="primary", on_click=page_batch.open_kitchen, args=(code,))
        if shown.line.kind == "jars":
            st.button("Make again", on_click=_again, args=(shown,))
        st.download_button(
            "Recall list (PDF)",
            data=lambda: recall.recall_pdf(book, code),
            file_name=f"recall-{code}.pdf",
            mime="application/pdf",
            on_click="ignore",
        )
        st.download_button(
            "Batch sheet (PDF)",
            data=lambda: printing.sheet_pdf(shown.now, code, shown.line.made_on, ""),
            file_name=f"{code}.pdf",
            mime="application/pdf",
            on_click="ignore",
        )


def _again(shown: store.BatchPage) -> None:
    made, problem = batches.try_again(shown)
    if made is None:
        st.session_state.said = {"text": problem, "fresh": False}
        return
    shelf = memo.shelf()
    state.open_design(made, embedded(made, shelf), None, None, None)
    told = stock_lots.new_lots(memo.book(), shown, shelf)
    st.session_state.said = {
        "text": " ".join([f"{made.name} is open as it was made.", *told]),
        "fresh": False,
    }
    st.session_state.goto = "batch"


def _facts(shown: store.BatchPage) -> list[tuple[str, str]]:
    came, seen = outcome.outcome(shown), release.evidence(shown)
    rows = [("Made on", f"{shown.line.made_on}"), ("Planned", f"{came.planned_g:.0f} g")]
    if came.yield_pct is not None:
        rows += [
            ("Jars weighed", f"{came.jars}, mean {came.mean_g:.1f} g net"),
            ("Yield", f"{came.yield_pct:.1f} %, {came.unaccounted_g:.0f} g not accounted for"),
        ]
    if shown.line.kind == "jars":
        rows.append(("Foam", "not weighed" if seen.density_g_ml is None else f"{seen.density_g_ml:.3f} g/ml"))
    rows.append(("pH", "not measured" if seen.pH is None else f"{seen.pH:g}"))
    decided = shown.of("release")
    return [*rows, ("Decision", f"{decided[-1].subject}, {decided[-1].at[:10]}" if decided else "open")]


def _release(book: store.Book, shown: store.BatchPage) -> None:
    if shown.of("release"):
        return
    came = outcome.outcome(shown)
    points = release.points(book, shown, memo.shelf(), state.today())
    parts.findings(
        [*points, *([came.finding] if came.finding else [])], "book", "Nothing is open before release."
    )
    with st.container(horizontal=True, gap="small"):
        stops = any(one.level == "stop" for one in points)
        st.button("Release for sale", disabled=stops, on_click=_release_it, args=(book, shown))
        st.button("Keep as test jars", on_click=_keep, args=(book, shown))
    _answer("release")


def _release_it(book: store.Book, shown: store.BatchPage) -> None:
    _try("release", lambda: release.release(book, shown.line.code, memo.shelf(), state.today()))


def _keep(book: store.Book, shown: store.BatchPage) -> None:
    _try("release", lambda: release.keep_as_test_jars(book, shown.line.code, state.today()))


def _weights(shown: store.BatchPage) -> None:
    grams = outcome.label_grams(shown)
    if not shown.filled_g:
        return
    parts.heading("Filled weights")
    parts.small(f"{', '.join(f'{one:g}' for one in shown.filled_g)} g net.")
    if grams is None:
        parts.small("Three weighed jars at least make a label weight.")
    else:
        parts.small(outcome.weight_words(shown, grams))


def _backward(origin: store.Origin) -> str:
    if not origin.lots and not origin.unread:
        return '<p class="bl-small">No lot was named.</p>'
    items = [f"<li>{escape(sentence)}</li>" for sentence in origin.unread]
    behind = {one.batch.code: one for one in origin.behind}
    for lot in origin.lots:
        said = [lot.lot.name, lot.lot.supplier or "supplier not entered", lot.lot.document]
        said.append(f"received {lot.lot.received}" if lot.lot.received else "")
        inner = _backward(behind[lot.batch]) if lot.batch in behind else ""
        cooked = f" · cooked as {lot.batch}" if lot.batch else ""
        about = " · ".join(one for one in said if one) + cooked
        items.append(f"<li><b>{escape(lot.lot.code)}</b> {escape(about)}{inner}</li>")
    return f'<ul class="bl-chain">{"".join(items)}</ul>'


def _sold(book: store.Book, shown: store.BatchPage) -> None:
    parts.heading("Sold where")
    rows = [
        (f"{one.data.get('to', '')}, {one.data.get('on', '')}", f"{one.data.get('jars', 0)} jars")
        for one in shown.of("sale")
    ]
    if rows:
        parts.rows(rows)
    else:
        parts.small("Nothing sold yet.")
    with st.popover("Write a sale down", type="tertiary"):
        st.text_input("To whom, or the order", key="sale-to", max_chars=120)
        st.text_input("Jars", key="sale-jars")
        _answer("sale")
        st.button("Write it down", key="put-sale", on_click=_sale, args=(book, shown))


def _sale(book: store.Book, shown: store.BatchPage) -> None:
    ss = st.session_state

    def act() -> None:
        jars = _figure("sale-jars", "", 1, 100_000)
        release.sell(book, shown.line.code, jars, ss["sale-to"], state.today())
        ss.update({"sale-to": "", "sale-jars": ""})

    _try("sale", act)


def _figure(key: str, unit: str, low: float, high: float) -> float:
    return read_number(st.session_state.get(key) or "", unit, low, high)


def _try(where: str, act) -> None:
    try:
        act()
    except BlendlabError as problem:
        st.session_state["book-answer"] = {"where": where, "text": str(problem)}
    else:
        st.session_state["book-answer"] = {}


def _answer(where: str) -> None:
    said = st.session_state.get("book-answer") or {}
    if said.get("where") == where:
        st.html(f'<p class="bl-bad" role="alert">{escape(said["text"])}</p>')


def _weighings(book: store.Book, shown: store.BatchPage) -> str:
    names = {one.id: one.name for one in shown.plan.lines}
    codes = {one.number: one.lot.code for one in store.lots(book)}
    rows = []
    for one in shown.weighings:
        gone = ' class="bl-gone"' if one.corrected else ""
        said = f"{one.at[:16].replace('T', ' ')} UTC" + (f" · {one.note}" if one.note else "")
        rows.append(
            f"<tr{gone}><th scope='row'>{escape(parts.capital(names.get(one.line, one.line)))}<br>"
            f"<small>{escape(said)}</small></th>"
            f"<td>{escape(codes.get(one.lot, 'lot not named'))}</td><td>{plain(one.planned_g, 4)}</td>"
            f"<td><b>{plain(one.weighed_g, 4)}</b></td></tr>"
        )
    head = "<thead><tr><th>line</th><th>lot</th><th>asked, g</th><th>weighed, g</th></tr></thead>"
    return f'<table class="bl-table">{head}<tbody>{"".join(rows)}</tbody></table>'


def _correct(book: store.Book, shown: store.BatchPage) -> None:
    names = {one.id: one.name for one in shown.plan.lines}
    standing = {one.number: one for one in shown.weighings if one.stands and one.line in names}
    if not standing:
        parts.small("Nothing was weighed yet.")
        return
    number = st.selectbox(
        "Line",
        list(standing),
        format_func=lambda one: (
            f"{names.get(standing[one].line, standing[one].line)}, {plain(standing[one].weighed_g, 4)} g"
        ),
        key="fix-line",
    )
    line = shown.plan.line(standing[number].line)
    known = {one.number: stock_lots.lot_words(one) for one in store.lots(book, line.item)}
    lot = st.selectbox(
        "Lot", [None, *known], format_func=lambda one: known.get(one, "as before"), key="fix-lot"
    )
    st.text_input(
        "Grams that really went in", key="fix-grams", placeholder=plain(standing[number].weighed_g, 4)
    )
    st.text_input("Why", key="fix-why", max_chars=200)
    _answer("fix")
    st.button("Add the correction", key="put-fix", on_click=_fix, args=(book, shown.line.code, number, lot))


def _fix(book: store.Book, code: str, number: int, lot: int | None) -> None:
    ss = st.session_state

    def act() -> None:
        grams = _figure("fix-grams", "g", 0, 1_000_000)
        corrections.correct_weighing(book, code, number, grams, ss["fix-why"], lot)
        ss.update({"fix-grams": "", "fix-why": ""})

    _try("fix", act)


def _later(book: store.Book, shown: store.BatchPage) -> None:
    """What was measured after the kitchen was left: pH, density of the foam, one more filled jar."""
    fields = (
        ("ph", f"pH of a {figure('batch', 'dispersion').value:g} % dispersion"),
        ("foam", "Foam, g/ml"),
        ("jar", "Net weight of one more jar, g"),
    )
    for key, label in fields:
        st.text_input(label, key=f"later-{key}")
    _answer("later")
    st.button("Write it down", key="put-later", on_click=_write_later, args=(book, shown))


def _write_later(book: store.Book, shown: store.BatchPage) -> None:
    ss, code = st.session_state, shown.line.code

    def act() -> None:
        fields = (("later-ph", "", 0, 14), ("later-foam", "g/ml", 0.1, 2), ("later-jar", "g", 1, 5000))
        pH, foam, jar = (_figure(*field) if ss[field[0]].strip() else None for field in fields)
        kitchen_acts.measured_later(book, code, pH, foam, jar)
        ss.update({"later-ph": "", "later-foam": "", "later-jar": ""})

    _try("later", act)


def _entries(shown: store.BatchPage) -> str:
    rows = []
    for one in shown.entries:
        said = ", ".join(
            f"{key.replace('_', ' ')} {value}"
            for key, value in one.data.items()
            if value not in (None, "", [])
        )
        gone = ' class="bl-gone"' if one.corrected else ""
        rows.append(
            f"<tr{gone}><th scope='row'>{escape(one.at[:16].replace('T', ' '))}</th>"
            f"<td>{escape(one.kind)}</td><td>{escape(f'{one.subject} {said}'.strip())}</td></tr>"
        )
    return f'<table class="bl-table bl-label"><tbody>{"".join(rows)}</tbody></table>'


def lot_page(book: store.Book, number: int) -> None:
    """A lot and everything that was made of it."""
    reach = store.forward(book, number)
    lot = reach.lot
    parts.heading(f"Lot {lot.lot.code} · {lot.lot.name}")
    parts.rows(
        [
            ("Left", f"{plain(lot.left_g, 2)} of {plain(lot.came_g, 2)} g"),
            ("Supplier", lot.lot.supplier or "not entered"),
            ("Received", f"{lot.lot.received or 'not entered'}"),
            ("Use by", f"{lot.lot.expiry or 'not entered'}"),
            ("Document", lot.lot.document),
            ("Cooked as", lot.batch),
        ]
    )
    st.download_button(
        "Recall list (PDF)",
        data=lambda: recall.recall_lot_pdf(book, number),
        file_name=f"recall-lot-{lot.lot.code}.pdf",
        mime="application/pdf",
        on_click="ignore",
    )
    parts.heading("Where it went")
    st.html(_forward(reach))


def _forward(reach: store.Reach) -> str:
    items = []
    for one in reach.batches:
        sold = sum(sale["jars"] for sale in reach.sales[one.code])
        to = ", ".join(str(sale.get("to", "")) for sale in reach.sales[one.code])
        about = f"{one.name} · {one.made_on} · {reach.jars[one.code]} jars weighed, {sold} sold" + (
            f" to {to}" if to else ""
        )
        items.append(f"<li><b>{escape(one.code)}</b> {escape(about)}</li>")
    for onward in reach.onward:
        items.append(
            f"<li><b>{escape(onward.lot.lot.code)}</b> base lot cooked with it{_forward(onward)}</li>"
        )
    items += [f"<li>{escape(sentence)}</li>" for sentence in reach.unread]
    return (
        f'<ul class="bl-chain">{"".join(items)}</ul>'
        if items
        else '<p class="bl-small">Nothing was made of it yet.</p>'
    )
