"""Book: the assessor's records of formula families."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

import streamlit as st

from blendlab import store
from blendlab.assess import Assessment
from blendlab.batch.safety_assessment import Family
from blendlab.forms import assessment_form
from blendlab.production import assessments as families
from blendlab.production import corrections
from blendlab.ui import memo, mishap, parts, state, take_back, typed
from blendlab.ui.words import book as say
from blendlab.ui.words import plural
from blendlab.units import plain

FAMILY = "fam-"
"""What the keys of the fields of an assessment begin with."""
LONG = ("colours", "scents", "additions", "dusts")
"""Fields of an assessment that take a line for each thing."""


def assessments() -> None:
    """What was assessed, and a new record that begins with the design on the bench."""
    book = memo.book()
    known = families.numbered(book)
    left, right = st.columns([7, 6], gap="medium")
    with left:
        parts.heading(say.ASSESSED)
        for family in known.values():
            _family(family)
        if known:
            lines = {number: f"{family.name} · {family.on}" for number, family in known.items()}
            take_back.form("family", lines, _take_back)
        else:
            parts.small(say.NO_ASSESSMENT)
    with right, st.container(border=True, key="family-form"):
        _form(book)


def _take_back(number: int, why: str) -> None:
    codes = corrections.take_assessment_back(memo.book(), number, why, shelf=memo.shelf(), on=state.today())
    if codes:
        parts.tell(plural(len(codes), *say.CORRECTED_CALLED_BACK, codes=", ".join(codes)))


def _family(family: Family) -> None:
    st.html(f'<p class="bl-tone"><b>{escape(family.name)}</b> · {escape(family.assessor)} · {family.on}</p>')
    parts.rows(
        [
            (say.BASE, _name("base", family.base.id)),
            (say.MARKETS, ", ".join(family.markets)),
            (say.COLOURS, _up_to("pigment", family.pigments)),
            (say.SCENTS, _up_to("oil", family.scents)),
            (say.ADDITIONS, _up_to("ingredient", family.additions)),
            (say.DUSTS, _up_to("pigment", family.dusts, say.OF_A_TOP)),
            (say.LOAD, say.LOAD_UP_TO.format(pct=plain(family.load_pct))),
            (say.PRESERVATIVE, _preservative(family)),
            (say.LABEL_DOCUMENT, " · ".join(part for part in (family.label, family.document) if part)),
        ]
    )


def _up_to(kind: str, most: Mapping[str, float], unit: str = "%") -> str:
    shown = (say.UP_TO.format(name=_name(kind, key), most=plain(most[key]), unit=unit) for key in most)
    return ", ".join(shown) or say.NONE


def _preservative(family: Family) -> str:
    if not family.preservative:
        return say.NONE
    low, high = map(plain, family.preservative_pct)
    return say.PRESERVATIVE_RANGE.format(name=_name("ingredient", family.preservative), low=low, high=high)


def _name(kind: str, item_id: str) -> str:
    item = memo.shelf().today(kind, item_id)
    return item.name if item is not None else item_id


def _form(book: store.Book) -> None:
    parts.heading(say.WRITE_ASSESSMENT)
    assessed = state.assessed()
    parts.small(say.BEGINS_WITH.format(name=assessed.design.name))
    typed.hold("family", FAMILY, assessment_form.typed_of(assessed))
    for key, label in say.FORM.items():
        if key in LONG:
            st.text_area(label, key=typed.key(FAMILY, key), height=110)
        else:
            st.text_input(label, key=typed.key(FAMILY, key), max_chars=200)
    for answer in st.session_state.get("fam-answers", []):
        parts.alert(answer)
    st.button(say.WRITE_IN_BOOK, type="primary", key="put-family", on_click=_put, args=(book, assessed))


@mishap.answered
def _put(book: store.Book, assessed: Assessment) -> None:
    ss = st.session_state
    given = typed.fields(FAMILY)
    made, answers = assessment_form.family_of(given, assessed, state.shelf())
    ss["fam-answers"] = answers
    if made is not None:
        families.keep_family(book, made)
        typed.forget("family", FAMILY)
        parts.tell(say.ASSESSMENT_KEPT.format(name=made.name))
