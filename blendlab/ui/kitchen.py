"""Kitchen view: one line at a time, readable at arm's length, each weighing written to the book at once."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.batch import Line, Step, display
from blendlab.errors import BlendlabError
from blendlab.production import batches, bowl, kitchen_log, line_words, settings, stock_lots
from blendlab.ui import kitchen_steps, memo, parts, state, words
from blendlab.units import in_degrees, plain, read_number

FAR = 20
"""What is typed may lie this many times above or below what is asked for."""


def asked() -> bool:
    """Whether the address asks for the kitchen view."""
    return st.query_params.get("view") == "kitchen"


def page() -> None:
    """Draw the open line of the batch in the address, else of the newest one that runs."""
    book = memo.book()
    code = st.query_params.get("batch") or _newest(book)
    try:
        shown = store.batch(book, code)
    except BlendlabError as problem:
        parts.small(str(problem) if code else "No batch is being made.")
        way_out()
        return
    now = kitchen_log.stand(shown)
    _head(shown, now.line.cup if now.line else "")
    if now.current is None:
        kitchen_steps.finished(shown)
        return
    left, right = st.columns([28, 72], gap="medium")
    with left:
        if now.line is not None:
            st.html(_ladder(shown, now.line))
        else:
            st.html(_ahead(now.done, now.current, now.later))
    with right, st.container(border=True, key="kitchen-line"):
        if now.line is not None:
            _weigh(shown, now.line)
        else:
            kitchen_steps.step(shown, now.current)
    if not now.done:
        parts.small(words.STAY_AWAKE)


def _newest(book: store.Book) -> str:
    for line in store.batches(book)[: batches.LOOKED_AT]:
        if kitchen_log.stand(store.batch(book, line.code)).current is not None:
            return line.code
    return ""


def way_out() -> None:
    """The button back to the pages."""
    st.button(words.LEAVE_KITCHEN, on_click=leave)


def leave() -> None:
    """Back to the pages."""
    st.query_params.clear()
    st.session_state.kitchen = {}


def _head(shown: store.BatchPage, cup: str) -> None:
    with st.container(key="kitchen-head", horizontal=True, vertical_alignment="center", wrap=False):
        where = f"<b>{escape(cup)}</b> · " if cup else ""
        st.html(f'<p class="bl-kwhere">{where}{escape(shown.line.name)} · {escape(shown.line.code)}</p>')
        st.button(words.LEAVE_KITCHEN, type="tertiary", on_click=leave)


def _ladder(shown: store.BatchPage, line: Line) -> str:
    rungs, total = kitchen_log.ladder(shown, line)
    marks = {"done": "✓ ", "now": "▸ ", "later": ""}
    body = "".join(
        f'<li class="bl-{one.state}"><span>{marks[one.state]}{escape(parts.capital(one.name))}</span>'
        f"<b>{line_words.grams(one.grams, one.step_g)}</b></li>"
        for one in rungs
    )
    step = min(one.step_g for one in rungs)
    whole = f'<li class="bl-sum"><span>cup</span><b>{line_words.grams(total, step)}</b></li>'
    return f'<ol class="bl-ladder-k">{body}{whole}</ol>'


def _ahead(done: tuple[Step, ...], current: Step, later: tuple[Step, ...]) -> str:
    unit = settings.settings(state.folder()).heat_in
    shown = [("done", "✓ ", one) for one in done[-2:]] + [("now", "▸ ", current)]
    shown += [("later", "", one) for one in later[:4]]
    body = "".join(
        f'<li class="bl-{kind}"><span>{mark}{escape(in_degrees(one.text, one.heats, unit))}</span></li>'
        for kind, mark, one in shown
    )
    return f'<ol class="bl-ladder-k bl-steps">{body}</ol>'


def _weigh(shown: store.BatchPage, whole: Line) -> None:
    line, book = kitchen_log.asked_line(shown, whole), memo.book()
    lots = store.lots(book, line.item)
    part = kitchen_log.part_of(shown, line)
    key = f"went-{shown.line.code}-{line.id}-{part}"
    known = _known(lots, line, f"lot-{key}")
    lot = st.session_state[f"lot-{key}"] if known else None
    st.html(_words(shown, whole, line, known.get(lot, "")))
    unit = settings.settings(state.folder()).weigh_in
    if unit == "oz":
        parts.small(f"{line_words.ounces(line.grams, line.step_g)} oz")
    if told := bowl.top_up_words(shown, line):
        st.html(f'<p class="bl-kask" role="alert">▲ {escape(told)}</p>')
    asking = st.session_state.get("kitchen", {})
    if asking.get("key") == key:
        _answers(shown, line, lot, asking)
    st.session_state.setdefault(key, line_words.grams(line.grams, line.step_g).replace("\u2009", ""))
    st.text_input("What went in, g", key=key)
    if asking.get("key") == key and asking.get("answer"):
        st.html(f'<p class="bl-bad" role="alert">{escape(asking["answer"])}</p>')
    with st.container(key="kitchen-acts", horizontal=True, wrap=False, gap="small"):
        st.button(
            "Weighed, next",
            type="primary",
            key=f"weighed-{key}",
            width="stretch",
            on_click=_weighed,
            args=(shown, line, lot, key),
        )
        st.button("Too much", key=f"too-much-{key}", on_click=_too_much, args=(shown, line, key))
    if known:
        st.selectbox("Lot", list(known), format_func=known.__getitem__, key=f"lot-{key}")
    if shared := stock_lots.lots_in_words(book, line, lot):
        st.html(f'<p class="bl-kabout">{escape(shared)}</p>')


def _known(lots: tuple[store.LotLine, ...], line: Line, key: str) -> dict[int | None, str]:
    """Lots to take the line from, the plan's lot chosen first; nothing when the book has none."""
    known: dict[int | None, str] = {one.number: stock_lots.lot_words(one) for one in lots if one.left_g > 0}
    if not known:
        return {}
    planned = (one.number for one in lots if one.lot.code == line.lot and one.left_g > 0)
    st.session_state.setdefault(key, next(planned, next(iter(known))))
    known[None] = "lot not named"
    return known


