"""Look: the tones, how they sit in the jar, and the jar itself, always in sight."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import recipe, units
from blendlab.assess import Assessment, ToneJudged
from blendlab.errors import NO_REFERENCE, PLANNING
from blendlab.forms import tones as bench
from blendlab.recipe import SHARED
from blendlab.show import pictures
from blendlab.ui import (
    arrangement_fields,
    compare,
    echoes,
    export,
    lamps,
    memo,
    mixes,
    parts,
    reach,
    state,
    trials,
    words,
)

FRONT_PX = (760, 700)
CHECK_PX = (420, 360)
ABOVE_PX = (300, 300)
WALL_PX = (420, 170)
SIDES = {"wall": "wall, rolled out", "cut": "cut open"}
WEEKS = (0.0, 26.0)


def page(assessed: Assessment) -> None:
    """Draw the page for an assessed design."""
    left, right = st.columns([5, 7], gap="medium")
    with right, st.container(key="sight"):  # first: the picture is on its way while the rest is built
        _panel(assessed)
        below = st.container(key="below")
    with left, st.container(key="bench"):
        _tones(assessed)
        _in_the_jar(assessed)
    with below:
        with st.container(key="viewbar"):
            _view()
        parts.findings(assessed.findings, "look", words.CLEAR)
        parts.small(f"{PLANNING} {NO_REFERENCE}")
        export.block(assessed)
        with _folded("Beside a photo, or before the last change", "beside") as opened:
            if opened.open:
                compare.with_before(assessed)
                compare.photo_of(assessed)
        with _folded("Weak or strong, and is your screen right", "ends") as opened:
            if opened.open and assessed.layout is not None:
                end = export.ends(assessed)
                said = f"{pictures.describe(assessed, state.shelf())} Shown {end}."
                st.image(export.shifted(assessed, end, CHECK_PX), width=CHECK_PX[0], alt=said)
                reach.screen_check(assessed.design)
        parts.onward("Next: the scent", "scent")


def _tones(assessed: Assessment) -> None:
    with st.container(horizontal=True, vertical_alignment="center", key="tones-head"):
        parts.heading("Tones, top of the jar first")
        st.button("Add a tone", type="tertiary", on_click=_add_tone)
    opened = _open_tone(assessed)
    for position, judged in enumerate(assessed.tones):
        if judged.tone.id == opened:
            with st.container(border=True, key="tone-open"):
                _row(position, judged, opened=True)
                _edit(position, judged, assessed)
        else:
            _row(position, judged, opened=False)


def _open_tone(assessed: Assessment) -> str:
    ids = [judged.tone.id for judged in assessed.tones]
    chosen = st.session_state.open_tone
    return chosen if chosen in ids else (ids[0] if ids else "")


def _row(position: int, judged: ToneJudged, opened: bool) -> None:
    tone = judged.tone
    shelf = state.shelf()
    doses = " · ".join(
        f"{shelf.find(dose.pigment).name} {units.plain(dose.pct)} %"
        for dose in tone.doses
        if shelf.has(dose.pigment)
    )
    with st.container(
        key=f"tone-{tone.id}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        st.html(_swatch(judged), width="content")
        st.html(
            f'<p class="bl-tone"><b>{escape(tone.name)}</b><br>'
            f"<small>{escape(doses or 'no pigment')}</small></p>"
        )
        if opened:
            label = f"Share of {tone.name}, percent by weight of the jar"
            parts.number_field(label, f"tones.{position}.share_pct", "%", 0, 100, width=92)
        else:
            st.html(f'<p class="bl-share">{units.plain(tone.share_pct, 2)} %</p>', width="content")
            st.button("Edit", key=f"edit-{tone.id}", type="tertiary", on_click=_open, args=(tone.id,))


def _swatch(judged: ToneJudged) -> str:
    """The tone's weak | likely | strong swatch."""
    delta_e = judged.spread.delta_e00
    return parts.swatch(judged.tone.name, *pictures.hexes(judged), delta_e, bool(judged.seen.in_gamut))


def _open(tone_id: str) -> None:
    st.session_state.open_tone = tone_id


