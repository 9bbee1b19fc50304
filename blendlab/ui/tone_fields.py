"""The tones of the jar, top first: their colours, and one of them open with its pigments."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment, ToneJudged
from blendlab.recipe import SHARED
from blendlab.recipe import tones as bench
from blendlab.shelf import DosedTone, Pigment
from blendlab.show import pictures
from blendlab.ui import echoes, memo, mishap, mixes, parts, state, trials, words
from blendlab.ui.words import look as say

UNKNOWN_CAP_PCT = 1.0
"""End of the slider of a pigment that is not on the shelf."""


def tones(assessed: Assessment) -> None:
    """Every tone in a row of its own, one of them open."""
    with st.container(horizontal=True, vertical_alignment="center", key="tones-head"):
        parts.heading(say.TONES)
        st.button(say.ADD_TONE, type="tertiary", on_click=_add_tone)
    opened = _open_tone(assessed)
    placed = assessed.resolved.tones if assessed.resolved else ()
    for position, (judged, tone) in enumerate(zip(assessed.tones, placed, strict=True)):
        if judged.tone.id == opened:
            with st.container(border=True, key="tone-open"):
                _row(position, judged, tone, opened=True)
                _edit(position, judged, tone, assessed)
        else:
            _row(position, judged, tone, opened=False)


def _open_tone(assessed: Assessment) -> str:
    ids = [judged.tone.id for judged in assessed.tones]
    chosen: str = st.session_state.open_tone
    return chosen if chosen in ids else (ids[0] if ids else "")


def _row(position: int, judged: ToneJudged, placed: DosedTone, opened: bool) -> None:
    tone = judged.tone
    doses = " · ".join(
        say.DOSE.format(pigment=dose.pigment.name, pct=units.plain(dose.pct)) for dose in placed.doses
    )
    with st.container(
        key=f"tone-{tone.id}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        st.html(_swatch(judged), width="content")
        told = f"<b>{escape(tone.name)}</b><br><small>{escape(doses or say.NO_PIGMENT)}</small>"
        st.html(f'<p class="bl-tone">{told}</p>')
        if opened:
            label = say.SHARE_OF.format(tone=tone.name)
            parts.number_field(label, f"tones.{position}.share_pct", "%", 0, 100, width=92)
        else:
            st.html(f'<p class="bl-share">{units.plain(tone.share_pct, 2)} %</p>', width="content")
            st.button(say.EDIT, key=f"edit-{tone.id}", type="tertiary", on_click=_open, args=(tone.id,))


def _swatch(judged: ToneJudged) -> str:
    """The tone's weak | likely | strong swatch."""
    delta_e = judged.spread.delta_e00
    return parts.swatch(judged.tone.name, *pictures.hexes(judged), delta_e, bool(judged.seen.in_gamut))


@mishap.answered
def _open(tone_id: str) -> None:
    st.session_state.open_tone = tone_id


def _edit(position: int, judged: ToneJudged, placed: DosedTone, assessed: Assessment) -> None:
    tone, count = judged.tone, len(assessed.tones)
    parts.small(_numbers(judged, say.SEAM if count > 1 else ""))
    names = {
        pigment.id: say.PIGMENT_KNOWN.format(pigment=pigment.name, known=words.KNOWN[pigment.known])
        for pigment in memo.shelf().of("pigment")
    }
    found = {dose.at: dose.pigment for dose in placed.doses}
    for dose in range(len(tone.doses)):
        _dose(position, dose, judged, found.get(dose), names)
    with st.container(horizontal=True, key="tone-acts"):
        st.button(say.ADD_PIGMENT, type="tertiary", on_click=_add_dose, args=(position,))
        mixes.button(assessed, position)
        trials.button(assessed, position)
        with st.popover(say.RENAME_MOVE, type="tertiary"):
            _rename(position, assessed.design.tones[position].name, count)
        st.button(
            say.REMOVE_TONE,
            type="tertiary",
            disabled=count < 2,
            help=say.ONE_TONE if count < 2 else None,
            on_click=_remove_tone,
            args=(position,),
        )


def _numbers(judged: ToneJudged, seam: str) -> str:
    seen, spread = judged.seen, judged.spread
    said = say.NUMBERS.format(
        hex=seen.hex,
        lab=", ".join(f"{coordinate:.1f}" for coordinate in seen.lab),
        known=words.KNOWN[judged.tint.known],
        delta_e=spread.delta_e00,
        seam=seam,
    ).strip()
    return said if seen.in_gamut else f"{said} {say.GAMUT}"


