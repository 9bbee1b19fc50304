"""Kitchen view, the line that is weighed: what is asked, what went in, too much and too little."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from html import escape
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.batch import Line, display
from blendlab.errors import BlendlabError
from blendlab.production import kitchen_log, line_words, settings, stock_lots
from blendlab.ui import kitchen_steps, memo, mishap, parts, state
from blendlab.ui.words import kitchen as say
from blendlab.units import plain, read_number

FAR = 20
"""What is typed may lie this many times above or below what is asked for."""


def weigh(shown: store.BatchPage, whole: Line, line: Line, why: str) -> None:
    """One line of a cup, and what it asks for on top when more of the batch is made.

    line, why  as the bowl asks for it now, and why in words
    """
    book = memo.book()
    part = kitchen_log.part_of(shown, line)
    key = f"went-{shown.line.code}-{line.id}-{part}-{kitchen_log.cups_before(shown, line)}"
    known = _known(shown, line, f"lot-{key}")
    lot = st.session_state[f"lot-{key}"] if known else None
    second = stock_lots.to_mix_in(book, line, lot, state.today())
    then = (second.number,) if second is not None and _mixes(line, second, f"mix-{key}") else ()
    st.html(_words(shown, whole, line, _lot_words(line, known, lot)))
    if settings.settings(state.folder()).weigh_in == "oz":
        kitchen_steps.about(say.OUNCES.format(ounces=line_words.ounces(line.grams, line.step_g)))
    if why:
        parts.alert(say.PROBLEM.format(problem=why), "kask")
    asking = st.session_state.get("kitchen", {})
    if asking.get("key") == key:
        _answers(shown, line, lot, then, asking)
    st.session_state.setdefault(key, line_words.grams(line.grams, line.step_g).replace("\u2009", ""))
    st.text_input(say.WENT_IN, key=key, on_change=kitchen_steps.anew)
    if asking.get("key") == key:
        parts.alert(asking.get("answer", ""))
    with st.container(key="kitchen-acts", horizontal=True, wrap=False, gap="small"):
        st.button(
            say.WEIGHED,
            type="primary",
            key=f"weighed-{key}",
            width="stretch",
            on_click=_weighed,
            args=(shown, line, lot, then, key),
        )
        st.button(say.TOO_MUCH, key=f"too-much-{key}", on_click=_too_much, args=(line, key))
    if known:
        labels = {number: stock_lots.lot_label(each, state.today()) for number, each in known.items()}
        parts.one_of(say.LOT, {**labels, None: say.NO_LOT}, f"lot-{key}")
    if second is not None:
        st.checkbox(say.MIX_IN.format(lot=stock_lots.lot_words(second)), key=f"mix-{key}")
    if lot is not None and (shared := stock_lots.lots_in_words(book, line, (lot, *then))):
        kitchen_steps.about(shared)


def _known(shown: store.BatchPage, line: Line, key: str) -> dict[int, store.LotLine]:
    """Lots to take the line from; chosen is the one it was weighed of before, else the plan's lot.

    Nothing when the book has none.
    """
    book, today = memo.book(), state.today()
    holding = {lot.number: lot for lot in stock_lots.to_choose(book, line.item, today)}
    if holding and st.session_state.get(key, "") not in {None, *holding}:
        before = [each.lot for each in shown.weighings if each.line == line.id and each.lot in holding]
        planned = stock_lots.planned(book, line, today)
        st.session_state[key] = next(iter((*reversed(before), *planned)), None)
    return holding


def _mixes(line: Line, second: store.LotLine, key: str) -> bool:
    """Whether a second lot fills up the first: her word here, or the one she gave on Batch."""
    named = line.lot.split(stock_lots.MIXED)[1:]
    return bool(st.session_state.setdefault(key, second.lot.code in named))


def _lot_words(line: Line, known: Mapping[int, store.LotLine], lot: int | None) -> str:
    """Which lot is written down with the line; that of the shelf is none while the book does not know it."""
    if lot is not None:
        return say.LOT_LEFT.format(code=known[lot].lot.code, left=plain(known[lot].left_g, 2))
    return say.NO_LOT_NAMED if known or not line.lot else say.SHELF_LOT.format(code=line.lot)


def _words(shown: store.BatchPage, whole: Line, line: Line, lot: str) -> str:
    more = kitchen_log.on_top(shown, whole)
    name = (say.MORE_OF if more else say.NAME).format(name=parts.capital(line.name))
    about = [
        lot,
        say.ON_SCALE.format(scale=line.scale, step=line.step_g),
        line.note,
    ]
    low, high = (line_words.grams(bound, line.step_g) for bound in line.good)
    good = [say.GOOD.format(low=low, high=high)]
    reads = display(shown.now, line, shown.weighed)
    if not more and round(reads - line.grams, 9) > 0:
        good.insert(0, say.DISPLAY.format(grams=line_words.grams(reads, line.step_g)))
    return (
        f'<p class="bl-kname">{escape(name)}</p>'
        f'<p class="bl-kabout">{escape(" · ".join(part for part in about if part))}</p>'
        f'<p class="bl-kgrams">{say.GRAMS.format(grams=line_words.grams(line.grams, line.step_g))}</p>'
        f'<p class="bl-kgood">{"<br>".join(good)}</p>'
    )


def _typed(line: Line, key: str) -> float | str:
    """What was typed, or the answer to it."""
    try:
        return read_number(st.session_state[key], "g", line.grams / FAR, max(line.grams, 1) * FAR)
    except BlendlabError as problem:
        return str(problem)


@mishap.answered
def _weighed(shown: store.BatchPage, line: Line, lot: int | None, then: tuple[int, ...], key: str) -> None:
    if kitchen_steps.second_tap():
        st.session_state.kitchen = {"key": key, "answer": say.SECOND_TAP}
        return
    grams = _typed(line, key)
    if isinstance(grams, str):
        st.session_state.kitchen = {"key": key, "answer": grams}
        return
    found, _ = kitchen_log.judged(shown, line, grams)
    if not found.within and (grams > line.good[1] or found.explain):
        st.session_state.kitchen = {"key": key, "grams": grams}
        return
    kitchen_steps.write(key, lambda: kitchen_log.weigh(memo.book(), shown, line, grams, lot, then=then))


@mishap.answered
def _too_much(line: Line, key: str) -> None:
    grams = _typed(line, key)
    if isinstance(grams, str):
        st.session_state.kitchen = {"key": key, "answer": grams}
    elif grams <= line.good[1]:
        st.session_state.kitchen = {"key": key, "answer": say.WRITE_FIRST}
    else:
        st.session_state.kitchen = {"key": key, "grams": grams}


def _answers(
    shown: store.BatchPage, line: Line, lot: int | None, then: tuple[int, ...], asking: dict[str, Any]
) -> None:
    """What can be done about too much or too little."""
    grams, key, book = asking.get("grams"), asking["key"], memo.book()
    if grams is None:
        return
    if grams <= line.good[1]:
        parts.alert(say.UNDER.format(under=plain(line.grams - grams, 3)), "kask")
        if pct := kitchen_log.smaller_pct(shown, line, grams):
            kitchen_steps.about(say.SMALLER.format(pct=pct))
            if over := kitchen_log.stays_too_much(shown, line, grams):
                kitchen_steps.about(say.STAYS_TOO_MUCH.format(names=", ".join(map(parts.capital, over))))
        _too_little_answer(shown, line, (lot, then), grams, key)
        return
    found, pct = kitchen_log.judged(shown, line, grams)
    bigger = kitchen_log.can_enlarge(book, shown, line, pct)
    leave = not found.explain and not line.protected
    ways = [say.WAY_AGAIN, say.WAY_BIGGER.format(pct=pct) if bigger else "", say.WAY_LEAVE if leave else ""]
    parts.alert(
        say.OVER.format(over=plain(grams - line.grams, 3), ways=", ".join(filter(None, ways))), "kask"
    )
    more_g, left_g = kitchen_log.base_on_top(book, shown, line, pct)
    if more_g >= 1 and not line.beside:
        held = say.LOTS_UNKNOWN if left_g is None else say.LOTS_HOLD.format(left=left_g)
        weighed = any(each.what == "base" and each.id in shown.asked for each in shown.now.lines)
        more = say.BASE_ON_TOP if "whip" in shown.ticked else say.BASE_MORE
        kitchen_steps.about((more if weighed else say.BASE_TO_WEIGH).format(more=more_g, held=held))
    with st.container(horizontal=True, key="kitchen-answers"):
        _answer(say.CUP_AGAIN, key, lambda: kitchen_log.start_cup_again(book, shown, line, grams, lot, then))
        if bigger:
            enlarge = partial(kitchen_log.enlarge, book, shown, line, grams, lot, then)
            _answer(say.BIGGER.format(pct=pct), key, enlarge)
        if leave:
            _answer(say.LEAVE_IT, key, partial(kitchen_log.weigh, book, shown, line, grams, lot, then=then))


def _too_little_answer(
    shown: store.BatchPage, line: Line, lots: tuple[int | None, tuple[int, ...]], grams: float, key: str
) -> None:
    cause = st.text_input(say.CAUSE, key=f"cause-{key}", max_chars=200).strip()
    write = partial(kitchen_log.weigh, memo.book(), shown, line, grams, lots[0], cause, lots[1])
    _answer(say.WRITE_DOWN, key, write, disabled=not cause)


def _answer(label: str, key: str, act: Callable[[], object], disabled: bool = False) -> None:
    st.button(label, disabled=disabled, on_click=kitchen_steps.write, args=(key, act))