def _edit(position: int, judged: ToneJudged, assessed: Assessment) -> None:
    tone, count = judged.tone, len(assessed.tones)
    st.html(f'<p class="bl-small">{escape(_numbers(judged))}</p>')
    pigments = {one.id: f"{one.name} ({one.known})" for one in memo.shelf().of("pigment")}
    for dose in range(len(tone.doses)):
        _dose(position, dose, judged, pigments)
    with st.container(horizontal=True, key="tone-acts"):
        st.button("Add a pigment", type="tertiary", on_click=_add_dose, args=(position,))
        mixes.button(assessed, position)
        trials.button(assessed, position)
        with st.popover("Rename, move", type="tertiary"):
            _rename(position, tone.name, count)
        st.button(
            "Remove tone",
            type="tertiary",
            disabled=count < 2,
            help=words.ONE_TONE if count < 2 else None,
            on_click=_remove_tone,
            args=(position,),
        )


def _numbers(judged: ToneJudged) -> str:
    seen, spread = judged.seen, judged.spread
    lab = ", ".join(f"{one:.1f}" for one in seen.lab)
    said = f"{seen.hex} · L*a*b* {lab} · {words.KNOWN[judged.tint.known]}"
    said += f" · spread ΔE {spread.delta_e00:.1f}. {words.SEAM}"
    if not seen.in_gamut:
        said += f" {words.GAMUT}"
    return said


