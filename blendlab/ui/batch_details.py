"""Batch, what is asked for less often: additions, stocks, scales, foam, preservative."""

from __future__ import annotations

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.forms import spoons
from blendlab.recipe import Ref
from blendlab.shelf import Ingredient, Item, Scale
from blendlab.ui import echoes, memo, mishap, parts, state
from blendlab.ui.words import batch as say


def more(assessed: Assessment, made: Plan | None) -> None:
    """Everything of a batch that has a usual value."""
    with st.popover(say.MORE, type="tertiary"):
        _foam(assessed, made)
        _additions(assessed)
        _stocks(assessed)
        _scales(assessed)
    if made is not None and made.lines:
        with st.popover(say.SPOONS, type="tertiary"):
            _spoons(assessed, made)


def _foam(assessed: Assessment, made: Plan | None) -> None:
    overrun = assessed.design.batch.overrun_pct
    if overrun is None and assessed.resolved is not None:
        overrun = assessed.resolved.base.ref_overrun_pct
    overfill = made.overfill_pct if made else None
    parts.number_field(say.OVERRUN, "batch.overrun_pct", "%", 0, 400, False, value=overrun)
    parts.number_field(say.OVERFILL, "batch.overfill_pct", "%", 0, 50, False, value=overfill)
    parts.number_field(say.BOWL, "batch.bowl_ml", "ml", 10, 1_000_000, False)
    kept = made.preservative if made else None
    if kept is not None:
        wanted = say.WANTED.format(name=kept.name)
        parts.number_field(wanted, "batch.preservative_pct", "%", 0, 20, False, value=kept.wanted_pct)


def _ref(item: Item) -> dict[str, str]:
    return {"kind": item.kind, "id": item.id, "rev": item.rev}


def _additions(assessed: Assessment) -> None:
    known = {ingredient.id: ingredient.name for ingredient in memo.shelf().of("ingredient")}
    for at, addition in enumerate(assessed.design.batch.additions):
        name = known.get(addition.ingredient.id, addition.ingredient.id)
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="bottom", gap="small", key=f"addition-{at}"
        ):
            label = say.ADDITION.format(name=name)
            parts.number_field(label, f"batch.additions.{at}.pct", "%", 0, 100, False)
            _drop_button("additions", at, say.TAKE_OUT.format(name=name))
    options = {"": say.STIR_SOMETHING, **known}
    parts.pick(say.STIR, options, "add-addition", hide_label=True, value="", write=_add_addition)


def _add_addition(chosen: str) -> None:
    if chosen:
        ref = _ref(memo.on_shelf(Ingredient, chosen))
        addition = {"ingredient": ref, "pct": 0.0}
        state.change(say.UNDO_ADDITION, lambda design: design["batch"]["additions"].append(addition))


def _drop_button(which: str, at: int, help: str) -> None:
    st.button("✕", key=f"drop-{which}-{at}", type="tertiary", help=help, on_click=_drop, args=(which, at))


@mishap.answered
def _drop(which: str, at: int) -> None:
    state.change(say.UNDO_DROP, lambda design: design["batch"][which].pop(at))


def _stocks(assessed: Assessment) -> None:
    for at, stock in enumerate(assessed.design.batch.dilutions):
        name, carrier = _name(assessed, stock.of), _name(assessed, stock.carrier)
        said = say.WEIGHED_AS.format(name=parts.capital(name), pct=stock.pct, carrier=carrier.lower())
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"stock-{at}"
        ):
            parts.small(said)
            _drop_button("dilutions", at, say.WEIGH_PURE.format(name=name))


def _name(assessed: Assessment, ref: Ref) -> str:
    """Name of a thing that the design uses; what nobody has is told by its id."""
    item = assessed.resolved.item(ref.kind, ref.id) if assessed.resolved is not None else None
    return ref.id if item is None else item.name


def _scales(assessed: Assessment) -> None:
    known = {
        scale.id: say.SCALE.format(name=scale.name, step=scale.step_g) for scale in memo.shelf().of("scale")
    }
    chosen = [ref.id for ref in assessed.design.batch.scales] or list(known)
    key = "batch-scales"
    echoes.put(key, [scale for scale in chosen if scale in known])

    def commit() -> None:
        refs = [_ref(memo.on_shelf(Scale, scale)) for scale in st.session_state[key]]
        state.assign({"batch.scales": refs if len(refs) < len(known) else []}, say.UNDO_SCALES)

    st.pills(
        say.SCALES,
        list(known),
        format_func=known.__getitem__,
        selection_mode="multi",
        key=key,
        on_change=echoes.edited(key, commit),
    )


def _spoons(assessed: Assessment, made: Plan) -> None:
    """A dose somebody wrote in spoons: its grams with their range; a preservative is refused."""
    known = {
        line.id: say.LINE_IN_CUP.format(name=parts.capital(line.name), cup=line.cup)
        for line in made.lines
        if line.what in spoons.LINES
    }
    line = st.selectbox(
        say.LINE, list(known), format_func=known.__getitem__, key="spoon-line", persist_state="session"
    )
    count, unit = st.columns(2, gap="small")
    count.text_input(say.HOW_MANY, key="spoon-count", placeholder=say.HOW_MANY_HINT, persist_state="session")
    unit.selectbox(
        say.OF,
        list(spoons.UNITS),
        format_func=spoons.UNITS.__getitem__,
        key="spoon-unit",
        persist_state="session",
    )
    st.checkbox(say.HEAPED, key="spoon-heaped", persist_state="session")
    typed = (st.session_state.get("spoon-count") or "").strip()
    if not typed or line is None:
        parts.small(say.SPOONS_DIFFER)
        return
    ss = st.session_state
    found, problem = spoons.grams(
        made, line, typed, ss["spoon-unit"], bool(ss["spoon-heaped"]), state.shelf()
    )
    if found is None:
        parts.alert(problem)
        return
    parts.small(found.words)
    path = spoons.path_of(assessed.design, made.line(line))
    if path and found.pct is not None:
        pct = units.digits(found.pct)
        st.button(
            say.TAKE_MIDDLE.format(pct=pct),
            on_click=state.assign,
            args=({path: found.pct}, say.UNDO_DOSE.format(pct=pct)),
        )
