"""Widgets and small drawings that two or more pages use."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape
from math import inf
from textwrap import shorten
from typing import Any, TypeVar

import streamlit as st

from blendlab.errors import LEVELS, MARKS, BlendlabError, Finding, counted
from blendlab.production import settings
from blendlab.ui import echoes, mishap, opening, state, words
from blendlab.units import in_degrees, plain, read_number

Beside = Callable[[Finding, str], None]
Chosen = TypeVar("Chosen")
SHOWN_UNITS = ("%", "mm", "g", "mg/cm2")


def capital(name: str) -> str:
    """A name with a capital at its start, for headings and lists."""
    return name[:1].upper() + name[1:]


def currency() -> str:
    """What her prices are in."""
    return settings.settings(state.folder()).currency


def heat_in() -> str:
    """The degree she reads temperatures in: "C" or "F"."""
    return settings.settings(state.folder()).heat_in


def number_field(
    label: str,
    path: str,
    unit: str,
    low: float = 0.0,
    high: float = inf,
    hide_label: bool = True,
    write: Callable[[float], None] | None = None,
    value: float | str | None = None,
    width: int | str = "stretch",
) -> None:
    """Text entry for one figure of the design; a wrong or two-faced figure is answered under it.

    path   dotted path in the design, also the key of the field
    write  what to do with the figure; by default it is set at `path`
    value  figure to show, "" for none; by default that at `path`
    """
    key = f"n.{path}"
    answered = st.session_state.bad.get(key)
    shown = state.at(path) if value is None else value
    echoes.put(key, answered["typed"] if answered else _with_unit(shown, unit))
    st.text_input(
        label,
        key=key,
        on_change=echoes.edited(key, _read),
        args=(key, label, path, unit, low, high, write),
        label_visibility="collapsed" if hide_label else "visible",
        width=width,
    )
    if answered:
        alert(answered["answer"])


def _with_unit(value: float | str | None, unit: str) -> str:
    if value is None or isinstance(value, str):
        return value or ""
    return f"{plain(value)} {unit}" if unit in SHOWN_UNITS else plain(value)


def _read(
    key: str, label: str, path: str, unit: str, low: float, high: float, write: Callable[[float], None] | None
) -> None:
    typed = st.session_state[key]
    others = {field: answer for field, answer in st.session_state.bad.items() if field != key}
    try:
        figure = read_number(typed, unit, low, high)
    except BlendlabError as problem:
        st.session_state.bad = {**others, key: {"typed": typed, "answer": str(problem)}}
        return
    st.session_state.bad = others
    if write:
        _answered()
        write(figure)
    else:
        done = words.TYPED.format(label=label, figure=plain(figure), unit=unit)
        state.assign({path: figure}, done)


def pick(
    label: str,
    options: dict[str, str],
    path: str,
    *,
    hide_label: bool = False,
    segments: bool = False,
    value: str | None = None,
    write: Callable[[str], None] | None = None,
) -> None:
    """Choice of one of `options` (id -> words) for a path of the design."""
    key = f"p.{path}"
    current = state.at(path) if value is None else value
    ids = list(options) if current in options else [current, *options]
    known = apart(options)
    echoes.put(key, current)

    def commit() -> None:
        chosen = st.session_state[key]
        if write:
            write(chosen)
        else:
            done = words.CHOSEN.format(label=label, choice=options.get(chosen, chosen))
            state.assign({path: chosen}, done)

    shared: dict[str, Any] = {
        "key": key,
        "on_change": echoes.edited(key, commit),
        "format_func": lambda choice: known.get(choice, str(choice)),
        "label_visibility": "collapsed" if hide_label else "visible",
    }
    if segments:
        st.segmented_control(label, ids, required=True, width="stretch", **shared)
    else:
        st.selectbox(label, ids, **shared)


def short(text: str, letters: int) -> str:
    """A text cut after a whole word where it is longer than some letters; a word of that length, in itself.

    >>> short("Stir the preservative in evenly.", 22), short("Stir it in.", 22), short("a" * 30, 5)
    ('Stir the preservative…', 'Stir it in.', 'aaaa…')
    """
    found = shorten(text, letters, placeholder="…")
    return f"{text[: letters - 1]}…" if found == "…" else found


def apart(options: Mapping[Chosen, str]) -> dict[Chosen, str]:
    """The words of a choice; those that read alike are numbered, or only one of them could be chosen."""
    seen: dict[str, int] = {}
    found = {}
    for option, text in options.items():
        seen[text] = seen.get(text, 0) + 1
        found[option] = f"{text} ({seen[text]})" if seen[text] > 1 else text
    return found


def one_of(label: str, options: Mapping[Chosen, str], key: str) -> Chosen:
    """Choice of one of `options` (at least one) by its words; returns what is chosen.

    What was chosen before and is there no longer gives way to the first: put, not forgotten, because the
    browser would go on showing it where another option reads like it. None is drawn as nothing chosen: its
    words stand in for that.
    """
    known = apart(options)
    if key in st.session_state and st.session_state[key] not in known:
        st.session_state[key] = next(iter(known))
    chosen: Chosen = st.selectbox(
        label,
        list(known),
        format_func=lambda option: known.get(option, str(option)),
        key=key,
        placeholder=next((text for option, text in known.items() if option is None), ""),
    )
    return chosen if chosen in known else next(iter(known))


def slide(
    label: str, path: str, low: float, high: float, step: float, unit: str, *, hide_label: bool = True
) -> None:
    """Slider for the feel; its range grows when the figure lies beyond it."""
    key = f"s.{path}"
    current = float(state.at(path))
    echoes.put(key, current)
    places = max(0, len(plain(step)) - 2)
    shown = unit.replace("%", "%%")
    st.slider(
        label,
        low,
        max(high, current),
        step=step,
        key=key,
        format=f"%.{places}f {shown}",
        on_change=echoes.edited(key, lambda: state.assign({path: st.session_state[key]}, label, path)),
        label_visibility="collapsed" if hide_label else "visible",
    )


def swatch(
    name: str, weak: str, likely: str, strong: str, delta_e: float | None, in_gamut: bool = True
) -> str:
    """Weak | likely | strong as one block, 1:2:1, touching, framed by the panel grey."""
    said = words.SWATCH.format(name=name, likely=likely)
    if delta_e is not None:
        said = words.SWATCH_SPREAD.format(name=name, likely=likely, weak=weak, strong=strong, delta_e=delta_e)
    cut = "" if in_gamut else " bl-cut"
    bands = "".join(
        f'<span style="flex:{width};background:{colour}"></span>'
        for width, colour in ((1, weak), (2, likely), (1, strong))
    )
    return f'<div class="bl-swatch{cut}" role="img" aria-label="{escape(said)}">{bands}</div>'


def findings(found: Iterable[Finding], key: str, clear: str = "", beside: Beside | None = None) -> None:
    """Findings as sentences, each with the one button that mends it.

    beside  draws what else belongs beside a finding; it is given the finding and a key of its own
    """
    shown = list(found)
    pressing = [finding for finding in shown if finding.level != "note"]
    notes = [finding for finding in shown if finding.level == "note"]
    if not pressing and clear:
        st.html(f'<p class="bl-clear">{escape(clear)}</p>')
    _sentences(pressing, key, beside)
    if notes:
        with st.expander(counted(len(notes), "note"), key=f"notes-{key}"):
            _sentences(notes, f"{key}-notes", beside)


def _sentences(found: list[Finding], key: str, beside: Beside | None) -> None:
    for position, finding in enumerate(found):
        with st.container(key=f"finding-{finding.level}-{key}-{position}", horizontal=True, gap="small"):
            st.html(_sentence(finding))
            if finding.act and finding.button:
                st.button(
                    f"{finding.button} →",
                    key=f"b.{key}.{position}.{finding.id}",
                    type="tertiary",
                    on_click=state.assign,
                    args=(dict(finding.act), finding.button),
                )
            if beside:
                beside(finding, f"{key}.{position}")


def _sentence(finding: Finding) -> str:
    fix = "" if finding.act else f" {escape(finding.fix)}"
    source = f" <small>{escape(finding.source)}</small>" if finding.source else ""
    room = words.PAGES.get(finding.room, finding.room)
    text = in_degrees(finding.text, finding.heats, heat_in()) if finding.heats else finding.text
    return f"<p><b>{MARKS[finding.level]}</b> · {room} · {escape(text)}{fix}{source}</p>"


def worst(counts: dict[str, int]) -> str:
    """Stops and cautions in words: "■ 1 stop ▲ 2 cautions"."""
    said = []
    for level in LEVELS[:2]:
        if count := counts.get(level, 0):
            said.append(f"{MARKS[level][0]} {counted(count, level)}")
    return " ".join(said) or words.CLEAR


def said(on_bench: bool = True) -> None:
    """What the last act had to say, and the offer that goes with it.

    on_bench  a design is at work on this page; what is about the bench is not said elsewhere
    """
    ss = st.session_state
    message = ss.said
    if not message or (message.get("bench") and not on_bench):
        return
    if message.get("page") != ss.get("page"):
        ss.said = {**message, "page": ss.page}
    with st.container(key="said", horizontal=True):
        st.html(f'<p class="bl-said" role="status">{escape(message["text"])}</p>')
        if message.get("fresh"):
            st.button(words.START_FRESH, type="tertiary", on_click=opening.fresh_demo)


def heading(text: str) -> None:
    """A section heading."""
    st.html(f'<h2 class="bl-h2">{escape(text)}</h2>')


def small(text: str) -> None:
    """Small print; nothing for ""."""
    if not text:
        return
    st.html(f'<p class="bl-small">{escape(text)}</p>')


def alert(text: str, look: str = "bad") -> None:
    """What went wrong, read out at once; nothing for "". `look` is the class it is drawn in."""
    if text:
        st.html(f'<p class="bl-{look}" role="alert">{escape(text)}</p>')


def onward(label: str, path: str) -> None:
    """The one link to the next errand."""
    st.button(f"{label} →", type="tertiary", key=f"onward-{path}", on_click=_onward, args=(path,))


@mishap.answered
def _onward(path: str) -> None:
    st.session_state.goto = path


def chosen_file(label: str, types: Sequence[str], key: str, most_mb: int) -> Any:
    """A file that she chooses, or None. No page can keep it, and that is said as soon as there is one."""
    chosen = st.file_uploader(label, type=types, key=key, max_upload_size=most_mb)
    if chosen is not None:
        small(words.FILE_GOES)
    return chosen


def rows(named: Iterable[tuple[str, str]]) -> None:
    """Names with their figures, one below the other; what is empty is left out."""
    body = "".join(
        f"<tr><th scope='row'>{escape(name)}</th><td>{escape(value)}</td></tr>"
        for name, value in named
        if value
    )
    st.html(f'<table class="bl-table bl-kv"><tbody>{body}</tbody></table>')


def _answered() -> None:
    """Forget what the last act had to say, as the next was understood; the offer of a draft stays."""
    if not (st.session_state.said or {}).get("bench"):
        st.session_state.said = None


def tell(problem: str) -> None:
    """Say what went wrong on the next draw; nothing for ""."""
    if problem:
        st.session_state.said = {"text": problem, "fresh": False}
