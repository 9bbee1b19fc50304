"""Kitchen view, the steps that are not weighings: gates, ticks, density, pH, filled jars, yield."""

from __future__ import annotations

import time
from collections.abc import Callable
from html import escape

import streamlit as st

from blendlab import store, units
from blendlab.batch import Step
from blendlab.batch.steps import dispersion
from blendlab.errors import BlendlabError
from blendlab.production import bowl, kitchen_acts, kitchen_log, outcome, pot, settings, stock_lots
from blendlab.production.plausible import Doubtful
from blendlab.ui import memo, mishap, parts, state
from blendlab.ui.words import kitchen as say
from blendlab.ui.words import plural
from blendlab.units import read_number

DOUBLE_TAP = 0.3
"""Seconds after a line was written in which a second tap is taken for the end of the first."""
SHOWN_JARS = 8
"""Jars whose weights stay in sight while the next is filled."""


def second_tap() -> bool:
    """Whether wet fingers tapped twice: the next line must not be written unread."""
    wrote: float = st.session_state.get("kitchen-wrote", 0.0)
    return time.monotonic() - wrote < DOUBLE_TAP


@mishap.answered
def write(key: str, act: Callable[[], object]) -> None:
    """Write to the book; what goes wrong is said beside the field of that key and nothing is lost."""
    ss = st.session_state
    try:
        act()
    except store.AlreadyWritten as problem:
        told = "" if second_tap() else say.NOT_WRITTEN.format(problem=problem)
        ss.update({"kitchen": {}, "said": {"text": told, "fresh": False} if told else None})
        return
    except Doubtful as doubt:
        ss.kitchen = {"key": key, "doubt": str(doubt)}
        return
    except BlendlabError as problem:
        ss.kitchen = {"key": key, "answer": str(problem)}
        return
    ss.update({"kitchen": {}, "kitchen-wrote": time.monotonic(), "said": None})


def really(key: str) -> None:
    """The question about a figure that is hard to believe, and the field for her reason."""
    asking = st.session_state.get("kitchen", {})
    if asking.get("key") == key and asking.get("doubt"):
        parts.alert(say.REALLY.format(doubt=asking["doubt"]), "kask")
        st.text_input(say.REASON, key=f"why-{key}", max_chars=200)


def _why(step: Step) -> str:
    """Her reason for a figure of a step, or ""."""
    return st.session_state.get(f"why-{step.id}") or ""


def about(text: str) -> None:
    """A sentence beside what is asked, large enough for an arm's length."""
    st.html(f'<p class="bl-kabout">{escape(text)}</p>')


def draw(shown: store.BatchPage, step: Step) -> None:
    """One step and what it asks for."""
    unit = settings.settings(state.folder()).heat_in
    st.html(f'<p class="bl-kname">{escape(units.in_degrees(step.text, step.heats, unit))}</p>')
    big = kitchen_log.big_grams(shown.now, step)
    if big is not None:
        st.html(f'<p class="bl-kgrams">{say.GRAMS.format(grams=units.plain(big, 2))}</p>')
    if step.source:
        about(step.source)
    if told := _scent_words(shown, step):
        st.html(f'<p class="bl-kgood">{escape(told)}</p>')
    answer = st.session_state.get("kitchen", {})
    really(step.id)
    form = FORMS.get(step.id, _gate if step.kind == "gate" else _tick)
    form(shown, step, unit)
    if answer.get("key") == step.id and answer.get("answer"):
        parts.alert(say.PROBLEM.format(problem=answer["answer"]), "kask")


def _scent_words(shown: store.BatchPage, step: Step) -> str:
    """How much of the scent stays over, where it is folded in and where what is left is weighed; else ""."""
    told = say.SCENT_KNOWN if step.id == "yield" else say.SCENT_STAYS
    grams = outcome.unused_scent_g(shown)
    return told.format(grams=grams) if grams and (step.id == "yield" or step.id.startswith("fold:")) else ""


def field(label: str, key: str, value: str = "") -> str:
    """A text field that begins with `value`; returns what stands in it."""
    st.session_state.setdefault(key, value)
    typed: str = st.text_input(label, key=key, on_change=anew)
    return typed


@mishap.answered
def anew() -> None:
    """Another figure stands there: what was said of the one before goes, and her reason for it."""
    ss = st.session_state
    ss.pop(f"why-{ss.get('kitchen', {}).get('key')}", None)
    ss.kitchen = {}


def _read(key: str, unit: str, low: float, high: float) -> float:
    """A typed figure; raises BlendlabError with the answer."""
    return read_number(st.session_state.get(key) or "", unit, low, high)