def _dose(
    position: int, dose: int, judged: ToneJudged, pigment: Pigment | None, names: dict[str, str]
) -> None:
    """One pigment and its percent; `pigment` None = nobody has it, `names`: what else there is."""
    path = f"tones.{position}.doses.{dose}"
    wanted, tone = judged.tone.doses[dose].pigment, judged.tone.name
    cap = pigment.cap_pct if pigment else UNKNOWN_CAP_PCT
    name = names.get(wanted.id, wanted.id)
    label = say.DOSE_OF.format(pigment=name, tone=tone)
    with st.container(
        key=f"dose-{position}-{dose}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        with st.container(key=f"which-{position}-{dose}"):
            parts.pick(
                say.PIGMENT_OF.format(number=dose + 1, tone=tone),
                names,
                f"{path}.pigment.id",
                hide_label=True,
                write=lambda chosen: _choose(path, chosen),
            )
        with st.container(key=f"feel-{position}-{dose}"):
            parts.slide(label, f"{path}.pct", 0.0, cap, units.fine_step(cap), "%")
        parts.number_field(label, f"{path}.pct", "%", 0, 100, width=92)
        st.button(
            "✕",
            key=f"drop-{position}-{dose}",
            type="tertiary",
            help=say.TAKE_OUT_PIGMENT.format(pigment=name),
            on_click=_drop_dose,
            args=(position, dose),
        )


def _choose(path: str, pigment_id: str) -> None:
    pigment = memo.on_shelf(Pigment, pigment_id)
    done = say.DONE_PIGMENT.format(pigment=pigment.name)
    state.assign({f"{path}.pigment": state.reference(pigment)}, done)


def _rename(position: int, name: str, count: int) -> None:
    key = f"t.tones.{position}.name"
    echoes.put(key, name)

    def renamed() -> None:
        typed = st.session_state[key] or words.UNNAMED
        state.assign({f"tones.{position}.name": typed}, say.DONE_NAME)

    st.text_input(say.NAME_OF_TONE, key=key, max_chars=60, on_change=echoes.edited(key, renamed))
    up, down = st.columns(2)
    up.button(say.MOVE_UP, disabled=position == 0, on_click=_swap, args=(position, position - 1))
    down.button(say.MOVE_DOWN, disabled=position == count - 1, on_click=_swap, args=(position, position + 1))


@mishap.answered
def _swap(here: int, there: int) -> None:
    def edit(design: dict[str, Any]) -> None:
        order = design["tones"]
        order[here], order[there] = order[there], order[here]

    state.change(say.DONE_ORDER, edit)


@mishap.answered
def _add_tone() -> None:
    tone_id = bench.free_tone_id(state.design())

    def edit(design: dict[str, Any]) -> None:
        share = bench.room_for_a_tone(state.design())
        for tone in design["tones"]:
            tone["share_pct"] = share.others[tone["id"]]
        name = bench.free_name(say.NEW_TONE, [tone["name"] for tone in design["tones"]])
        white = {"id": tone_id, "name": name, "share_pct": share.new, "doses": []}
        design["tones"].insert(0, white)

    state.change(say.DONE_NEW_TONE, edit)
    st.session_state.open_tone = tone_id


@mishap.answered
def _remove_tone(position: int) -> None:
    def edit(design: dict[str, Any]) -> None:
        gone = design["tones"].pop(position)
        if design["top"]["tone"] == gone["id"]:
            design["top"]["tone"] = SHARED

    state.change(say.DONE_TONE_OUT, edit)


@mishap.answered
def _add_dose(position: int) -> None:
    used = {dose["pigment"]["id"] for dose in state.at(f"tones.{position}.doses")}
    unused = next((pigment for pigment in memo.shelf().of("pigment") if pigment.id not in used), None)
    if unused is None:
        return
    dose = {"pigment": state.reference(unused), "pct": 0.0}
    state.change(say.DONE_PIGMENT_MORE, lambda design: design["tones"][position]["doses"].append(dose))


@mishap.answered
def _drop_dose(position: int, dose: int) -> None:
    state.change(say.DONE_PIGMENT_LESS, lambda design: design["tones"][position]["doses"].pop(dose))
