"""A batch judged on what was weighed and on the lots that were drawn, not on today's shelf."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab import store
from blendlab.errors import Finding
from blendlab.production import (
    assessments,
    base_lots,
    base_mix,
    corrections,
    held_lots,
    judgement,
    kitchen_log,
    labels,
    release,
    shortage,
    stock_lots,
)
from blendlab.production.made_design import as_weighed
from blendlab.production.settings import Settings
from blendlab.recipe import Ref
from blendlab.shelf import Component, Lot, Shelf
from blendlab.store import Refused
from tests.batch import plans_to_try as tries
from tests.production.released import read_and_release
from tests.production.test_production_labels import family
from tests.production.test_production_rules import until
from tests.store.damage import harm

DAY = date(2026, 3, 7)
BASE = "base:cooked"
UNKNOWN = tries.shelf(None)
"""A shelf whose base nobody wrote a percent of preservative down of."""


def no_actives() -> Shelf:
    base = replace(UNKNOWN.today("base", "cooked"), actives={}, pH=None)
    return Shelf((*(item for item in UNKNOWN.items if item.id != "cooked"), base))


SHELF = no_actives()
DESIGN = tries.design(base=SHELF.today("base", "cooked").ref)


def lot(book, code, grams=5000.0, data=None, item=BASE, **more) -> int:
    kind, _, name = item.partition(":")
    return book.receive(Lot(code=code, of=Ref(kind=kind, id=name), name=name, **more), grams, data)


def known(pct: float, **more) -> dict:
    return {"preservative_pct": [pct, pct], "pH": 6.0, **more}


def judged(book, chosen=None, on=DAY):
    return judgement.judge(DESIGN, SHELF, on, stock_lots.in_stock(book, chosen or {}, on).taken)


def started(book, chosen=None) -> str:
    return book.start(judged(book, chosen).plan, DAY, design=DESIGN)


def weighed(book, code, numbers, grams=None) -> store.BatchPage:
    """The base weighed from some lots; everything else as the sheet asks for it."""
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    grams = line.grams if grams is None else grams
    kitchen_log.weigh(book, page, line, grams, numbers[0], "as it came", numbers[1:])
    return until(book, code, "none")


def ids(findings) -> set[str]:
    return {finding.id for finding in findings}


def bars(book, code, on=DAY) -> set[str]:
    told = release.sale_points(book, store.batch(book, code), SHELF, on)
    return ids(point for point in told if point.level == "stop")


# --- the lot in use ------------------------------------------------------------------------------------


def test_a_jar_of_a_cooked_base_of_known_percent_can_be_released(book):
    """The shelf does not know the percent, the lot does: 1.001 %."""
    assert "preservative-unknown" in ids(judgement.judge(DESIGN, SHELF, DAY, {}).findings)
    number = lot(book, "C-1", data=known(1.001))
    code = started(book)
    page = weighed(book, code, [number])
    made = judgement.as_made(book, page, SHELF, DAY)
    assert bars(book, code) == {"assessment"}
    assessments.keep_family(book, family(made, base=DESIGN.base))
    read_and_release(book, code, SHELF, DAY)
    assert store.batch(book, code).of("release")[-1].subject == store.FOR_SALE
    told = labels.label(book, judgement.as_made(book, page, SHELF, DAY, "EU"), "EU", Settings(), page)
    assert not [finding.text for finding in told.findings if "preservative" in finding.where]


def test_a_caution_of_what_was_made_is_read_before_the_release_and_does_not_bar_it(book):
    """Ultramarine below pH 6 fades: the batch measured 5.8 last, the shelf says nothing of it."""
    code = started(book)
    weighed(book, code, [lot(book, "C-1", data=known(1.0, pH=5.8))])
    book.write("ph", "product", {"pH": 5.8}, code)
    page = store.batch(book, code)
    told = [point for point in release.points(book, page, SHELF, DAY) if "ultramarine" in point.text.lower()]
    assert [point.level for point in told if "pH" in point.text] == ["caution"]
    (caution,) = [point.text for point in told if "pH" in point.text]
    made = judgement.as_made(book, page, SHELF, DAY)
    assessments.keep_family(book, family(made, base=DESIGN.base))
    others = set(release.cautions(release.points(book, page, SHELF, DAY))) - {caution}
    with pytest.raises(release.NotRead, match=r"^1 caution is to be read before release: tick") as refused:
        release.release(book, code, SHELF, DAY, others)
    assert refused.value.cautions == (caution,)
    with pytest.raises(release.NotRead, match=f"^{len(others) + 1} cautions are to be read before release"):
        release.release(book, code, SHELF, DAY)
    assert store.batch(book, code).of("release") == ()
    release.release(book, code, SHELF, DAY, {*others, caution, "what stood there once"})
    assert set(store.batch(book, code).of("release")[-1].data["read"]) == {*others, caution}


def test_the_lot_that_was_drawn_is_judged_not_the_next_one(book):
    number = lot(book, "C-1", data={"preservative_pct": "unknown"})
    good = lot(book, "C-2", data=known(1.0))
    code = started(book, {BASE: [good]})
    weighed(book, code, [number])
    assert "preservative-unknown" in bars(book, code)
    other = started(book, {BASE: [good]})
    weighed(book, other, [good])
    assert "preservative-unknown" not in bars(book, other)


def test_a_sheet_without_a_top_up_is_not_mended_by_a_lot_that_is_known(book):
    """Planned on an unknown base no preservative was topped up: what was weighed is too thin by then."""
    code = book.start(judgement.judge(DESIGN, SHELF, DAY, {}).plan, DAY, design=DESIGN)
    number = lot(book, "C-1", data=known(0.4))
    weighed(book, code, [number])
    judged_ = judgement.as_made(book, store.batch(book, code), SHELF, DAY)
    short = next(finding for finding in judged_.findings if finding.id == "preservative-short")
    assert short.level == "stop"
    assert "by what was weighed" in short.text


@pytest.mark.parametrize(("share", "short"), [(1.0, False), (1.1, True)])
def test_the_weight_that_was_weighed_is_judged(book, share, short):
    """A tenth more base than the sheet: its preservative thins out below what the sheet of it asks for."""
    keeper = SHELF.today("ingredient", "preservative-a")
    number = lot(book, "C-1", data=known(keeper.low_pct * 0.5))
    wish = replace(DESIGN.batch, preservative_pct=keeper.low_pct)
    design = replace(DESIGN, batch=wish)
    plan = judgement.judge(design, SHELF, DAY, stock_lots.in_stock(book, {}, DAY).taken).plan
    code = book.start(plan, DAY, design=design)
    for line in plan.lines:
        grams = line.grams * share if line.what == "base" else line.grams
        taken = number if line.what == "base" else None
        book.weigh(code, line.id, grams, planned_g=line.grams, lot=taken)
    assert ("preservative-short" in bars(book, code)) is short


def test_own_fragrance_ph_and_foam_are_those_of_the_lot(book):
    number = lot(
        book, "C-1", data=known(1.0, pH=4.2, own_fragrance_pct=0.3, density_whipped_g_ml=0.5), opened=DAY
    )
    base = judged(book).resolved.base
    assert (base.lot, base.pH, base.own_fragrance_pct, base.density_whipped_g_ml) == ("C-1", 4.2, 0.3, 0.5)
    assert "ph" in ids(judged(book).findings)
    assert judged(book).plan.density.g_ml == 0.5
    assert base_mix.of_lot(base, store.lot(book, number), SHELF).opened_on == DAY


def test_actives_follow_the_percent_of_the_lot(book):
    """0.4 % of a blend of 90 % phenoxyethanol are 0.36 % of it, whatever the shelf says of the base."""
    base = tries.shelf().today("base", "cooked")
    made = base_mix.of_lot(base, store.lot(book, lot(book, "C-1", data=known(0.4))), tries.shelf())
    keeper = tries.shelf().today("ingredient", "preservative-a")
    part = next(part.high_pct for part in keeper.components if part.inci.lower() == "phenoxyethanol")
    assert made.actives["phenoxyethanol"] == pytest.approx(part * 0.4 / 100)
    assert made.actives["sodium cocoyl isethionate"] == base.actives["sodium cocoyl isethionate"]


def test_a_lot_preserved_with_something_else_is_told(book):
    lot(book, "C-1", data=known(1.0, kept_by="preservative-b"))
    assert judged(book).resolved.base.preservative.id == "preservative-b"


def test_a_code_longer_than_a_base_can_hold_does_not_break_the_page(book):
    lot(book, "C" * 60, data=known(1.0))
    assert judged(book).resolved.base.lot == "C" * 40


# --- two lots in one bowl -------------------------------------------------------------------------------


def test_two_lots_are_judged_as_their_mix(book):
    """600 g at 0.8 % and 200 g at 1.2 %: 0.9 %; foams of 0.5 and 0.6 g/ml: 1 / (0.75 / 0.5 + 0.25 / 0.6)."""
    parts = [
        (
            store.lot(
                book, lot(book, "C-1", 600, known(0.8, density_whipped_g_ml=0.5, own_fragrance_pct=0.4))
            ),
            600,
        ),
        (
            store.lot(
                book, lot(book, "C-2", 900, known(1.2, density_whipped_g_ml=0.6, own_fragrance_pct=0.0))
            ),
            200,
        ),
    ]
    made = base_mix.mixed(SHELF.today("base", "cooked"), parts, SHELF)
    assert made.preservative_pct == pytest.approx((0.9, 0.9))
    assert made.density_whipped_g_ml == pytest.approx(1 / (0.75 / 0.5 + 0.25 / 0.6))
    assert made.own_fragrance_pct == pytest.approx(0.3)
    assert (made.lot, made.pH) == ("C-1 + C-2", 6.0)


@pytest.mark.parametrize(
    ("second", "pct", "acid"),
    [
        ({"preservative_pct": "unknown", "pH": 6.0}, None, 6.0),
        ({"preservative_pct": [1.0, 1.0], "kept_by": "preservative-b", "pH": 6.0}, None, 6.0),
        ({"preservative_pct": [0.6, 1.2], "pH": 5.5}, (0.8, 1.1), None),
    ],
)
def test_what_one_lot_does_not_say_is_not_known_of_the_mix(book, second, pct, acid):
    parts = [
        (store.lot(book, lot(book, "C-1", data=known(1.0))), 500),
        (store.lot(book, lot(book, "C-2", data=second)), 500),
    ]
    made = base_mix.mixed(SHELF.today("base", "cooked"), parts, SHELF)
    assert (made.preservative_pct, made.pH) == (pct and pytest.approx(pct), acid)


def test_the_dates_of_a_mix_are_those_of_the_first_to_end(book):
    early, late = date(2026, 5, 1), date(2026, 9, 1)
    parts = [
        (store.lot(book, lot(book, "C-1", data=known(1.0), expiry=late, opened=early)), 500),
        (store.lot(book, lot(book, "C-2", data=known(1.0), expiry=early)), 500),
    ]
    made = base_mix.mixed(SHELF.today("base", "cooked"), parts, SHELF)
    assert (made.best_before, made.opened_on) == (early, early)


def test_a_second_lot_is_mixed_in_only_with_her_word(book):
    small, full = lot(book, "C-1", 600, known(0.8)), lot(book, "C-2", 5000, known(1.2))
    alone, both = judged(book), judged(book, {BASE: [small, full]})
    told = shortage.findings(alone.plan, stock_lots.in_stock(book, {}, DAY))
    (short,) = (finding for finding in told if finding.id == f"lot-short-{BASE}")
    assert short.text.startswith("C-1 of cooked: 600 g of the ")
    assert alone.resolved.base.preservative_pct == (0.8, 0.8)
    needed = both.plan.needs[BASE]
    assert both.resolved.base.preservative_pct[0] == pytest.approx(
        (600 * 0.8 + (needed - 600) * 1.2) / needed, rel=0.001
    )
    assert next(line.lot for line in both.plan.lines if line.what == "base") == "C-1 + C-2"
    code = started(book, {BASE: [small, full]})
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    assert stock_lots.planned(book, line, DAY) == (small, full)
    with pytest.raises(store.Short):
        kitchen_log.weigh(book, page, line, line.grams, small)
    kitchen_log.weigh(book, page, line, line.grams, small, then=[full])
    assert store.lot(book, small).left_g == 0
    made = judgement.as_made(book, store.batch(book, code), SHELF, DAY).resolved.base
    assert made.preservative_pct == pytest.approx(both.resolved.base.preservative_pct, rel=1e-4)


# --- ended, held back, unreadable ----------------------------------------------------------------------


def test_an_ended_or_held_lot_is_never_taken_by_itself(book):
    ended = lot(book, "C-1", data=known(1.0), expiry=date(2026, 3, 6))
    held = lot(book, "C-2", data=known(1.0), expiry=date(2026, 3, 8))
    assert stock_lots.in_stock(book, {}, DAY).taken[BASE][0].number == held
    line = store.lot(book, held)
    book.correct_lot(held, line.lot, {"held": "smells odd"})
    assert BASE not in stock_lots.in_stock(book, {}, DAY).taken
    assert BASE not in stock_lots.in_stock(book, {BASE: [held]}, DAY).taken
    assert stock_lots.in_stock(book, {BASE: [ended]}, DAY).taken[BASE][0].number == ended
    assert [each.number for each in stock_lots.to_choose(book, BASE, DAY)] == [ended]
    assert store.stock(book, DAY)[BASE] == 0
    assert "held back: smells odd" in stock_lots.lot_words(store.lot(book, held), DAY)
    assert "ended 2026-03-06" in stock_lots.lot_words(store.lot(book, ended), DAY)
    told = shortage.findings(judged(book).plan, stock_lots.in_stock(book, {}, DAY))
    assert {f"lot-aside-{ended}", f"lot-aside-{held}", f"stock-{BASE}"} <= ids(told)
    book.correct_lot(held, line.lot, {"held": ""})
    assert stock_lots.in_stock(book, {}, DAY).taken[BASE][0].number == held
    assert stock_lots.in_stock(book, {}, DAY).taken[BASE][0].data["pH"] == 6.0


def test_a_held_lot_is_not_weighed(book):
    number = lot(book, "C-1", data=known(1.0))
    code = started(book)
    page = until(book, code, "weigh:base")
    book.correct_lot(number, store.lot(book, number).lot, {"held": "smells odd"})
    with pytest.raises(Refused, match="Lot C-1 is held back: smells odd"):
        kitchen_log.weigh(book, page, page.now.line("base"), page.now.line("base").grams, number)


@pytest.mark.parametrize("item", [BASE, "oil:lavender", "pigment:ultramarine_blue"])
def test_jars_of_a_lot_that_ended_since_are_over_and_one_held_back_stops_the_release(book, item):
    lot(book, "C-1", data=known(1.0))
    number = lot(book, "X-1", 500, item=item, expiry=date(2026, 6, 30)) if item != BASE else 1
    if item == BASE:
        book.correct_lot(number, replace(store.lot(book, number).lot, expiry=date(2026, 6, 30)))
    code = started(book)
    until(book, code, "none")
    aged = {"base-ended", f"lot-ended-{number}"}
    page = store.batch(book, code)
    assert "label-over" not in ids(release.points(book, page, SHELF, date(2026, 6, 30)))
    assert "label-over" in ids(release.points(book, page, SHELF, date(2026, 7, 1)))
    assert not aged & bars(book, code, date(2026, 7, 1))
    book.correct_lot(number, store.lot(book, number).lot, {"held": "a complaint"})
    assert f"lot-held-{number}" in bars(book, code)


def test_a_lot_that_cannot_be_read_stops_its_batch_and_leaves_its_neighbours(book):
    number, other = lot(book, "C-1", data=known(1.0)), lot(book, "P-1", 50, item="pigment:ultramarine_blue")
    code = started(book)
    page = until(book, code, "none")
    assert "lot-unread-0" not in bars(book, code)
    harm(book, "UPDATE lots SET data = '{' WHERE code = 'P-1'")
    assert "lot-unread-0" in bars(book, code)
    assert store.lot(book, number).lot.code == "C-1"
    assert "P-1" not in {lines[0].lot.code for lines in stock_lots.in_stock(book, {}, DAY).taken.values()}
    made = judgement.as_made(book, page, SHELF, DAY, "EU")
    told = labels.label(book, made, "EU", Settings(), page)
    assert not told.export
    assert "A lot of this batch cannot be read." in " ".join(finding.text for finding in told.findings)
    assert stock_lots.takes(book, page.now.line("base"), 1.0, [number]) == [(number, 1.0, 1.0)]
    with pytest.raises(Refused):
        stock_lots.takes(book, page.now.line("pigment:ultramarine_blue@deep"), 1.0, [other])


def test_a_correction_that_cannot_be_read_keeps_its_lot_from_being_taken(book):
    number = lot(book, "C-1", data=known(1.0))
    book.correct_lot(number, store.lot(book, number).lot, {"held": "smells odd"})
    harm(book, "UPDATE lots SET data = '{' WHERE corrects IS NOT NULL")
    assert store.lot(book, number).unread
    assert BASE not in stock_lots.in_stock(book, {BASE: [number]}, DAY).taken


def test_a_lot_is_held_back_and_freed_with_its_reason(book):
    number = lot(book, "C-1", data=known(1.0))
    with pytest.raises(Refused, match="Say why"):
        held_lots.hold_back(book, number, " ")
    with pytest.raises(Refused, match="not held back"):
        held_lots.free_again(book, number, "all well")
    held_lots.hold_back(book, number, "smells odd")
    with pytest.raises(Refused, match="held back already: smells odd"):
        held_lots.hold_back(book, number, "again")
    assert store.lot(book, number).held == "smells odd"
    with pytest.raises(Refused, match="cleared"):
        held_lots.free_again(book, number, "")
    held_lots.free_again(book, number, "smelt again, nothing")
    line = store.lot(book, number)
    assert (line.held, line.data["freed"], line.left_g) == ("", "smelt again, nothing", 5000)
    assert line.data["preservative_pct"] == [1.0, 1.0]


def test_a_raw_material_held_back_calls_the_jars_of_its_base_back(book):
    base = SHELF.today("base", "cooked")
    cooked = book.start(base_lots.cooking(base, SHELF, 4000.0, book, DAY), DAY, kind="base")
    page = until(book, cooked, "none")
    assert base_lots.cooked_lot(page, base, {"grams": "3900", "code": "W-1"}, book) == []
    code = started(book)
    until(book, code, "none")
    made = judgement.as_made(book, store.batch(book, code), SHELF, DAY)
    assert made.resolved.base.lot == "W-1"
    assessments.keep_family(book, family(made, base=DESIGN.base))
    read_and_release(book, code, SHELF, DAY)
    raw = next(line for line in store.lots(book) if line.lot.of.kind == "ingredient")
    held_lots.hold_back(book, raw.number, "the supplier called it back")
    assert corrections.judge_lot(book, raw.number, SHELF, DAY) == (code,)
    assert store.batch(book, code).decision == store.CALLED_BACK


def test_a_lot_or_a_base_that_is_set_right_names_the_new_cautions_of_every_batch_made_of_it(
    book, monkeypatch
):
    """The lot of a base is corrected, then a line of its cooking: both batches of jars stay, with a word."""
    base = SHELF.today("base", "cooked")
    cooked = book.start(base_lots.cooking(base, SHELF, 9000.0, book, DAY), DAY, kind="base")
    page = until(book, cooked, "none")
    assert base_lots.cooked_lot(page, base, {"grams": "8900", "code": "W-1"}, book) == []
    codes = tuple(started(book) for _ in range(2))
    for code in codes:
        until(book, code, "none")
    white = base_lots.became(book, cooked)
    monkeypatch.setattr(release, "sale_points", lambda book, *_: told_of(store.lot(book, white.number)))
    for code in codes:
        read_and_release(book, code, SHELF, DAY)

    def opened() -> bool:
        book.correct_lot(white.number, replace(white.lot, opened=DAY), {"corrected": "opened that day"})
        return True

    given = {"shelf": SHELF, "on": DAY}
    said = corrections.lot_set_right(book, white.number, opened, **given)
    assert said == ((), dict.fromkeys(codes, ("Opened.",)))
    assert corrections.lot_set_right(book, white.number, lambda: False, **given) == ((), {})
    assert corrections.judged_with(book, cooked) == codes

    def acid() -> tuple[str, ...]:
        return corrections.measured_later(book, cooked, {"pH": 5.2}, "measured again", **given)

    said = corrections.brought(book, corrections.judged_with(book, cooked), SHELF, acid)
    assert said == ((), dict.fromkeys(codes, ("pH 5.2.",)))
    assert all(store.batch(book, code).decision == store.FOR_SALE for code in codes)


def told_of(line: store.LotLine) -> tuple[Finding, ...]:
    """Cautions about a lot, as a judgement would find them."""
    acid = line.data.get("pH")
    texts = (["Opened."] if line.lot.opened else []) + ([f"pH {acid}."] if acid and acid < 6 else [])
    return tuple(Finding("caution", "told", "book.lots", text) for text in texts)


def test_a_measured_ph_answers_that_of_a_base_nobody_measured(book):
    """Not known while it is made; measured at the end it is, and acids that it splits are told."""
    parts = (Component(inci="Sodium Benzoate", low_pct=50, high_pct=50),)
    keeper = replace(SHELF.today("ingredient", "preservative-a"), id="salt", components=parts)
    shelf = Shelf((*SHELF.items, keeper))
    number = lot(book, "C-1", data={"preservative_pct": [1.0, 1.0], "kept_by": "salt"})
    code = started(book)
    page = until(book, code, "weigh:base")
    kitchen_log.weigh(book, page, page.now.line("base"), page.now.line("base").grams, number)
    before = ids(judgement.as_made(book, store.batch(book, code), shelf, DAY).findings)
    assert "ph-unknown" in before
    book.write("ph", "product", {"pH": 5.6}, code)  # 1 / (1 + 10^(5.6 - 4.19)) = 3.7 % unsplit
    after = judgement.as_made(book, store.batch(book, code), shelf, DAY).findings
    assert not {"ph", "ph-unknown"} & ids(after)
    assert [finding.level for finding in after if finding.id == "acid-benzoic acid"] == ["caution"]


def test_a_batch_brought_to_another_ph_is_judged_at_its_own(book):
    """The lot came at 6.0, where ultramarine holds; the batch was brought to 5.4, measured last."""
    code = started(book)
    page = weighed(book, code, [lot(book, "C-1", data=known(1.0))])  # closed at pH 6.1
    told = judgement.as_made(book, page, SHELF, DAY)
    assert told.resolved is not None
    assert told.resolved.base.pH == 6.1
    assert not [found.text for found in told.findings if found.id.startswith("tint.ph.")]
    book.write("ph", "product", {"pH": 5.4}, code)
    told = judgement.as_made(book, store.batch(book, code), SHELF, DAY)
    assert told.resolved is not None
    assert told.resolved.base.pH == 5.4
    assert [found.level for found in told.findings if found.id.startswith("tint.ph.")]


def test_the_ph_is_held_to_what_the_drawn_lot_was_kept_with(book):
    """Begun on a base kept with one preservative, made of a lot kept with another that works up to pH 6."""
    parts = tuple(
        Component(inci=name, low_pct=50, high_pct=50) for name in ("Benzyl Alcohol", "Dehydroacetic Acid")
    )
    keeper = replace(SHELF.today("ingredient", "preservative-a"), id="narrow", components=parts)
    shelf = Shelf((*SHELF.items, keeper))
    usual = lot(book, "C-1", data=known(1.0))
    narrow = lot(book, "C-2", data=known(1.0, kept_by="narrow"))
    found = {}
    for number in (usual, narrow):
        code = started(book, {BASE: [usual]})
        page = weighed(book, code, [number])  # closed at pH 6.1
        found[number] = ids(release.points(book, page, shelf, DAY))
        assert "release-ph-window" not in ids(release.open_points(page))
    assert "release-ph-window" not in found[usual]
    assert "release-ph-window" in found[narrow]


# --- portions of a bowl that was weighed otherwise -----------------------------------------------------


@pytest.mark.parametrize("share", [0.3, 0.5, 0.9, 1.2])
def test_a_bowl_weighed_otherwise_is_shared_out_as_the_sheet_asks(book, share):
    """Each tone keeps its part, and all of its pigment is in it; the sheet of it has the same portions."""
    number = lot(book, "C-1", data=known(1.0))
    code = started(book)
    plan = store.batch(book, code).now
    for line in plan.lines:
        base = line.what == "base"
        grams = round(line.grams * share, 1) if base else line.grams
        book.weigh(code, line.id, grams, planned_g=line.grams, lot=number if base else None)
    made = judgement.as_made(book, store.batch(book, code), SHELF, DAY)
    for before, tone in zip(DESIGN.tones, made.design.tones, strict=True):
        assert tone.share_pct == pytest.approx(before.share_pct, rel=0.01)
        portion = next(part for part in made.plan.portions if part.tone == tone.id)
        assert portion.grams == pytest.approx(tone.share_pct / 100 * made.plan.batch_g, abs=0.5)
        (dose,) = tone.doses
        pigment = plan.line(f"pigment:{dose.pigment.id}@{tone.id}")
        assert dose.pct == pytest.approx(100 * pigment.pure_g / portion.grams, rel=0.04)
    assert "tones-shared" in ids(made.findings)


def test_tones_of_a_bowl_weighed_well_are_told_nothing_of_it(book):
    code = started(book)
    page = weighed(book, code, [lot(book, "C-1", data=known(1.0))])
    assert "tones-shared" not in ids(judgement.as_made(book, page, SHELF, DAY).findings)


def test_what_the_scale_could_not_show_counts_with_what_went_in(book):
    """A pigment too little for its scale is asked for as 0 g; a gram that went in is a gram in the jar."""
    plan = judged(book).plan
    blue = next(line for line in plan.lines if line.what == "pigment" and line.tone == "deep")
    poor = replace(plan, lines=tuple(
        replace(line, grams=0.0, exact_g=0.01, good=(0.0, 0.05)) if line.id == blue.id else line
        for line in plan.lines
    ))  # fmt: skip
    weighed_ = {line.id: line.grams for line in poor.lines}
    made = as_weighed(DESIGN, poor, {**weighed_, blue.id: 1.0})
    deep = next(tone for tone in DESIGN.tones if tone.id == "deep")
    assert made.tones[0].doses[0].pct == pytest.approx(100 * deep.doses[0].pct, rel=0.01)
    assert as_weighed(DESIGN, poor, {**weighed_, blue.id: 0.04}) is DESIGN


# --- the day by which it is judged ----------------------------------------------------------------------


def released(book) -> tuple[str, int]:
    """A batch released on its day, of an oil and a base that end in 60 days; the number of the oil's lot."""
    ends = DAY + timedelta(days=60)
    lot(book, "C-1", data=known(1.0), expiry=ends, opened=DAY)
    oil = lot(book, "O-1", 500, item="oil:lavender", expiry=ends)
    code = started(book)
    page = until(book, code, "none")
    assessments.keep_family(book, family(judgement.as_made(book, page, SHELF, DAY), base=DESIGN.base))
    read_and_release(book, code, SHELF, DAY)
    return code, oil