@mishap.answered
def _do(step_id: str, act: Callable[[], object]) -> None:
    """Write to the book, or say what was wrong with what was typed."""
    if second_tap():
        st.session_state.kitchen = {"key": step_id, "answer": say.SECOND_TAP}
    else:
        write(step_id, act)


def _button(label: str, step: Step, act: Callable[[], object], primary: bool = True) -> None:
    st.button(
        label,
        type="primary" if primary else "secondary",
        key=f"step-{step.id}-{'first' if primary else 'second'}",
        width="stretch",
        on_click=_do,
        args=(step.id, act),
    )


def _act(label: str, step: Step, act: Callable[[], object]) -> None:
    """The one button of a step."""
    with st.container(key="kitchen-acts", horizontal=True):
        _button(label, step, act)


def _tick(shown: store.BatchPage, step: Step, unit: str) -> None:
    word = say.TICK if step.kind == "tick" else say.DID
    _act(word, step, _end(shown, step))


def _gate(shown: store.BatchPage, step: Step, unit: str) -> None:
    key = f"heat-{step.id}"
    field(say.MEASURE.format(unit=unit), key)

    def act() -> None:
        celsius = units.celsius(_read(key, "", -40, 400), unit)
        kitchen_acts.pass_gate(memo.book(), shown.line.code, step.id, celsius, unit, _why(step))

    _act(say.MEASURED, step, act)


def _whip(shown: store.BatchPage, step: Step, unit: str) -> None:
    volume, before, mass = st.columns(3, gap="small")
    with volume:
        field(say.LEVEL_CUP, "whip-ml", "100")
    with before:
        field(say.MIX_GRAMS, "mix-g")
    with mass:
        field(say.WHIPPED_GRAMS, "whip-g")
    if told := bowl.foam_words(shown):
        st.html(f'<p class="bl-kgood">{escape(told)}</p>')

    def cup() -> None:
        cup_ml, cup_g = _read("whip-ml", "ml", 20, 2000), _read("whip-g", "g", 1, 4000)
        mixed = (st.session_state.get("mix-g") or "").strip()
        mix_g = _read("mix-g", "g", 1, 4000) if mixed else None
        bowl.weigh_cup(memo.book(), shown.line.code, step.id, cup_ml, cup_g, mix_g, _why(step))
        st.session_state.update({"whip-g": "", "mix-g": ""})

    with st.container(key="kitchen-acts", horizontal=True):
        _button(say.WEIGH_CUP, step, cup)
        _button(say.DID, step, _end(shown, step), primary=False)


def _end(shown: store.BatchPage, step: Step) -> Callable[[], object]:
    return lambda: kitchen_acts.tick(memo.book(), shown.line.code, step.id)


def _density(shown: store.BatchPage, step: Step, unit: str) -> None:
    volume, mass = st.columns(2, gap="small")
    with volume:
        field(say.LEVEL_CUP, "cup-ml", "100")
    with mass:
        field(say.CUP_GRAMS, "cup-g")

    def act() -> None:
        cup_ml, cup_g = _read("cup-ml", "ml", 20, 2000), _read("cup-g", "g", 1, 4000)
        kitchen_acts.weigh_foam(memo.book(), shown.line.code, step.id, cup_ml, cup_g, _why(step))

    _act(say.WEIGHED, step, act)


def _ph(shown: store.BatchPage, step: Step, unit: str) -> None:
    key = f"ph-{step.id}"
    field(say.PH, key)

    def act() -> None:
        acid = _read(key, "", 0, 14)
        kitchen_acts.measure_ph(memo.book(), shown.line.code, step.id, acid, _why(step))

    _act(say.MEASURED, step, act)


def _fill(shown: store.BatchPage, step: Step, unit: str) -> None:
    filled = len(shown.filled_g)
    if not filled and (told := bowl.filling_words(shown)):
        about(told)
    if filled:
        listed = ", ".join(f"{grams:g}" for grams in shown.filled_g[-SHOWN_JARS:])
        last = say.FILLED_LAST.format(count=filled, last=SHOWN_JARS, grams=listed)
        told = last if filled > SHOWN_JARS else plural(filled, *say.FILLED, grams=listed)
        st.html(f'<p class="bl-kgood">{escape(told)}</p>')
    key, whole = f"jar-{shown.line.code}-{filled + 1}", f"jars-{shown.line.code}-{filled}"
    every = filled >= (shown.now.asked or shown.now.jars)
    net, count = st.columns(2, gap="small")
    with net:
        field(say.JAR.format(number=filled + 1), key)
    with count:
        field(say.FILLED_IN_ALL, whole, str(filled) if every else "")

    def fill() -> None:
        kitchen_acts.fill_jar(memo.book(), shown.line.code, _read(key, "g", 1, 5000), _why(step))

    def end() -> None:
        jars = _read(whole, "", 0, 100_000)
        kitchen_acts.all_filled(memo.book(), shown.line.code, step.id, jars, _why(step))

    with st.container(key="kitchen-acts", horizontal=True):
        _button(say.NEXT_JAR, step, fill)
        _button(say.ALL_FILLED, step, end, primary=False)


