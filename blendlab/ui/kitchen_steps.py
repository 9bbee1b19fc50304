"""Kitchen view, the steps that are not weighings: gates, ticks, density, pH, filled jars, yield, the end."""

from __future__ import annotations

import time
from html import escape

import streamlit as st

from blendlab import store, units
from blendlab.batch import Step
from blendlab.batch.steps import dispersion
from blendlab.errors import BlendlabError
from blendlab.production import (
    base_lots,
    bowl,
    kitchen_acts,
    kitchen_log,
    outcome,
    release,
    settings,
    stock_lots,
)
from blendlab.ui import memo, parts, state
from blendlab.units import read_number

DOUBLE_TAP = 0.3
"""Seconds after a line was written in which a second tap is taken for the end of the first."""


def second_tap() -> bool:
    """Whether wet fingers tapped twice: the next line must not be written unread."""
    return time.monotonic() - st.session_state.get("kitchen-wrote", 0.0) < DOUBLE_TAP


def wrote() -> None:
    """Remember that a line was written just now, and that nothing is asked any more."""
    st.session_state.update({"kitchen": {}, "kitchen-wrote": time.monotonic()})


def step(shown: store.BatchPage, one: Step) -> None:
    """One step and what it asks for."""
    unit = settings.settings(state.folder()).heat_in
    st.html(f'<p class="bl-kname">{escape(units.in_degrees(one.text, one.heats, unit))}</p>')
    big = kitchen_log.big_grams(shown.now, one)
    if big is not None:
        st.html(f'<p class="bl-kgrams">{big:g} g</p>')
    if one.source:
        st.html(f'<p class="bl-kabout">{escape(one.source)}</p>')
    answer = st.session_state.get("kitchen", {})
    form = FORMS.get(one.id, _gate if one.kind == "gate" else _tick)
    form(shown, one, unit)
    if answer.get("key") == one.id and answer.get("answer"):
        st.html(f'<p class="bl-kask" role="alert">▲ {escape(answer["answer"])}</p>')


def _field(label: str, key: str, value: str = "") -> str:
    st.session_state.setdefault(key, value)
    return st.text_input(label, key=key)


def _read(key: str, unit: str, low: float, high: float) -> float:
    """A typed figure; raises BlendlabError with the answer."""
    return read_number(st.session_state.get(key) or "", unit, low, high)


def _do(one: Step, act) -> None:
    """Write to the book, or say what was wrong with what was typed."""
    if second_tap():
        return
    try:
        act()
    except store.AlreadyWritten:
        wrote()
    except BlendlabError as problem:
        st.session_state.kitchen = {"key": one.id, "answer": str(problem)}
    else:
        wrote()


def _button(label: str, one: Step, act, primary: bool = True) -> None:
    st.button(
        label,
        type="primary" if primary else "secondary",
        key=f"step-{one.id}-{'first' if primary else 'second'}",
        width="stretch",
        on_click=_do,
        args=(one, act),
    )


def _tick(shown: store.BatchPage, one: Step, unit: str) -> None:
    word = "Tick, next" if one.kind == "tick" else "Done, next"
    with st.container(key="kitchen-acts", horizontal=True):
        _button(word, one, lambda: kitchen_acts.tick(memo.book(), shown.line.code, one.id))


def _gate(shown: store.BatchPage, one: Step, unit: str) -> None:
    key = f"heat-{one.id}"
    _field(f"Measured now, °{unit}", key)

    def act() -> None:
        celsius = units.celsius(_read(key, "", -40, 400), unit)
        kitchen_acts.pass_gate(memo.book(), shown.line.code, one.id, celsius, unit)

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Measured, next", one, act)


def _whip(shown: store.BatchPage, one: Step, unit: str) -> None:
    volume, before, mass = st.columns(3, gap="small")
    with volume:
        _field("Level cup, ml", "whip-ml", "100")
    with before:
        _field("The mix in it, before whipping, g", "mix-g")
    with mass:
        _field("Whipped base in it now, g", "whip-g")
    if told := bowl.foam_words(shown):
        st.html(f'<p class="bl-kgood">{escape(told)}</p>')

    def act() -> None:
        cup_ml, cup_g = _read("whip-ml", "ml", 20, 2000), _read("whip-g", "g", 1, 4000)
        mixed = (st.session_state.get("mix-g") or "").strip()
        mix_g = _read("mix-g", "g", 1, 4000) if mixed else None
        bowl.weigh_cup(memo.book(), shown.line.code, one.id, cup_ml, cup_g, mix_g)
        st.session_state.update({"whip-g": "", "mix-g": ""})

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Weigh this cup", one, act)
        _button(
            "Done, next",
            one,
            lambda: kitchen_acts.tick(memo.book(), shown.line.code, one.id),
            primary=False,
        )


def _density(shown: store.BatchPage, one: Step, unit: str) -> None:
    volume, mass = st.columns(2, gap="small")
    with volume:
        _field("Level cup, ml", "cup-ml", "100")
    with mass:
        _field("Whipped base in it, g", "cup-g")

    def act() -> None:
        cup_ml, cup_g = _read("cup-ml", "ml", 20, 2000), _read("cup-g", "g", 1, 4000)
        kitchen_acts.weigh_foam(memo.book(), shown.line.code, one.id, cup_ml, cup_g)

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Weighed, next", one, act)


def _ph(shown: store.BatchPage, one: Step, unit: str) -> None:
    _field("pH of the dispersion", "ph-now")

    def act() -> None:
        kitchen_acts.measure_ph(memo.book(), shown.line.code, one.id, _read("ph-now", "", 0, 14))

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Measured, next", one, act)