@pytest.mark.parametrize("days", [90, 900])
def test_lots_that_only_ended_since_call_nothing_back(book, days):
    code, oil = released(book)
    later = DAY + timedelta(days=days)
    book.correct_lot(oil, replace(store.lot(book, oil).lot, supplier="the other address"))
    assert corrections.judge_lot(book, oil, SHELF, later) == ()
    assert store.batch(book, code).decision == store.FOR_SALE
    made = judgement.as_made(book, store.batch(book, code), SHELF, later)
    assert not {"base-ended", "base-opened", f"lot-ended-{oil}"} & ids(made.findings)


@pytest.mark.parametrize("days", [0, 90])
def test_a_lot_that_had_ended_when_it_was_drawn_is_a_stop_for_ever(book, days):
    code, oil = released(book)
    ended = replace(store.lot(book, oil).lot, expiry=DAY - timedelta(days=1))
    book.correct_lot(oil, ended)
    later = DAY + timedelta(days=days)
    assert f"lot-ended-{oil}" in bars(book, code, later)
    assert corrections.judge_lot(book, oil, SHELF, later) == (code,)
    assert str(later) == store.batch(book, code).of("release")[-1].data["on"]


def test_the_bottle_on_the_shelf_is_judged_on_the_day_it_was_used(book):
    """An oil of which no lot was written down answers by the date on its shelf."""
    ends = DAY + timedelta(days=60)
    old = SHELF.today("oil", "lavender")
    fresh = replace(old, expiry=ends, opened=DAY)
    shelf = Shelf((*(item for item in SHELF.items if item.id != old.id), fresh))
    scent = replace(DESIGN.scent, oils=tuple(
        replace(share, oil=fresh.ref if share.oil.id == old.id else share.oil) for share in DESIGN.scent.oils
    ))  # fmt: skip
    design = replace(DESIGN, scent=scent)
    lot(book, "C-1", data=known(1.0))
    code = book.start(judgement.judge(design, shelf, DAY, {}).plan, DAY, design=design, items=(fresh,))
    page = until(book, code, "none")
    later = DAY + timedelta(days=900)
    told = {day: judgement.as_made(book, page, shelf, day).findings for day in (DAY, later)}
    said = {day: {each.text for each in told[day] if "of Lavender" in each.text or "was opened" in each.text}
            for day in told}  # fmt: skip
    assert said[later] == said[DAY]
    planned = judgement.judge(design, shelf, later, {})
    assert any(f"ended on {ends}" in each.text for each in planned.findings)


