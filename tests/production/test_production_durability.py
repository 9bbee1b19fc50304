"""Which of rule, base and lots ends a batch: read from the book, through the base she cooked."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.production import durability, settings
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
BASE = Ref(kind="base", id="cooked")
KEPT = settings.Settings()


def took(book, code, number, line="base"):
    book.weigh_from(code, line, [(number, 10, 10)], planned_g=10, scale="gross", part=1)


def batch_of(book, sheet, **lot):
    code = book.start(sheet, DAY, design=tries.design())
    took(book, code, book.receive(Lot(code="B-1", of=BASE, name="White", **lot), 5000))
    return code


def lasts(book, code, kept=KEPT, on=DAY):
    return durability.of_batch(book, store.batch(book, code), "EU", kept.lasting("whipped_soap"), on)


def test_without_lots_that_end_it_is_the_rule(book, sheet):
    told = lasts(book, batch_of(book, sheet))
    assert told.last == date(2027, 3, 31)
    assert told.set_by == "12 months for a filled jar, by common practice: 2027-03-31"
    blind = next(finding for finding in told.findings if finding.level != "note")
    assert (blind.level, "White B-1" in blind.text) == ("caution", True)


def test_her_own_months_take_the_place_of_the_rule(book, sheet, folder):
    assert settings.set_months(folder, "closed", "whipped_soap", 18) == ""
    assert settings.set_months(folder, "opened", "whipped_soap", 9) == ""
    told = lasts(book, batch_of(book, sheet), settings.settings(folder))
    assert (told.last, told.symbol) == (date(2027, 9, 30), 9)
    assert told.set_by.startswith("18 months for a filled jar, by your own tests")
    other = settings.settings(folder).lasting("body_butter")
    assert other == settings.Lasting(12, 6, False)
    assert "whole months" in settings.set_months(folder, "closed", "whipped_soap", 2.5)


@pytest.mark.parametrize("months", ["0", "-3", "121", "many", "1.5"])
def test_months_that_are_none_are_those_of_common_practice(folder, months):
    settings.set_setting(folder, "closed.whipped_soap", months)
    assert settings.settings(folder).lasting("whipped_soap").closed == 12


def test_an_opened_base_ends_its_jars(book, sheet):
    """Six months from 5 February, to the end of the month."""
    told = lasts(book, batch_of(book, sheet, opened=date(2026, 2, 5), expiry=date(2027, 12, 31)))
    assert told.last == date(2026, 8, 31)
    assert "was opened on 2026-02-05" in told.set_by
    assert [finding.id for finding in told.findings] == ["label-date-words"]


def test_a_raw_material_ends_the_jars_of_the_base_that_was_cooked_with_it(book, sheet):
    cooked = book.start(sheet, DAY, kind="base")
    oil = Ref(kind="ingredient", id="light-oil")
    took(
        book, cooked, book.receive(Lot(code="O-1", of=oil, name="Oil", expiry=date(2026, 5, 31)), 100), "oil"
    )
    made = book.finish_base(cooked, Lot(code="C-1", of=BASE, expiry=date(2026, 9, 30)), 3000, {})
    code = book.start(sheet, DAY, design=tries.design())
    took(book, code, made)
    told = lasts(book, code)
    assert told.set_by == "lot Oil O-1 ends: 2026-05-31"
    assert told.others[0] == "base lot cooked C-1 ends: 2026-09-30"


def test_a_lot_that_is_over_stops_the_label_but_the_record_keeps_its_date(book, sheet):
    code = batch_of(book, sheet, expiry=date(2026, 7, 31))
    told = lasts(book, code, on=date(2026, 8, 1))
    assert (told.last, [finding.id for finding in told.findings]) == (None, ["label-over"])
    said = durability.in_words(book, store.batch(book, code))
    ends = "until the end of 2026-07, set by: base lot White B-1 ends: 2026-07-31"
    assert said == f"{ends}; not every line is weighed yet"
    cooked = store.batch(book, book.start(sheet, DAY, kind="base"))
    assert durability.in_words(book, cooked) == ""


def test_a_batch_that_is_weighed_to_the_end_says_its_date_without_more(book, sheet):
    code = book.start(sheet, DAY, design=tries.design())
    page = until(book, code, "yield")
    assert durability.in_words(book, page).endswith("2027-03-31")


def test_what_named_no_lot_is_said_with_the_date(book, sheet):
    """In the batch itself, and in the base it was made of: of neither is the end known."""
    first, second = [line for line in sheet.lines if line.id != "base"][:2]
    cooked = book.start(sheet, DAY, kind="base")
    book.weigh(cooked, first.id, 800.0, planned_g=800.0)
    ends = date(2026, 9, 1)
    white = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White", expiry=ends)
    lot = book.finish_base(cooked, white, 3000, {})
    code = book.start(sheet, DAY, design=tries.design())
    book.weigh(code, "base", 900.0, planned_g=900.0, lot=lot)
    book.weigh(code, second.id, 1.0, planned_g=1.0)
    page = store.batch(book, code)
    lasting = settings.Settings().lasting("whipped_soap")
    made = durability.of_batch(book, page, "EU", lasting, DAY)
    (told,) = (finding for finding in made.findings if finding.id == "label-undated")
    for line in (first, second):
        assert f"{line.name} (no lot named)" in told.text