def _fill(shown: store.BatchPage, one: Step, unit: str) -> None:
    jar = len(shown.filled_g) + 1
    if shown.filled_g:
        listed = ", ".join(f"{grams:g}" for grams in shown.filled_g[-8:])
        st.html(f'<p class="bl-kgood">{len(shown.filled_g)} jars written down: {escape(listed)} g</p>')
    key = f"jar-{shown.line.code}-{jar}"
    _field(f"Net weight of jar {jar}, g", key)

    def act() -> None:
        kitchen_acts.fill_jar(memo.book(), shown.line.code, _read(key, "g", 1, 5000))

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Next jar", one, act)
        _button(
            "All jars filled",
            one,
            lambda: kitchen_acts.tick(memo.book(), shown.line.code, one.id),
            primary=False,
        )


def _retain(shown: store.BatchPage, one: Step, unit: str) -> None:
    _field("Set aside, g", "retained-g", f"{shown.now.retained_g:g}")

    def act() -> None:
        grams = _read("retained-g", "g", 0, 10_000)
        kitchen_acts.retain(memo.book(), shown.line.code, one.id, grams)

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Set aside, next", one, act)


def _yield(shown: store.BatchPage, one: Step, unit: str) -> None:
    _field("Left in bowl, bags and cups, g", "left-g")
    _field(dispersion(unit), "ph-now")

    def act() -> None:
        left = _read("left-g", "g", 0, 1_000_000)
        measured = (st.session_state.get("ph-now") or "").strip()
        pH = _read("ph-now", "", 0, 14) if measured else None
        kitchen_acts.close(memo.book(), shown.line.code, one.id, left, pH)

    with st.container(key="kitchen-acts", horizontal=True):
        _button("Close the batch", one, act)


def _refill(shown: store.BatchPage, one: Step, unit: str) -> None:
    empty, full = st.columns(2, gap="small")
    with empty:
        tare = _field("Empty pot, g", "pot-tare")
    with full:
        gross = _field("Pot with the melt, g", "pot-gross")
    if tare and gross:
        st.html(_water_back(shown))
    _tick(shown, one, unit)


def _water_back(shown: store.BatchPage) -> str:
    try:
        tare, gross = (_read(key, "g", 1, 1_000_000) for key in ("pot-tare", "pot-gross"))
        lost = kitchen_log.water_back(shown, tare, gross)
    except BlendlabError as problem:
        return f'<p class="bl-kask" role="alert">▲ {escape(str(problem))}</p>'
    words = f"<b>{lost:.0f} g</b> of water are gone" if lost > 0 else "no water is gone"
    return f'<p class="bl-kgood">Of {sum(shown.weighed.values()):g} g weighed in, {words}.</p>'


FORMS = {
    "refill": _refill,
    "whip": _whip,
    "density": _density,
    "ph": _ph,
    "fill": _fill,
    "retain": _retain,
    "yield": _yield,
}


def finished(shown: store.BatchPage) -> None:
    """The end: how it came out, what is still open, where to go."""
    came = outcome.outcome(shown)
    st.html(f'<p class="bl-kname">{escape(shown.line.code)} is done.</p>')
    rows = [("Planned", f"{came.planned_g:.0f} g")]
    if came.yield_pct is not None:
        rows += [
            ("Jars weighed", f"{came.jars}, mean {came.mean_g:.1f} g"),
            ("Filled", f"{came.filled_g:.0f} g"),
        ]
        rows += [("Yield", f"{came.yield_pct:.1f} %"), ("Not accounted for", f"{came.unaccounted_g:.0f} g")]
    with st.container(width=640):
        parts.rows(rows)
    if shown.line.kind == "base":
        _base_lot(shown)
    if shown.line.kind == "jars":
        told = [came.finding] if came.finding else []
        parts.findings([*release.open_points(shown), *told], "release", "Nothing is open before release.")
    with st.container(horizontal=True):
        st.button("Open it in the Book", type="primary", on_click=_to_book, args=(shown.line.code,))


def _base_lot(shown: store.BatchPage) -> None:
    """A cooked base becomes a lot with its grams."""
    made = [one for one in store.lots(memo.book()) if one.batch == shown.line.code]
    noted = [one for one in shown.of("note") if one.subject == "base"]
    base = memo.shelf().today("base", str(noted[-1].data.get("id", ""))) if noted else None
    if made:
        parts.small(f"It is lot {stock_lots.lot_words(made[0])}.")
        return
    if base is None:
        parts.small("Its base is no longer on the shelf: no lot can be made of it.")
        return
    _field("Base that came out, weighed, g", "cooked-grams")
    _field("Code of the lot", "cooked-code", shown.line.code)
    for one in st.session_state.get("cooked-answers", []):
        st.html(f'<p class="bl-bad" role="alert">{escape(one)}</p>')
    st.button("Make it a base lot", type="primary", on_click=_finish_base, args=(shown, base))


def _finish_base(shown: store.BatchPage, base) -> None:
    ss = st.session_state
    typed = {"grams": ss["cooked-grams"], "code": ss["cooked-code"]}
    ss["cooked-answers"] = base_lots.cooked_lot(shown, base, typed, memo.book())


def _to_book(code: str) -> None:
    st.query_params.clear()
    st.session_state.update({"goto": "book", "book-part": "made", "book-code": code, "book-lot": None})