# --- words about what was made ------------------------------------------------------------------------

PLANNED = ("scale", "Rounding", "Lower", "Stir", "Take another", "Choose", "Make more", "Make a larger")
"""What nobody can follow any more, once the jars are filled."""


def fixes(points) -> str:
    return " ".join(f"{point.text} {point.fix}" for point in points if point.level != "note")


def test_what_was_made_is_not_told_how_to_plan_it(book):
    """A batch of 120 g with much scent and half its preservative."""
    keeper = SHELF.today("ingredient", "preservative-a")
    wish = replace(DESIGN.batch, grams=120.0, preservative_pct=keeper.low_pct)
    scent = replace(DESIGN.scent, load_pct=3.0)
    design = replace(DESIGN, batch=wish, scent=scent)
    number = lot(book, "C-1", data=known(keeper.low_pct * 0.5))
    planned = judgement.judge(design, SHELF, DAY, stock_lots.in_stock(book, {}, DAY).taken)
    assert all(word in fixes(planned.findings) for word in PLANNED[:2])
    code = book.start(planned.plan, DAY, design=design)
    for line in planned.plan.lines:
        grams = line.grams * (0.5 if line.what == "preservative" else 1)
        book.weigh(
            code,
            line.id,
            grams,
            planned_g=line.grams,
            lot=number if line.what == "base" else None,
            note="as it came",
        )
    book.write("ph", "product", {"pH": 5.4}, code)
    told = release.points(book, store.batch(book, code), SHELF, DAY)
    found = {point.id: point for point in told}
    assert "preservative-short" in found
    assert found["preservative-short"].fix == "Do not sell these jars while this stands."
    assert "load.usual" in found
    assert found["load.usual"].fix == "Judge by the jars, and decide whether you sell them."
    assert [word for word in PLANNED if word in fixes(told)] == []
    assert not [point for point in told if point.act or point.button]


