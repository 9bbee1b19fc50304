"""Best before: the first bound, whole months, never in the past, in the words of a market."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab.batch.durability import Bound, durability
from blendlab.errors import UnknownName
from blendlab.recipe import MARKETS

MADE = date(2026, 1, 10)


def lasts(*days: date, market: str = "EU", on: date = MADE):
    return durability(market, MADE, [Bound(day, "bound") for day in days], 6, on)


@pytest.mark.parametrize(
    ("market", "text", "symbol"),
    [
        ("EU", "Best used before the end of 07/2028", 6),
        ("GB", "Best used before the end of 07/2028", 6),
        ("US", "Best before the end of 07/2028", 0),
        ("CA", "Best before the end of 07/2028", 0),
    ],
)
def test_up_to_thirty_months_a_label_says_month_and_year(market, text, symbol):
    """Art. 19(1)(c): month and year, in that order; the symbol of the open jar is European."""
    told = lasts(date(2028, 7, 31), market=market)
    assert (told.text, told.symbol) == (text, symbol)


@pytest.mark.parametrize(("market", "text"), [("EU", ""), ("US", "Best before the end of 08/2028")])
def test_above_thirty_months_the_open_jar_stands_alone_where_law_has_it(market, text):
    told = lasts(date(2028, 8, 31), market=market)
    assert told.text == text
    assert told.words == ("open jar 6M" if market == "EU" else text)
    assert told.findings == ()


def test_the_first_bound_sets_it_and_the_first_of_each_other_kind_is_named():
    bounds = [
        Bound(date(2027, 1, 31), "rule"),
        Bound(date(2026, 10, 31), "late lot", "lot"),
        Bound(date(2026, 8, 31), "first lot", "lot"),
        Bound(date(2026, 12, 31), "base", "base"),
        Bound(date(2028, 12, 31), "late base", "base"),
    ]
    told = durability("EU", MADE, bounds, 6, MADE)
    assert told.last == date(2026, 8, 31)
    assert told.set_by == "first lot: 2026-08-31"
    assert told.others == ("base: 2026-12-31", "rule: 2027-01-31")


def test_an_end_within_a_month_is_the_month_before():
    """A label counts to the end of a month: 15 July is not yet the end of July."""
    assert lasts(date(2026, 7, 15)).text.endswith("06/2026")
    assert lasts(date(2026, 7, 30)).last == date(2026, 6, 30)
    assert lasts(date(2028, 2, 29)).last == date(2028, 2, 29)


@pytest.mark.parametrize(
    ("ends", "on", "stopped"),
    [
        (date(2026, 6, 30), date(2026, 6, 30), False),
        (date(2026, 6, 30), date(2026, 7, 1), True),
        (date(2026, 1, 9), MADE, True),
        (date(2026, 1, 30), MADE, True),
    ],
)
def test_a_date_in_the_past_is_a_stop_and_not_a_date(ends, on, stopped):
    told = lasts(ends, on=on)
    assert (told.last is None, told.text == "", told.words == "") == (stopped,) * 3
    assert [finding.level for finding in told.findings] == ["stop" if stopped else "note"]


@pytest.mark.parametrize(("market", "read"), [("EU", False), ("GB", False), ("CA", False), ("US", True)])
def test_words_that_nobody_read_again_are_said_to_be_from_memory(market, read):
    told = [finding.text for finding in lasts(date(2027, 3, 31), market=market).findings]
    assert (told == []) is read
    assert all("from memory" in text for text in told)


@pytest.mark.parametrize("market", MARKETS)
def test_every_market_has_its_words(market):
    assert lasts(date(2027, 1, 31), market=market).text.endswith("01/2027")


def test_a_market_nobody_knows_is_refused():
    with pytest.raises(UnknownName):
        lasts(date(2027, 1, 31), market="MOON")