def _retain(shown: store.BatchPage, step: Step, unit: str) -> None:
    field(say.SET_ASIDE, "retained-g", f"{shown.now.retained_g:g}")

    def act() -> None:
        grams = _read("retained-g", "g", 0, 10_000)
        kitchen_acts.retain(memo.book(), shown.line.code, step.id, grams, _why(step))

    _act(say.SET_ASIDE_NEXT, step, act)


def _yield(shown: store.BatchPage, step: Step, unit: str) -> None:
    field(say.LEFT_OVER, "left-g")
    kept, how, key = shown.plan.acidity, dispersion(unit), f"ph-{step.id}"
    if kept is not None:
        field(say.PH_WANTED.format(how=how, wanted=kept.words), key)

    def act() -> None:
        left = _read("left-g", "g", 0, 1_000_000)
        measured = (st.session_state.get(key) or "").strip() if kept is not None else ""
        pH = _read(key, "", 0, 14) if measured else None
        kitchen_acts.close(memo.book(), shown.line.code, step.id, left, pH, _why(step))

    _act(say.CLOSE, step, act)


def _pot(shown: store.BatchPage, step: Step, unit: str) -> None:
    key = f"pot-empty-{shown.line.code}"
    field(say.EMPTY_POT, key)

    def act() -> None:
        pot.weigh_empty(memo.book(), shown.line.code, step.id, _read(key, "g", 1, 1_000_000))

    _act(say.WEIGHED, step, act)


def _refill(shown: store.BatchPage, step: Step, unit: str) -> None:
    code, known = shown.line.code, pot.empty_g(shown)
    tare, full, water = (f"pot-{which}-{code}" for which in ("empty", "full", "water"))
    if known is None:
        field(say.EMPTY_POT, tare)
    else:
        about(say.POT_WAS.format(grams=known))
    field(say.FULL_POT, full)
    if st.session_state[full] and (known is not None or st.session_state[tare]):
        _lost(shown, full, tare if known is None else None)
    field(say.WATER_IN, water)
    lot = _water_lot(shown)

    def act() -> None:
        own = _read(tare, "g", 1, 1_000_000) if known is None else None
        grams = (_read(full, "g", 1, 1_000_000), _read(water, "g", 0, 1_000_000))
        pot.fill_up(memo.book(), shown, step.id, *grams, own, lot, _why(step))

    _act(say.FILLED_UP, step, act)


def _water_lot(shown: store.BatchPage) -> int | None:
    """The lot that the water is filled up from: that of the weighed water first; None = of none."""
    line, today = pot.water_line(memo.book(), shown, memo.shelf()), state.today()
    there = stock_lots.to_choose(memo.book(), line.item, today) if line is not None else ()
    if line is None or not there:
        about(say.NO_WATER_LOT)
        return None
    key, numbers = f"water-lot-{shown.line.code}", [lot.number for lot in there]
    if st.session_state.get(key, "") not in (None, *numbers):
        weighed = [each.lot for each in shown.weighings if each.line == line.id and each.lot in numbers]
        st.session_state[key] = next(iter((*weighed, *stock_lots.planned(memo.book(), line, today))), None)
    labels: dict[int | None, str] = {lot.number: stock_lots.lot_label(lot, today) for lot in there}
    return parts.one_of(say.WATER_LOT, {**labels, None: say.NO_LOT}, key)


def _lost(shown: store.BatchPage, full: str, tare: str | None) -> None:
    """What the pot lost, what to fill up, and what the scale shows then."""
    try:
        own = _read(tare, "g", 1, 1_000_000) if tare else None
        told = pot.loss(shown, _read(full, "g", 1, 1_000_000), own)
    except BlendlabError as problem:
        parts.alert(say.PROBLEM.format(problem=problem), "kask")
        return
    said = say.WATER_GONE if told.water_g else say.NO_WATER_GONE
    said = say.MORE_THAN_WENT_IN if pot.holds_more(told) else said
    said = said.format(grams=told.ingredients_g, water=told.water_g, target=told.target_g, over=-told.lost_g)
    st.html(f'<p class="bl-kgood">{said}</p>')


FORMS = {
    "pot": _pot,
    "refill": _refill,
    "whip": _whip,
    "density": _density,
    "ph": _ph,
    "fill": _fill,
    "retain": _retain,
    "yield": _yield,
}