def test_the_ph_that_a_batch_measured_is_said_of_the_batch(book):
    code = started(book)
    weighed(book, code, [lot(book, "C-1", data=known(1.0, pH=5.8))])
    book.write("ph", "product", {"pH": 5.4}, code)
    made = judgement.as_made(book, store.batch(book, code), SHELF, DAY)
    (told,) = [found.text for found in made.findings if found.id.startswith("tint.ph.")]
    assert told.startswith("This batch has pH 5.4; ")
    base = SHELF.today("base", "cooked").name
    (planned,) = [found.text for found in judged(book).findings if found.id.startswith("tint.ph.")]
    assert planned.startswith(f"{base} has pH 5.8; ")


def test_a_released_batch_keeps_its_cautions_in_sight_and_names_a_new_one(book):
    code = started(book)
    page = weighed(book, code, [lot(book, "C-1", data=known(1.0))])
    assert release.standing(book, page, SHELF) == ()
    assessments.keep_family(book, family(judgement.as_made(book, page, SHELF, DAY), base=DESIGN.base))
    read_and_release(book, code, SHELF, DAY)
    page = store.batch(book, code)
    stood = release.cautions(release.standing(book, page, SHELF))
    assert stood
    assert set(stood) == release.read_before(page)
    given = {"shelf": SHELF, "on": DAY}

    def misread(pH: float):
        def act() -> tuple[str, ...]:
            number = store.batch(book, code).of("ph")[-1].number
            return corrections.correct_entry(book, code, number, {"pH": pH}, "misread", **given)

        return corrections.brought(book, corrections.judged_with(book, code), SHELF, act)

    codes, told = misread(5.4)
    ((new,),) = told.values()
    assert (codes, list(told)) == ((), [code])
    assert new.startswith("This batch has pH 5.4; ")
    page = store.batch(book, code)
    assert page.decision == store.FOR_SALE
    assert new in release.cautions(release.standing(book, page, SHELF))
    assert new not in release.read_before(page)
    assert misread(13.0) == ((code,), {})
    assert release.standing(book, store.batch(book, code), SHELF) == ()
