"""The form that sets a line of a batch right: in the Book, and at the end of the kitchen view."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.codec import local_time
from blendlab.production import corrections, plausible, pot, stock_lots
from blendlab.production.corrections import Figure
from blendlab.ui import book_answers, memo, mishap, parts, state, typed
from blendlab.ui.words import book as say
from blendlab.ui.words import plural, sold
from blendlab.units import celsius, convert, in_degrees, plain

OF, FIX = "fixes-", "fix-"
"""What the keys begin with of the choice of a line, and of the fields of the line that was chosen."""
NO_LOT = 0
"""Stands among the lots to choose for water that came from none; numbers of lots begin at 1."""
MORE = {figure.key: "" for figures in corrections.FIGURES.values() for figure in figures[1:]}
"""Fields of the figures beside the first."""
WIDE, LEAST, BRIEF = 38, 16, 12
"""Letters that a choice shows of a line; those that a name or a step keeps, whatever stands beside it; those
of a subject that stands before its figure."""


def form(book: store.Book, shown: store.BatchPage) -> None:
    """Choose a line, say what is really so, and why."""
    with st.popover(say.CORRECT, type="tertiary"):
        known = {**_weighings(book, shown), **_entries(shown)}
        if not known:
            parts.small(say.NOTHING_WRITTEN)
            return
        code = shown.line.code
        typed.hold(f"{OF}{code}", OF)
        chosen = parts.one_of(say.LINE, known, typed.key(OF, "line"))
        typed.hold(_form(code, chosen), FIX, {"lot": None, "figure": "", "why": "", **MORE, **_buyers(shown)})
        if chosen.startswith("w"):
            _weighing(book, shown, int(chosen[1:]))
        else:
            _entry(book, shown, int(chosen[1:]))
        book_answers.show("fix")


def _form(code: str, line: str) -> str:
    return f"{FIX}{code}:{line}"


def set_lot_right(number: int, act: Callable[[], bool]) -> bool:
    """Write something of a lot, and say what that brings to released batches; whether any is called back.

    act  says whether it wrote anything
    """
    given: dict[str, Any] = {"shelf": memo.shelf(), "on": state.today()}
    return tell_brought(corrections.lot_set_right(memo.book(), number, act, **given), say.LOT_CALLED_BACK)


def tell_brought(brought: corrections.Brought, called_back: tuple[str, str]) -> bool:
    """Say what setting something right brings; whether it calls anything back. `called_back`: its words."""
    codes = brought.called_back
    told = [plural(len(codes), *called_back, codes=", ".join(codes))] if codes else []
    told += [
        plural(len(new), *say.STAYS_RELEASED, code=code, said=" ".join(new))
        for code, new in brought.new.items()
    ]
    parts.tell(" ".join(told))
    return bool(codes)


def _weighings(book: store.Book, shown: store.BatchPage) -> dict[str, str]:
    """Weighings by what tells them apart: grams, lot, and the cup of a tone, else the time."""
    lines = {line.id: line for line in shown.plan.lines}
    codes = {line.number: line.lot.code for line in store.lots(book)}
    found = {}
    for weighing in shown.weighings:
        line = lines.get(weighing.line)
        if weighing.stands and line is not None:
            grams = say.GRAMS_IN.format(grams=plain(weighing.weighed_g, 4))
            lot = codes.get(weighing.lot or 0, say.NO_LOT)
            told = ", ".join([grams, lot, line.cup if line.tone else _clock(weighing.at)])
            name = _fitting(parts.capital(line.name), told)
            found[f"w{weighing.number}"] = say.LINE_GRAMS.format(name=name, told=told)
    return found


def _fitting(text: str, beside: str) -> str:
    """A text as short as what stands beside it in a choice asks for."""
    return parts.short(text, max(LEAST, WIDE - len(beside)))


def _clock(moment: str) -> str:
    """Hour and minute of a moment; its day stands on the page."""
    return local_time(moment).partition(" ")[2]


def _entries(shown: store.BatchPage) -> dict[str, str]:
    heat_in = parts.heat_in()
    return {f"e{entry.number}": _words(shown, entry, heat_in) for entry in corrections.correctable(shown)}


def _buyers(shown: store.BatchPage) -> dict[str, str]:
    """Who bought, sale by sale, as the fields begin with it."""
    return {
        f"to-{entry.number}": str(entry.data.get("to", "")) for entry in shown.entries if entry.kind == "sale"
    }


def steps(shown: store.BatchPage, entry: store.BookEntry, heat_in: str) -> dict[str, str]:
    """Step id -> text of every step, as the kitchen said it when an entry was written.

    heat_in  "C" or "F"
    """
    return {step.id: in_degrees(step.text, step.heats, heat_in) for step in shown.told(entry).steps}


def _words(shown: store.BatchPage, entry: store.BookEntry, heat_in: str) -> str:
    """An entry in a few words: what it is about, and its figures; those before a text that is long."""
    figures = [
        say.FIGURE_OF.get(figure.key, "{figure}").format(figure=_shown(entry.data, figure))
        for figure in corrections.figures_of(entry)
    ]
    given = {"kind": say.ENTRIES.get(entry.kind, entry.kind), "at": _clock(entry.at)}
    about = steps(shown, entry, heat_in).get(entry.subject, entry.subject)
    fitting = _fitting(about, say.ENTRY.format(said=", ".join([*figures, ""]), **given))
    said = [about, *figures] if len(about) <= BRIEF else [*figures, fitting]
    return say.ENTRY.format(said=", ".join(filter(None, said)), **given)


def _heat_unit(figure: Figure) -> str:
    """The degree a figure is typed in; "" for what is no temperature."""
    return parts.heat_in() if figure.key == "celsius" else ""


def _shown(data: Mapping[str, Any], figure: Figure) -> str:
    heat = _heat_unit(figure)
    value = float(data.get(figure.key) or 0.0)
    if heat:
        return f"{plain(convert(value, 'C', heat), 2)} °{heat}"
    return f"{plain(value, 4)} {figure.unit}".strip()


def _weighing(book: store.Book, shown: store.BatchPage, number: int) -> None:
    weighing = next(found for found in shown.weighings if found.number == number)
    item = shown.plan.line(weighing.line).item
    lots: dict[int | None, str] = {None: say.AS_BEFORE}
    lots |= {line.number: stock_lots.lot_label(line) for line in store.lots(book, item)}
    lot = parts.one_of(say.LOT, lots, typed.key(FIX, "lot"))
    st.text_input(say.REALLY, key=typed.key(FIX, "figure"), placeholder=plain(weighing.weighed_g, 4))
    _why()

    def act(why: str) -> tuple[str, ...]:
        there = st.session_state[f"{FIX}figure"].strip()
        grams = book_answers.figure(f"{FIX}figure", "g", 0, 1_000_000) if there else weighing.weighed_g
        given: dict[str, Any] = {"shelf": memo.shelf(), "on": state.today()}
        return corrections.correct_weighing(book, shown.line.code, number, grams, why, lot, **given)

    _button(_form(shown.line.code, f"w{number}"), shown.line.code, say.ADD_CORRECTION, "put-fix", act)


def _entry(book: store.Book, shown: store.BatchPage, number: int) -> None:
    entry = next(found for found in shown.entries if found.number == number)
    figures, code = corrections.figures_of(entry), shown.line.code
    form = _form(code, f"e{number}")
    given: dict[str, Any] = {"shelf": memo.shelf(), "on": state.today()}
    for figure in figures:
        label = say.REALLY_OF.get(figure.key, say.REALLY_SO)
        field = typed.key(FIX, _field(entry, figure))
        st.text_input(label, key=field, placeholder=_shown(entry.data, figure))
    if entry.data.get("water_g") is not None:
        _water_lot(book, shown, entry)
    if entry.kind == "sale":
        st.text_input(sold.BUYER, key=typed.key(FIX, f"to-{number}"), max_chars=120)
    _why()

    def right(why: str) -> tuple[str, ...]:
        return corrections.correct_entry(book, code, number, _typed(entry, figures), why, **given)

    def back(why: str) -> tuple[str, ...]:
        return corrections.take_back(book, code, number, why, **given)

    with st.container(horizontal=True, gap="small"):
        if figures:
            _button(form, code, say.ADD_CORRECTION, "put-fix", right)
        _button(form, code, say.TAKE_BACK, "put-back", back)


def _field(entry: store.BookEntry, figure: Figure) -> str:
    """The name of the field of a figure: that of the first is the same for every kind."""
    return "figure" if figure == corrections.figures_of(entry)[0] else figure.key


def _water_lot(book: store.Book, shown: store.BatchPage, entry: store.BookEntry) -> None:
    """The lot that the water in the pot came from, another than before, or none."""
    line = pot.water_line(book, shown, memo.shelf())
    lots: dict[int | None, str] = {None: say.AS_BEFORE}
    if line is not None:
        lots |= {lot.number: stock_lots.lot_label(lot) for lot in store.lots(book, line.item)}
    if entry.data.get("lot") is not None:
        lots |= {NO_LOT: say.OF_NO_LOT}
    parts.one_of(say.LOT, lots, typed.key(FIX, "lot"))


def _typed(entry: store.BookEntry, figures: Sequence[Figure]) -> dict[str, Any]:
    """What was typed into the form of an entry; a figure left empty stays as it was."""
    ss = st.session_state
    said: dict[str, Any] = {
        figure.key: _read(f"{FIX}{_field(entry, figure)}", figure)
        for figure in figures
        if ss[f"{FIX}{_field(entry, figure)}"].strip()
    }
    if entry.kind == "sale":
        said["to"] = ss[f"{FIX}to-{entry.number}"].strip()
    chosen = ss.get(f"{FIX}lot")
    if entry.kind == "pot" and chosen is not None:
        said["lot"] = None if chosen == NO_LOT else chosen
    return said


def _read(key: str, figure: Figure) -> float | int:
    """A figure as it was typed, in her own degree."""
    heat = _heat_unit(figure)
    low, high = (convert(bound, "C", heat) if heat else bound for bound in (figure.low, figure.high))
    value = book_answers.figure(key, figure.unit, low, high)
    value = celsius(value, heat) if heat else value
    return plausible.whole(value) if figure.whole else value


def _why() -> None:
    st.text_input(say.WHY, key=typed.key(FIX, "why"), max_chars=200)


def _button(form: str, code: str, label: str, key: str, act: Callable[[str], tuple[str, ...]]) -> None:
    st.button(label, key=f"{key}-{form}", on_click=_do, args=(form, code, act))


def set_right(code: str, act: Callable[[], tuple[str, ...]]) -> None:
    """Set a batch right, and say what is called back by it or what new caution it brings."""
    book = memo.book()
    brought = corrections.brought(book, corrections.judged_with(book, code), memo.shelf(), act)
    tell_brought(brought, say.CORRECTED_CALLED_BACK)


@mishap.answered
def _do(form: str, code: str, act: Callable[[str], tuple[str, ...]]) -> None:
    def write() -> None:
        set_right(code, lambda: act(st.session_state[f"{FIX}why"]))
        typed.forget(form, FIX)

    book_answers.attempt("fix", write)