def _words(shown: store.BatchPage, whole: Line, line: Line, chosen: str) -> str:
    more = kitchen_log.on_top(shown, whole)
    lot = f"lot {chosen.partition(',')[0] or line.lot}" if chosen or line.lot else "no lot named"
    about = [lot, f"{line.scale}, steps of {line.step_g:g} g", line.note]
    low, high = (line_words.grams(one, line.step_g) for one in line.good)
    reads = display(shown.now, whole, shown.weighed)
    shows = not more and round(reads - line.grams, 9) > 0
    summed = (
        f"display reads <b>{line_words.grams(reads, line.step_g)}</b> if you did not press zero<br>"
        if shows
        else ""
    )
    extra = "more of " if more else ""
    return (
        f'<p class="bl-kname">{extra}{escape(parts.capital(line.name))}</p>'
        f'<p class="bl-kabout">{escape(" · ".join(one for one in about if one))}</p>'
        f'<p class="bl-kgrams">{line_words.grams(line.grams, line.step_g)} g</p>'
        f'<p class="bl-kgood">{summed}good between <b>{low}</b> and <b>{high}</b></p>'
    )


def _typed(line: Line, key: str) -> float | str:
    """What was typed, or the answer to it."""
    try:
        return read_number(st.session_state[key], "g", line.grams / FAR, max(line.grams, 1) * FAR)
    except BlendlabError as problem:
        return str(problem)


def _weighed(shown: store.BatchPage, line: Line, lot: int | None, key: str) -> None:
    if kitchen_steps.second_tap():
        return
    grams = _typed(line, key)
    if isinstance(grams, str):
        st.session_state.kitchen = {"key": key, "answer": grams}
        return
    found, _ = kitchen_log.judged(shown, line, grams)
    if not found.within and (grams > line.good[1] or found.explain):
        st.session_state.kitchen = {"key": key, "grams": grams}
        return
    _write(lambda: kitchen_log.weigh(memo.book(), shown, line, grams, lot), key)


def _too_much(shown: store.BatchPage, line: Line, key: str) -> None:
    grams = _typed(line, key)
    if isinstance(grams, str):
        st.session_state.kitchen = {"key": key, "answer": grams}
    elif grams <= line.good[1]:
        st.session_state.kitchen = {
            "key": key,
            "answer": "Write what the display shows into the field first.",
        }
    else:
        st.session_state.kitchen = {"key": key, "grams": grams}


def _write(act, key: str) -> None:
    """Write to the book; what goes wrong is said beside the field and nothing is lost."""
    try:
        act()
    except store.AlreadyWritten:
        kitchen_steps.wrote()
    except BlendlabError as problem:
        st.session_state.kitchen = {"key": key, "answer": str(problem)}
    else:
        kitchen_steps.wrote()


def _answers(shown: store.BatchPage, line: Line, lot: int | None, asking: dict) -> None:
    """What can be done about too much or too little."""
    grams = asking.get("grams")
    if grams is None:
        return
    found, pct = kitchen_log.judged(shown, line, grams)
    book, key = memo.book(), asking["key"]
    if grams > line.good[1]:
        said = words.TOO_MUCH.format(over=plain(grams - line.grams, 3), pct=f"{pct:.1f}")
        st.html(f'<p class="bl-kask" role="alert">▲ {escape(said)}</p>')
        with st.container(horizontal=True, key="kitchen-answers"):
            st.button(
                "Start this cup again",
                on_click=_write,
                args=(lambda: kitchen_log.start_cup_again(book, shown, line, grams, lot), key),
            )
            st.button(
                f"Make the rest {pct:.1f} % bigger",
                on_click=_write,
                args=(lambda: kitchen_log.enlarge(book, shown, line, grams, lot), key),
            )
            if not found.explain and not line.protected:
                st.button(
                    "Leave it so",
                    on_click=_write,
                    args=(lambda: kitchen_log.weigh(book, shown, line, grams, lot), key),
                )
        return
    said = words.TOO_LITTLE.format(under=plain(line.grams - grams, 3))
    st.html(f'<p class="bl-kask" role="alert">▲ {escape(said)}</p>')
    cause = st.text_input("Cause and decision", key=f"cause-{key}", max_chars=200)
    st.button(
        "Write it down as it is",
        disabled=not cause.strip(),
        on_click=_write,
        args=(lambda: kitchen_log.weigh(book, shown, line, grams, lot, cause.strip()), key),
    )
