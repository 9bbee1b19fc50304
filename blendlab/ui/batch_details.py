"""Batch, what is asked for less often: additions, stocks, scales, foam, preservative; rates and prices."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.forms import spoons
from blendlab.production import money, settings
from blendlab.ui import echoes, memo, parts, state

RATES = (
    ("minutes", "Work, minutes a batch", "min"),
    ("per_h", "An hour of work", ""),
    ("overhead", "Overhead of a batch", ""),
    ("label", "Label and seal of a jar", ""),
    ("parcel", "Parcel share of a jar", ""),
    ("fixed_fee", "Fee of a sale", ""),
    ("fee", "Fee, % of the gross price", "%"),
    ("vat", "VAT, %", "%"),
    ("margin", "Margin, % of the net price", "%"),
)


def more(assessed: Assessment, made: Plan | None) -> None:
    """Everything of a batch that has a usual value."""
    with st.popover("Additions, stocks, scales, foam", type="tertiary"):
        _foam(assessed, made)
        _additions(assessed)
        _stocks(assessed)
        _scales(assessed)
    if made is not None and made.lines:
        with st.popover("Spoons and drops", type="tertiary"):
            _spoons(assessed, made)


def _foam(assessed: Assessment, made: Plan | None) -> None:
    base = state.shelf().find(assessed.design.base) if state.shelf().has(assessed.design.base) else None
    overrun = assessed.design.batch.overrun_pct
    shown = base.ref_overrun_pct if overrun is None and base is not None else overrun
    parts.number_field("Overrun, %", "batch.overrun_pct", "%", 0, 400, False, value=shown)
    parts.number_field(
        "Overfill of a jar, %",
        "batch.overfill_pct",
        "%",
        0,
        50,
        False,
        value=made.overfill_pct if made else None,
    )
    parts.number_field("Bowl of the mixer, ml", "batch.bowl_ml", "ml", 10, 1_000_000, False)
    kept = made.preservative if made else None
    if kept is not None:
        parts.number_field(
            f"{kept.name} wanted, % of the finished product",
            "batch.preservative_pct",
            "%",
            0,
            20,
            False,
            value=kept.wanted_pct,
        )


def _ingredients() -> dict[str, str]:
    return {one.id: one.name for one in memo.shelf().of("ingredient")}


def _ref(kind: str, item_id: str) -> dict[str, str]:
    item = memo.shelf().today(kind, item_id)
    return {"kind": kind, "id": item.id, "rev": item.rev}


def _additions(assessed: Assessment) -> None:
    known = _ingredients()
    for at, one in enumerate(assessed.design.batch.additions):
        name = known.get(one.ingredient.id, one.ingredient.id)
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="bottom", gap="small", key=f"addition-{at}"
        ):
            parts.number_field(f"{name}, % of the product", f"batch.additions.{at}.pct", "%", 0, 100, False)
            st.button(
                "✕",
                key=f"drop-addition-{at}",
                type="tertiary",
                help=f"Take {name} out",
                on_click=_drop,
                args=("additions", at),
            )
    options = {"": "Stir something in", **known}
    parts.pick("Stir in", options, "add-addition", hide_label=True, value="", write=_add_addition)


def _add_addition(chosen: str) -> None:
    if chosen:
        one = {"ingredient": _ref("ingredient", chosen), "pct": 0.0}
        state.change("An addition more", lambda design: design["batch"]["additions"].append(one))


def _drop(which: str, at: int) -> None:
    state.change("One taken out", lambda design: design["batch"][which].pop(at))


def _stocks(assessed: Assessment) -> None:
    for at, one in enumerate(assessed.design.batch.dilutions):
        shelf = state.shelf()
        name = shelf.find(one.of).name if shelf.has(one.of) else one.of.id
        carrier = shelf.find(one.carrier).name if shelf.has(one.carrier) else one.carrier.id
        with st.container(
            horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"stock-{at}"
        ):
            parts.small(
                f"{parts.capital(name)}: weighed as {one.pct:g} % in {carrier.lower()}; stir it before use."
            )
            st.button(
                "✕",
                key=f"drop-stock-{at}",
                type="tertiary",
                help=f"Weigh {name} pure",
                on_click=_drop,
                args=("dilutions", at),
            )


def _scales(assessed: Assessment) -> None:
    known = {one.id: f"{one.name}, {one.step_g:g} g steps" for one in memo.shelf().of("scale")}
    chosen = [ref.id for ref in assessed.design.batch.scales] or list(known)
    key = "batch-scales"
    echoes.put(key, [one for one in chosen if one in known])

    def commit() -> None:
        refs = [_ref("scale", one) for one in st.session_state[key]]
        state.assign({"batch.scales": refs if len(refs) < len(known) else []}, "Scales")

    st.pills(
        "Scales to use",
        list(known),
        format_func=known.__getitem__,
        selection_mode="multi",
        key=key,
        on_change=echoes.edited(key, commit),
    )


def _spoons(assessed: Assessment, made: Plan) -> None:
    """A dose somebody wrote in spoons: its grams with their range; a preservative is refused."""
    known = {
        one.id: f"{parts.capital(one.name)}, {one.cup}" for one in made.lines if one.what in spoons.LINES
    }
    line = st.selectbox("Line", list(known), format_func=known.__getitem__, key="spoon-line")
    count, unit = st.columns(2, gap="small")
    count.text_input("How many", key="spoon-count", placeholder="1/2 is 0.5")
    unit.selectbox("of", list(spoons.UNITS), format_func=spoons.UNITS.__getitem__, key="spoon-unit")
    st.checkbox("Heaped", key="spoon-heaped")
    typed = (st.session_state.get("spoon-count") or "").strip()
    if not typed or line is None:
        parts.small("One spoonful of the same mica can be two and a half times another: weigh what you can.")
        return
    ss = st.session_state
    found, problem = spoons.grams(
        made, line, typed, ss["spoon-unit"], bool(ss["spoon-heaped"]), state.shelf()
    )
    if found is None:
        st.html(f'<p class="bl-bad" role="alert">{escape(problem)}</p>')
        return
    parts.small(found.words)
    path = spoons.path_of(assessed.design, made.line(line))
    if path and found.pct is not None:
        said = f"{units.digits(found.pct)} % of the portion"
        st.button(f"Take the middle: {said}", on_click=state.assign, args=({path: found.pct}, f"Dose {said}"))


def costs(assessed: Assessment, made: Plan) -> None:
    """What a jar costs, what it sells for, and the rates behind it."""
    parts.heading("A jar costs")
    kept, shelf = settings.settings(state.folder()), state.shelf()
    told, problem = money.costs(made, shelf, kept.rates, assessed.design.jar.id)
    if told is None:
        st.html(f'<p class="bl-bad" role="alert">{escape(problem)}</p>')
    else:
        parts.rows(money.cost_rows(made, told, kept, assessed.design.jar.id, shelf))
        for sentence in money.price_words(told, kept):
            parts.small(sentence)
    with st.container(horizontal=True, gap="small"):
        with st.popover("Rates and fees", type="tertiary"):
            _rates(kept)
        if told is not None and told.lines:
            with st.popover("By line", type="tertiary"):
                parts.rows(
                    [
                        (parts.capital(name), f"{one:.2f} {kept.currency} a batch")
                        for name, one in told.lines.items()
                    ]
                )


def _rates(kept: settings.Settings) -> None:
    for leaf, label, unit in RATES:
        value = getattr(kept.rates, leaf)
        share = leaf in settings.SHARES
        parts.number_field(
            label if share or leaf == "minutes" else f"{label}, {kept.currency}",
            f"rates.{leaf}",
            unit,
            0,
            99.9 if share else 1_000_000,
            False,
            value=settings.shown_rate(value, share),
            write=_keep_rate(leaf, share),
        )
    parts.number_field(
        "or mark-up, % on the cost",
        "rates.markup",
        "%",
        0,
        100_000,
        False,
        value=settings.shown_markup(kept.rates),
        write=lambda figure: parts.tell(settings.set_markup(state.folder(), figure)),
    )
    parts.number_field(
        f"Fixed costs a year, {kept.currency}",
        "rates.fixed_per_year",
        "",
        0,
        10_000_000,
        False,
        value=float(kept.fixed_per_year),
        write=lambda figure: parts.tell(
            settings.set_setting(state.folder(), "fixed_per_year", units.plain(figure))
        ),
    )
    st.text_input("Currency", value=kept.currency, key="set-currency", max_chars=5, on_change=_currency)


def _keep_rate(leaf: str, share: bool):
    return lambda figure: parts.tell(settings.set_rate(state.folder(), leaf, figure, share))


def _currency() -> None:
    typed = st.session_state["set-currency"].strip().upper() or "EUR"
    parts.tell(settings.set_setting(state.folder(), "currency", typed))