def _dose(position: int, dose: int, judged: ToneJudged, pigments: dict[str, str]) -> None:
    path = f"tones.{position}.doses.{dose}"
    current = judged.tone.doses[dose]
    shelf = state.shelf()
    cap = shelf.find(current.pigment).cap_pct if shelf.has(current.pigment) else 1.0
    name = pigments.get(current.pigment.id, current.pigment.id)
    label = f"{name}, percent of {judged.tone.name}"
    with st.container(
        key=f"dose-{position}-{dose}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        with st.container(key=f"which-{position}-{dose}"):
            parts.pick(
                f"Pigment {dose + 1} of {judged.tone.name}",
                pigments,
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
            help=f"Take {name} out",
            on_click=_drop_dose,
            args=(position, dose),
        )


def _choose(path: str, pigment_id: str) -> None:
    item = memo.shelf().today("pigment", pigment_id)
    ref = {"kind": "pigment", "id": item.id, "rev": item.rev}
    state.assign({f"{path}.pigment": ref}, f"Pigment {item.name}")


def _rename(position: int, name: str, count: int) -> None:
    key = f"t.tones.{position}.name"
    echoes.put(key, name)
    st.text_input(
        "Name of the tone",
        key=key,
        max_chars=60,
        on_change=echoes.edited(
            key,
            lambda: state.assign(
                {f"tones.{position}.name": st.session_state[key] or "unnamed"}, "Name of a tone"
            ),
        ),
    )
    up, down = st.columns(2)
    up.button("Move up", disabled=position == 0, on_click=_swap, args=(position, position - 1))
    down.button("Move down", disabled=position == count - 1, on_click=_swap, args=(position, position + 1))


def _swap(one: int, other: int) -> None:
    def edit(design: dict) -> None:
        tones = design["tones"]
        tones[one], tones[other] = tones[other], tones[one]

    state.change("Order of the tones", edit)


def _add_tone() -> None:
    tone_id = bench.free_tone_id(state.design())

    def edit(design: dict) -> None:
        share = bench.room_for_a_tone(state.design())
        for tone in design["tones"]:
            tone["share_pct"] = share.others[tone["id"]]
        design["tones"].insert(0, {"id": tone_id, "name": "White", "share_pct": share.new, "doses": []})

    state.change("A new tone", edit)
    st.session_state.open_tone = tone_id


def _remove_tone(position: int) -> None:
    def edit(design: dict) -> None:
        gone = design["tones"].pop(position)
        if design["top"]["tone"] == gone["id"]:
            design["top"]["tone"] = SHARED

    state.change("A tone taken out", edit)


def _add_dose(position: int) -> None:
    used = {dose["pigment"]["id"] for dose in state.at(f"tones.{position}.doses")}
    item = next((one for one in memo.shelf().of("pigment") if one.id not in used), None)
    if item is None:
        return

    def edit(design: dict) -> None:
        ref = {"kind": "pigment", "id": item.id, "rev": item.rev}
        design["tones"][position]["doses"].append({"pigment": ref, "pct": 0.0})

    state.change("A pigment more", edit)


def _drop_dose(position: int, dose: int) -> None:
    state.change("A pigment less", lambda design: design["tones"][position]["doses"].pop(dose))


def _in_the_jar(assessed: Assessment) -> None:
    parts.heading("In the jar")
    kinds = arrangement_fields.KINDS
    parts.pick("Arrangement", kinds, "arrangement.kind", segments=True, write=_arrange(assessed))
    arrangement_fields.arrangement_details(assessed)
    top, dust = st.columns([5, 6], gap="small")
    with top:
        parts.pick("Top", words.TOPS, "top.kind", segments=True)
    with dust:
        _dust()
    jar, tone = st.columns([6, 5], gap="small")
    with jar:
        jars = {one.id: one.name for one in memo.shelf().of("jar")}
        parts.pick("Jar", jars, "jar.id", write=lambda chosen: _take("jar", chosen))
    with tone:
        tones = {SHARED: "all tones", **{one["id"]: one["name"] for one in state.at("tones")}}
        parts.pick("Tone of the top", tones, "top.tone")
    with _folded("Choose by picture", "by-picture") as opened:
        if opened.open:
            arrangement_fields.arrangement_picker(assessed)
            arrangement_fields.top_picker(assessed)
    with _folded("Top, fill and what the jar holds", "holds") as opened:
        if opened.open:
            arrangement_fields.top_details(assessed)
            arrangement_fields.sunk()
            arrangement_fields.holds(assessed)


def _folded(label: str, key: str):
    """A fold whose inside is built only while it is open."""
    return st.expander(label, key=f"fold-{key}", on_change="rerun")


def _arrange(assessed: Assessment):
    return lambda kind: arrangement_fields.take_arrangement(kind, assessed)


def _dust() -> None:
    micas = {
        one.id: one.name
        for one in memo.shelf().of("pigment")
        if "pearl" in one.group or one.group == "interference"
    }
    current = state.at("top.dust")

    def write(chosen: str) -> None:
        if chosen == "none":
            state.assign({"top.dust": None}, "No dust")
        else:
            item = memo.shelf().today("pigment", chosen)
            ref = {"kind": "pigment", "id": item.id, "rev": item.rev}
            dose = (
                current["mg_per_cm2"] if current else recipe.Dust.__dataclass_fields__["mg_per_cm2"].default
            )
            state.assign({"top.dust": {"pigment": ref, "mg_per_cm2": dose}}, f"Dust: {item.name}")

    value = current["pigment"]["id"] if current else "none"
    parts.pick("Dust", {"none": "none", **micas}, "top.dust", value=value, write=write)


def _take(kind: str, item_id: str) -> None:
    item = memo.shelf().today(kind, item_id)
    state.assign({kind: {"kind": kind, "id": item.id, "rev": item.rev}}, item.name)


def _view() -> None:
    turn, lamp, eye, weeks, light = st.columns([5, 5, 5, 5, 4], gap="small")
    with turn:
        parts.slide("Turn, degrees", "view.turn_deg", 0.0, 355.0, 5.0, "°", hide_label=False)
    with lamp:
        parts.pick("Lamp", words.LAMPS, "view.lamp")
    with eye:
        parts.pick("Eye", words.EYES, "view.eye")
    with weeks:
        parts.slide("Weeks on the shelf", "weeks", *WEEKS, 1.0, "weeks", hide_label=False)
    with light:
        parts.pick("Light", words.MODES, "view.mode")


def _panel(assessed: Assessment) -> None:
    if assessed.layout is None:
        parts.small("No jar to draw: choose a jar and a base that are on the shelf.")
        return
    shelf = state.shelf()
    with st.container(key="panel", horizontal=True, gap=None):
        with st.container(key="front"):
            said = pictures.describe(assessed, shelf)
            st.image(memo.picture(assessed, shelf, "front", FRONT_PX), width="stretch", alt=said)
        with st.container(key="side"):
            above = pictures.describe(assessed, shelf, "above")
            st.image(memo.picture(assessed, shelf, "above", ABOVE_PX), width="stretch", alt=above)
            st.html('<p class="bl-caption">from above</p>')
            side = "cut" if assessed.layout.solid.rule.inside else "wall"
            said = pictures.describe(assessed, shelf, side)
            st.image(memo.picture(assessed, shelf, side, WALL_PX), width="stretch", alt=said)
            st.html(f'<p class="bl-caption">{SIDES[side]}</p>')
    with st.container(key="caption", horizontal=True, vertical_alignment="center"):
        parts.small(pictures.caption(assessed))
        lamps.button(assessed)
