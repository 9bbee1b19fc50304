"""Fields of a form, lines of names and percents, an item on the shelf: what is wrong is answered in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.errors import ChangedOutside, OutOfRange, UnknownName
from blendlab.forms import on_shelf
from blendlab.forms.form import Form
from blendlab.forms.named_percents import named_percents, percents_with_rest
from blendlab.fragrance.entry import read_limits


def test_a_figure_is_read_with_comma_and_unit_or_answered():
    form = Form({"a": " 0,3 ", "b": "three", "c": "", "d": "400", "e": 0})
    assert form.figure("a", "Dose", "%", 0, 100) == 0.3
    assert form.figure("c", "Dose", "%") is None
    assert form.answers == []
    assert form.figure("b", "Dose", "%") is None
    assert form.figure("d", "Share", "%", 0, 100) is None
    assert [answer.split(":")[0] for answer in form.answers] == ["Dose", "Share"]


def test_a_figure_that_must_be_there_is_asked_for():
    form = Form({"zero": "0"})
    assert form.wanted("zero", "Water", "g") == 0
    assert form.answers == []
    assert form.wanted("gone", "Inside height", "mm") == 0
    assert form.answers == ["Inside height is missing."]


@pytest.mark.parametrize(
    ("typed", "day", "answer"),
    [
        ("2026-11-25", date(2026, 11, 25), ""),
        ("", None, ""),
        ("25.11.2026", None, 'Received: "25.11.2026" is no date like 2026-11-25.'),
        ("0026-11-25", None, "Received: the year 26 must lie between"),
    ],
)
def test_a_day_is_written_as_year_month_day(typed, day, answer):
    form = Form({"day": typed})
    assert form.day("day", "Received") == day
    assert " ".join(form.answers).startswith(answer)
    assert bool(form.answers) == bool(answer)


def test_a_pasted_table_is_answered_line_by_line():
    form = Form({})
    assert form.understood(read_limits("9 8,5"), "Limits")
    assert not form.understood(read_limits("9 8,5\nNo. 77"), "Limits")
    assert form.answers == ["Limits: Line 2: No category at the start of the line."]
    assert form.understood(read_limits("1 N/A"), "Limits")
    assert form.told
    assert form.told[0].startswith("Limits, line 1: ")


def test_what_cannot_be_made_is_answered_with_its_name():
    def refuse():
        raise OutOfRange("Share", 120, 0, 100, "%")

    form = Form({})
    assert form.tried(refuse, "Mix") is None
    assert form.answers[0].startswith("Mix: Share")


def test_names_and_percents_stand_one_a_line(shelf):
    form = Form({})
    typed = "Ultramarine blue 0,3 %\n\n  YELLOW IRON OXIDE   0.02"
    found = named_percents(form, typed, shelf.of("pigment"), "pigment")
    assert [(item.id, pct) for item, pct in found] == [("ultramarine_blue", 0.3), ("iron_oxide_yellow", 0.02)]
    assert form.answers == []


def test_a_line_that_names_nothing_of_hers_is_answered(shelf):
    form = Form({})
    named_percents(
        form, "Moon dust 3\nUltramarine blue rest\nUltramarine blue 300", shelf.of("pigment"), "pigment"
    )
    assert form.answers[0] == '"Moon dust 3": no pigment of that name is on the shelf.'
    assert len(form.answers) == 3


def test_a_name_that_is_nearly_hers_is_answered_with_those_that_may_be_meant(shelf):
    form = Form({})
    assert named_percents(form, "blue 1\n 1", shelf.of("pigment"), "pigment") == []
    near, empty = form.answers
    assert near.startswith('"blue 1": no pigment of that name is on the shelf. Do you mean ')
    assert "ltramarine blue" in near
    assert empty.endswith("on the shelf.")


def test_one_line_may_be_the_rest(shelf):
    form = Form({})
    found = percents_with_rest(form, "Glycerin 12,5\nGlycerin rest", shelf.of("ingredient"), "ingredient")
    assert [pct for _, pct in found] == [12.5, 87.5]
    assert form.answers == []
    percents_with_rest(form, "Glycerin rest\nGlycerin rest", shelf.of("ingredient"), "ingredient")
    assert form.answers == ["Only one line can be the rest."]


def test_the_rest_of_more_than_everything_is_nothing(shelf):
    found = percents_with_rest(
        Form({}), "Glycerin 90\nGlycerin 30\nGlycerin rest", shelf.of("ingredient"), "x"
    )
    assert [pct for _, pct in found] == [90, 30, 0]


# --- on the shelf -------------------------------------------------------------------------------------


def test_a_free_id_is_made_of_the_name(shelf):
    assert on_shelf.free_id(shelf, "oil", "Rose & Fern") == "rose-fern"
    assert on_shelf.free_id(shelf, "oil", "Lavender") == "lavender-2"


def test_a_name_is_asked_for_and_taken_once(shelf):
    form = Form({"name": "LAVENDER"})
    assert on_shelf.name_of(form, shelf, "oil") == "LAVENDER"
    assert form.answers == ['"LAVENDER" is on the shelf already; give this one a name of its own.']
    empty = Form({})
    on_shelf.name_of(empty, shelf, "oil")
    assert empty.answers == ["A name is missing."]


def test_a_new_item_never_takes_the_place_of_another(folder, shelf):
    other = replace(shelf.today("oil", "lavender"), name="Another")
    with pytest.raises(ChangedOutside):
        on_shelf.put(folder, other, new=True)
    assert on_shelf.save(folder, other, new=True)
    assert store.read_shelf(folder).today("oil", "lavender").name == shelf.today("oil", "lavender").name
    on_shelf.put(folder, other)
    assert store.read_shelf(folder).today("oil", "lavender").name == "Another"


def test_a_changed_item_that_was_taken_off_meanwhile_does_not_come_back(folder, shelf):
    oil = shelf.today("oil", "lavender")
    on_shelf.take_off(folder, oil)
    assert store.read_shelf(folder).today("oil", "lavender") is None
    with pytest.raises(UnknownName):
        on_shelf.put(folder, oil)
    assert "lavender" in on_shelf.save(folder, oil)
    assert store.read_shelf(folder).today("oil", "lavender") is None


def test_what_was_answered_is_not_kept(folder, shelf):
    oil = replace(shelf.today("oil", "lavender"), id="second")
    assert on_shelf.keep(folder, Form({}, ["No."]), oil, ["told"]) == (None, ["No."], [])
    assert on_shelf.keep(folder, Form({}), None, ["told"]) == (None, [], [])
    assert on_shelf.keep(folder, Form({}), oil, ["told"]) == (oil, [], ["told"])
    kept, answers, told = on_shelf.keep(folder, Form({}), oil, ["told"])
    assert (kept, told) == (None, [])
    assert answers[0].startswith("Not saved: ")
