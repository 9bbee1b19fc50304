"""Settings of the folder, what a jar costs and sells for, lines and cups in words."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import ceil

import pytest

from blendlab.batch import Maker, Rates
from blendlab.batch.pricing import CostLine, costed, own_shares
from blendlab.production import line_words, money, settings
from blendlab.shelf import Price, Scale, Shelf
from tests.batch import plans_to_try as tries

# --- settings -----------------------------------------------------------------------------------------


def test_settings_are_what_was_written(folder):
    assert settings.settings(folder) == settings.Settings()
    for path, value in (
        ("currency", "CHF"), ("heat_in", "F"), ("rates.per_h", "22"), ("maker.name", "Reed"),
        ("fixed_per_year", "780"),
    ):  # fmt: skip
        assert settings.set_setting(folder, path, value) == ""
    kept = settings.settings(folder)
    assert (kept.currency, kept.heat_in, kept.weigh_in) == ("CHF", "F", "g")
    assert kept.rates == replace(Rates(), per_h=Decimal(22))
    assert kept.maker == Maker(name="Reed")
    assert kept.fixed_per_year == 780


@pytest.mark.parametrize("text", ["much", "NaN", "inf", "1e12", ""])
def test_money_that_is_none_is_nothing(folder, text):
    settings.set_setting(folder, "rates.per_h", text)
    assert settings.settings(folder).rates.per_h == 0


def test_settings_that_cannot_be_read_are_the_usual_ones_and_are_set_aside(folder):
    settings.set_setting(folder, "currency", "CHF")
    (folder.root / "settings.json").write_text("{", encoding="utf-8")
    assert settings.settings(folder) == settings.Settings()
    assert [path.read_text(encoding="utf-8") for path in folder.bin.rglob("settings*.json")] == ["{"]
    assert settings.set_setting(folder, "currency", "EUR") == ""


def test_a_setting_that_could_not_be_read_again_is_not_written(folder):
    assert "weigh_in" in settings.set_setting(folder, "weigh_in", "stone")
    assert settings.settings(folder).weigh_in == "g"


def test_a_share_is_typed_as_percent(folder):
    assert settings.set_rate(folder, "margin", 40, share=True) == ""
    assert settings.set_rate(folder, "minutes", 95.5, share=False) == ""
    rates = settings.settings(folder).rates
    assert (rates.margin, rates.minutes) == (Decimal("0.4"), Decimal("95.5"))
    assert (settings.shown_rate(rates.margin, True), settings.shown_rate(rates.minutes, False)) == (40, 95.5)


def test_a_mark_up_is_the_margin_it_makes(folder):
    """40 % of the price is two thirds of the cost."""
    settings.set_markup(folder, 66.6666667)
    rates = settings.settings(folder).rates
    assert float(rates.margin) == pytest.approx(0.4)
    assert settings.shown_markup(rates) == pytest.approx(66.6666667)


# --- money --------------------------------------------------------------------------------------------


def priced(per_g: float = 0.01) -> Shelf:
    """Everything that is weighed costs the same a gram, nothing is wasted."""
    pack = Price(pack_price=1000 * per_g, pack_g=1000, waste=0)
    items = [
        replace(item, price=pack) if hasattr(item, "price")
        else replace(item, price_per_g=per_g * 0.97) if hasattr(item, "price_per_g") else item
        for item in tries.shelf().items
    ]  # fmt: skip
    return Shelf(tuple(items))


RATES = Rates(
    packaging=Decimal("0.92"),
    label=Decimal("0.18"),
    minutes=Decimal(96),
    per_h=Decimal(20),
    margin=Decimal("0.4"),
)


def told_of(sheet, book, shelf=None, rates=RATES, lots=None, **kept):
    made = settings.Settings(rates=rates, **kept)
    told = money.costs(sheet, tries.design(), priced() if shelf is None else shelf, made, book, lots or {})
    return told, {row.name: row.amount for row in money.cost_rows(told, made)}, money.price_words(told, made)


def test_a_jar_costs_its_grams_its_glass_and_its_part_of_the_work(sheet, book):
    """At 0.01 a gram; 96 min of 20 an hour are 32 a batch; the price is the cost / (1 - 0.4)."""
    told, rows, said = told_of(sheet, book, fixed_per_year=Decimal(780))
    assert told.unpriced == ()
    material = sum(line.grams for line in sheet.lines) / 100 / sheet.jars
    assert float(rows["Material"].split()[0]) == pytest.approx(material, rel=0.02)
    assert rows["Jar with lid"] == "0.92 EUR"
    assert rows["Label and seal"] == "0.18 EUR"
    assert float(rows["Work, 96 min a batch"].split()[0]) == pytest.approx(32 / sheet.jars, abs=0.01)
    assert "Parcel" not in rows
    together = float(rows["A jar costs"].split()[0])
    assert together == pytest.approx(material + 1.10 + 32 / sheet.jars, abs=0.02)
    assert float(rows["Price before VAT"].split()[0]) == pytest.approx(together / 0.6, abs=0.02)
    assert rows["Price on the shelf"] == rows["Price before VAT"]
    assert said[0] == "The margin of 40 % of the price before VAT is a mark-up of 66.7 % on the cost."
    each = float(told.price.net) * 0.4
    assert int(said[1].split(" jars")[0]) == pytest.approx(780 / each, abs=1)


def test_with_fees_the_mark_up_is_one_on_cost_and_fees(sheet, book):
    """And a jar earns its margin for the fixed costs, not what the fees take of it."""
    rates = replace(RATES, fee=Decimal("0.095"), fixed_fee=Decimal("0.45"), vat=Decimal("0.2"))
    told, rows, said = told_of(sheet, book, rates=rates, fixed_per_year=Decimal(780))
    assert said[0].endswith("is a mark-up of 66.7 % on cost and fees.")
    net, fees = told.price.net, Decimal("0.45") + Decimal("0.095") * told.price.gross
    margin = net - told.jar.total - fees
    assert float(margin / (told.jar.total + fees)) == pytest.approx(2 / 3)
    assert int(said[1].split(" jars")[0]) == ceil(780 / margin)
    for name in (
        "Fee of a sale",
        "Fee, 9.5 % of the price on the shelf",
        "VAT, 20 % of the price before VAT",
    ):
        assert name in rows


def test_a_jar_of_hers_brings_its_own_price(sheet, book):
    glass = replace(tries.shelf().today("jar", "j120-70"), price_each=0.5)
    shelf = Shelf((*(item for item in priced().items if item.id != glass.id), glass))
    _, rows, _ = told_of(sheet, book, shelf)
    assert rows["Jar with lid"] == "1.42 EUR"  # 0.92 of packaging, 0.50 for the jar


def test_without_every_price_there_is_no_sum_and_their_count_is_told(sheet, book):
    told, rows, said = told_of(sheet, book, tries.shelf(), replace(RATES, packaging=Decimal(0)))
    assert told.unpriced[-1] == "jar with lid"
    whole = len(told.lines)
    missing = sum(line.cost is None for line in told.lines)
    assert f"Material, {whole - missing} of {whole} lines" in rows
    assert rows[f"{missing + 1} more things"] == "no price: not in the sum"
    assert not {"A jar costs", "Price before VAT", "Price on the shelf"} & set(rows)
    assert said[0].startswith("No price, so no sum: ")
    assert told.unpriced[0] in said[0]
    lines = money.line_rows(told, settings.Settings())
    assert [row.amount for row in lines].count("no price: not in the sum") == missing


def test_the_lines_of_a_batch_add_up_and_what_stays_in_packs_is_one_of_them():
    """97 for 1000 g and 3 % left in the pack: 97 a batch of 970 g and 3 for what stays, 100 in all."""
    lines = tuple(
        CostLine(f"oil:{name}", name, Decimal(cost), "your shelf", Decimal(cost) * Decimal("0.03"))
        for name, cost in (("a", "33.335"), ("b", "33.335"), ("c", "33.33"))
    )
    rows = money.line_rows(costed(lines, 10, Rates(), Decimal(0)), settings.Settings())
    told = [(row.name, Decimal(row.amount.split()[0])) for row in rows]
    assert told[-2:] == [("What stays in packs", Decimal("3.00")), ("Material", Decimal("100.00"))]
    assert rows[-1].total
    assert "3 % of a pack unless its price says otherwise (common practice)" in rows[-2].amount
    assert sum(amount for _, amount in told[:-1]) == told[-1][1]
    bare = tuple(line._replace(wasted=Decimal(0)) for line in lines)
    names = [row.name for row in money.line_rows(costed(bare, 10, Rates(), Decimal(0)), settings.Settings())]
    assert names == ["a", "b", "c", "Material"]


def test_nothing_priced_is_no_bold_nothing(sheet, book):
    bare = Shelf(tuple(
        replace(item, price=None, price_per_g=None) if hasattr(item, "price") and hasattr(item, "price_per_g")
        else replace(item, price_per_g=None) if hasattr(item, "price_per_g") else item
        for item in tries.shelf().items
    ))  # fmt: skip
    _, rows, _ = told_of(
        sheet, book, bare, replace(RATES, packaging=Decimal(0), label=Decimal(0), minutes=Decimal(0))
    )
    assert list(rows.values()) == ["no price: not in the sum"]


def test_a_price_that_leaves_nothing_is_told_beside_the_cost(sheet, book):
    _, rows, said = told_of(sheet, book, rates=replace(RATES, fee=Decimal("0.7")))
    assert "A jar costs" in rows
    assert "Price on the shelf" not in rows
    assert "take the whole price" in said[-1]


def test_her_own_price_says_what_stays_of_a_jar(sheet, book):
    """At 12.00 with 20 % VAT 10.00 are hers; 10 % of 12.00 and 0.30 go in fees, the cost goes off."""
    rates = replace(
        RATES, margin=Decimal(0), vat=Decimal("0.2"), fee=Decimal("0.1"), fixed_fee=Decimal("0.3"),
        own_price=Decimal(12),
    )  # fmt: skip
    told, rows, said = told_of(sheet, book, rates=rates)
    left, cost = Decimal("8.5") - told.jar.total, f"{told.jar.total:.2f} EUR of cost"
    assert said == [
        f"At 12.00 EUR on the shelf {left:.2f} EUR of a jar stay, {10 * left:.1f} % of the price before VAT; "
        f"off it go {cost}, 1.50 EUR of fees, 2.00 EUR of VAT."
    ]
    assert "Price on the shelf" not in rows
    shares = {share.key: share.amount for share in own_shares(told)}
    assert sum(shares.values()) == 12
    _, _, said = told_of(sheet, book, rates=replace(rates, own_price=Decimal(3)))
    loss = told.jar.total - Decimal("1.9")
    assert said == [
        f"At 3.00 EUR on the shelf each jar loses {loss:.2f} EUR; off it go {cost}, 0.60 EUR of fees, "
        "0.50 EUR of VAT."
    ]


def test_what_was_not_entered_is_said_not_to_be_in_it(sheet, book):
    rates = replace(RATES, margin=Decimal(0), per_h=Decimal(0), label=Decimal(0))
    _, rows, said = told_of(sheet, book, rates=rates)
    assert said == ["Not entered, so not in it: your work, label and seal."]
    assert list(rows)[-1] == "A jar costs"


# --- lines --------------------------------------------------------------------------------------------


def test_a_line_stands_in_grams_or_in_ounces_with_grams_behind(sheet):
    """453.592 37 g are 16 oz avoirdupois."""
    line = replace(sheet.lines[0], grams=453.59237, step_g=0.01)
    assert line_words.line_grams(line, "g") == ("453.59", "")
    assert line_words.line_grams(line, "oz") == ("16.0000", "453.59 g")
    assert line_words.ounces(453.59237, 0.1) == "16.000"


def test_each_cup_is_labelled_with_all_that_goes_into_it(sheet):
    told = dict(line_words.cups(sheet))
    assert list(told) == list(sheet.cups)
    for cup, lines in sheet.cups.items():
        grams = float(told[cup].removesuffix(" g").replace("\u2009", ""))
        assert grams == pytest.approx(
            sum(line.grams for line in lines), abs=min(line.step_g for line in lines)
        )


def test_what_is_taken_of_the_bowl_is_said_of_each_tone(sheet):
    said = line_words.portion_lines(sheet)
    assert len(said) == len(sheet.portions)
    assert sum("the rest, about" in line for line in said) == sum(portion.rest for portion in sheet.portions)
    for line, portion in zip(said, sheet.portions, strict=True):
        assert line.startswith(f"{portion.name}: ")
        grams = f"{portion.take_g:.0f}" if portion.rest else f"{portion.take_g:g}"
        assert f"{grams} g of the bowl" in line
        assert portion.rest or f"take {grams} g of" in " ".join(step.text for step in sheet.steps)
    gross = replace(sheet, portions=tuple(replace(each, take_g=71.5, rest=False) for each in sheet.portions))
    assert all("71.5 g of the bowl" in line for line in line_words.portion_lines(gross))
    own = replace(sheet, portions=(replace(sheet.portions[0], scent_g=1.25),))
    assert line_words.portion_lines(own)[0].endswith("and 1.25 g of the scent")


def test_the_least_of_a_scale_is_more_for_what_is_protected():
    scale = Scale(id="s", name="s", step_g=0.01, capacity_g=500)
    ordinary, protected = line_words.least(scale)
    assert 0.01 < ordinary < protected
    least, tolerance = line_words.least_usp41(scale)
    assert least == pytest.approx(2000 * 0.41 * 0.01)  # USP <41>: 2000 times 0.41 d
    assert tolerance == pytest.approx(0.1)
