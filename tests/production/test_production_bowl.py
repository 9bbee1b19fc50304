"""The bowl in the kitchen, and when to order: what the book says of cups, weighings and use."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.batch.stability import due_dates
from blendlab.forms.stability_reading import reading_of
from blendlab.production import bowl, kitchen_log, release, reorder, stability
from blendlab.recipe import Ref
from blendlab.shelf import Lot, Shelf, resolve
from blendlab.store import Refused
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)


@pytest.fixture
def book(tmp_path) -> store.Book:
    return store.open_book(store.Folder(tmp_path))


@pytest.fixture
def code(book) -> str:
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    return book.start(sheet, DAY, design=tries.design())


def test_cups_are_weighed_in_their_turn_and_say_whip_on_or_stop(book, code):
    with pytest.raises(Refused):
        bowl.weigh_cup(book, code, "whip", 100, 80)
    until(book, code, "whip")
    assert bowl.foam_words(store.batch(book, code)) == ""
    bowl.weigh_cup(book, code, "whip", 100, 80)
    assert bowl.foam_words(store.batch(book, code)).startswith("Cup 1: 0.800 g/ml. Whip on to 0.6")
    bowl.weigh_cup(book, code, "whip", 100, 70, mix_g=105)
    # 105 over 70 g: 50 % overrun, a third of it air
    told = bowl.foam_words(store.batch(book, code))
    assert told.startswith("Cup 2: 0.700 g/ml, overrun 50 %, 33 % of it air. Whip on")
    bowl.weigh_cup(book, code, "whip", 100, 75)
    assert bowl.foam_words(store.batch(book, code)).endswith("Stop: the foam collapses.")
    bowl.weigh_cup(book, code, "whip", 100, 60)
    assert bowl.foam_words(store.batch(book, code)).endswith("Stop: that is what was planned.")


def test_a_cup_on_the_way_is_not_the_density_of_the_batch(book, code):
    until(book, code, "whip")
    bowl.weigh_cup(book, code, "whip", 100, 80, mix_g=105)
    assert release.evidence(store.batch(book, code)).density_g_ml is None
    until(book, code, "fill")
    assert release.evidence(store.batch(book, code)).density_g_ml == 0.62


def test_a_bowl_as_planned_says_nothing_and_another_one_what_it_needs(book, code):
    page = until(book, code, "weigh:preservative")
    line = page.now.line("preservative")
    assert bowl.asked(book, page, line, tries.shelf()) == (line, "")
    base = page.now.line("base")
    assert bowl.asked(book, page, base, tries.shelf()) == (base, "")


def test_less_base_asks_for_less_preservative(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    kitchen_log.weigh(book, page, line, round(line.grams * 0.9), None, "the pail was empty")
    until(book, code, "weigh:preservative")
    page = store.batch(book, code)
    kept = page.now.line("preservative")
    asked, told = bowl.asked(book, page, kept, tries.shelf())
    # the top-up follows the base: 90 % of the exact grams of the sheet, rounded up to its scale
    assert f"asks for {kept.exact_g * 0.9:.2f} g for 1 % in each tone" in told
    assert asked.grams == pytest.approx(ceil(kept.exact_g * 0.9 / kept.step_g) * kept.step_g, abs=1e-9)
    assert asked.grams < kept.grams
    kitchen_log.weigh(book, page, asked, asked.grams, None)
    page = store.batch(book, code)
    assert page.asked["preservative"] == asked.grams
    assert "asked for by what went into the bowl" in page.of("deviation")[-1].data["cause"]
    assert not [point for point in release.open_points(page) if "Off without" in point.text]


def test_a_base_lot_of_another_percent_asks_for_another_top_up(book, code):
    """Mass balance by hand: base B at 0.7 %, wanted p in the bowl, T = (p - 0.7) B / (100 - p)."""
    lot = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White")
    book.receive(lot, 5000, {"preservative_pct": [0.7, 0.7]})
    page = until(book, code, "weigh:preservative")
    kept, plan = page.now.line("preservative"), page.now
    asked, told = bowl.asked(book, page, kept, tries.shelf())
    wanted = plan.preservative.target_pct / min(portion.take_g / portion.grams for portion in plan.portions)
    exact = (wanted - 0.7) * page.weighed["base"] / (100 - wanted)
    assert asked.exact_g == pytest.approx(exact)
    assert kept.grams < exact <= asked.grams <= asked.good[1]
    assert "What really went into the bowl asks for" in told


@pytest.mark.parametrize(
    ("pct", "said", "grams"), [("unknown", "is not known", None), ([1.05, 1.05], "asks for 0.00", 1)]
)
def test_a_base_lot_that_is_unknown_or_rich_enough_is_told(book, code, pct, said, grams):
    lot = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White")
    book.receive(lot, 5000, {"preservative_pct": pct})
    page = until(book, code, "weigh:preservative")
    kept = page.now.line("preservative")
    asked, told = bowl.asked(book, page, kept, tries.shelf())
    assert said in told
    assert asked.grams == (kept.grams if grams is None else kept.step_g)


@pytest.mark.parametrize(("more", "told"), [(-0.1, True), (0.1, False)])
def test_what_lasts_no_longer_than_lead_and_safety_is_to_be_ordered(folder, book, code, more, told):
    used = store.batch(book, code).plan.line("oil:lavender").grams
    at = used * 14 / 28  # common practice: 9 days to come and 5 to spare, of the use of 28 days at least
    book.receive(Lot(code="L-1", of=Ref(kind="oil", id="lavender"), name="Lavender"), used + at + more)
    until(book, code, "stir-scent")
    today = date.today()
    orders = reorder.sentences(folder, book, tries.shelf(), today)
    said = [sentence for sentence in orders if "Lavender" in sentence]
    assert bool(said) is told
    assert all(f"order at {at:.1f} g" in sentence for sentence in said)
    assert reorder.sentences(folder, book, tries.shelf(), today + timedelta(days=200)) == ()


def test_a_density_now_says_how_far_the_filling_sank(book, code):
    until(book, code, "none")
    page = store.batch(book, code)
    said, answers = reading_of({"density": "0,70"}, DAY, page, tries.shelf())
    assert not answers
    # 0.62 of 0.70 g/ml: 11.4 % of the height is gone, more than the usual 5 %
    assert said["height_drop_pct"] == pytest.approx(100 * (1 - 0.62 / 0.70))
    assert "height drop 11.4 %, more than 5 %" in said["fails"]
    assert "the net weight stays" in said["note"]
    measured, _ = reading_of({"density": "0.70", "drop": "2"}, DAY, page, tries.shelf())
    assert measured["height_drop_pct"] == 2
    assert measured["fails"] == []
    none, answers = reading_of({"density": "0.70"}, DAY, store.batch(book, code), Shelf(()))
    assert none is None
    assert "never weighed, or its base is gone" in answers[0]


def test_a_warm_reading_stands_for_more_weeks_in_her_unit(book, code):
    log = stability.log_of(store.batch(book, code), DAY)
    warm = next(due for due in due_dates(DAY) if due.test == "warm40" and (due.on - DAY).days == 84)
    assert (
        stability.when(log, warm) == f"{warm.on}, like about 42 weeks at 22 °C, a rule of thumb and no proof"
    )
    assert "71.6 °F" in stability.when(log, warm, "F")
    plain = next(due for due in due_dates(DAY) if due.test == "room")
    assert stability.when(log, plain) == f"{plain.on}"
