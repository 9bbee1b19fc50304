"""Her oils, raw materials and lots go out as tables and come back the same; every bad row is answered."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.assess import assess
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.forms.oil_tables import put_table, read_table
from blendlab.forms.prices import per_kg
from blendlab.forms.tables import take_ingredients, take_lots
from blendlab.fragrance.oil_columns import column
from blendlab.production.tables import lines_csv, lots_csv
from blendlab.shelf import Declaration, Declared, Lot, Shelf
from blendlab.show.tables import ingredients_csv, oils_csv
from blendlab.store import Folder
from blendlab.tables import cells, csv_of, price_head, text_of
from tests.store.damage import harm

DAY = date(2026, 11, 26)


@pytest.fixture
def folder(tmp_path):
    place = Folder.at(tmp_path)
    for item in demo_shelf().items:
        store.save_item(place, item, None)
    return place


def test_oils_come_back_as_they_went_out(folder):
    shelf = store.read_shelf(folder)
    declared = {"78-70-6": Declared(pct=31.5), "5989-27-5": Declared(pct=0.01, below=True)}
    said = Declaration(names="new81", issued=date(2026, 1, 2), rows=declared)
    oil = next(shelf.of("oil"))
    oil = replace(oil, declaration=said, sheet=replace(oil.sheet, issued=date(2026, 1, 2)), solvent="none")
    shelf = Shelf((oil, *(other for other in shelf.of("oil") if other.sheet is None)))
    read = read_table(shelf, text_of(oils_csv(shelf, "EUR")), "%", "new81", False, True, "EUR")
    assert read.problems == ()
    assert [row.problems for row in read.rows] == [()] * len(read.rows)
    assert put_table(folder, shelf, read)[1] == []
    again = store.read_shelf(folder).today("oil", oil.id)
    assert again.sheet == oil.sheet
    assert {cas: again.declaration.rows[cas] for cas in declared} == declared
    assert (again.constituents, again.library_id) == (oil.constituents, oil.library_id)
    assert (again.flash_c, again.density_g_ml, again.lot, again.received) == (
        oil.flash_c, oil.density_g_ml, oil.lot, oil.received,
    )  # fmt: skip
    assert again.notes == pytest.approx(oil.notes, abs=1e-6)


def test_a_price_list_changes_the_price_and_nothing_else(folder):
    shelf = store.read_shelf(folder)
    oil = next(shelf.of("oil"))
    read = read_table(shelf, f"Name;Price per kg\n{oil.name};99", "%", "new81", False, True, "EUR")
    put_table(folder, shelf, read)
    assert store.read_shelf(folder).today("oil", oil.id) == replace(oil, price_per_g=0.099)


def test_raw_materials_come_back_as_they_went_out(tmp_path):
    place, shelf = Folder.at(tmp_path), demo_shelf()
    read = take_ingredients(place, Shelf(), text_of(ingredients_csv(shelf, "EUR")), "EUR")
    assert [row.answers for row in read.rows] == [()] * len(list(shelf.of("ingredient")))
    again = {item.name: item for item in store.read_shelf(place).of("ingredient")}
    for item in shelf.of("ingredient"):
        kept = ("components", "function", "phase", "charge", "water_pct", "active_pct", "high_pct", "care")
        for field in kept:
            assert getattr(again[item.name], field) == getattr(item, field), (item.name, field)
    twice = take_ingredients(place, store.read_shelf(place), text_of(ingredients_csv(shelf, "EUR")), "EUR")
    assert twice.done == 0
    assert "on the shelf already" in twice.rows[0].answers[0]


def test_prices_name_their_currency_and_those_in_another_are_not_taken(folder, tmp_path):
    shelf = store.read_shelf(folder)
    oils, materials = text_of(oils_csv(shelf, "EUR")), text_of(ingredients_csv(shelf, "EUR"))
    assert "Price per g, EUR" in oils
    assert "Price of a kilogram, EUR" in materials
    place = Folder.at(tmp_path / "other")
    told = "in EUR, yours are in CHF: reckon them into CHF"
    read = take_ingredients(place, Shelf(), materials, "CHF")
    assert read.done == 0
    assert told in read.problems[0]
    table = read_table(shelf, oils, "%", "new81", False, True, "CHF")
    assert table.oils == ()
    assert told in table.problems[0]
    assert take_ingredients(place, Shelf(), materials, "eur").done
    again = {item.name: item for item in store.read_shelf(place).of("ingredient")}
    known = [item for item in shelf.of("ingredient") if item.price or item.price_per_g is not None]
    assert known
    for item in known:
        assert per_kg(again[item.name]) == pytest.approx(per_kg(item)), item.name


@pytest.mark.parametrize("head", ["Price per kg (USD)", "Price per kg USD", "PRICE PER KG, $"])
def test_a_head_of_prices_is_known_however_its_currency_is_written(head):
    named, currency = price_head(head)
    assert (named.lower(), currency in {"USD", "$"}) == ("price per kg", True)
    assert column(head).key == "price_per_kg"


def test_a_bad_row_is_answered_and_its_neighbours_are_taken(tmp_path):
    text = (
        'Name,Components,"Water, %"\nReed water,"Aqua; 7732-18-5; 100; 100",100\nMoss,,\nFern,Oil; 100,much\n'
    )
    read = take_ingredients(Folder.at(tmp_path), Shelf(), text, "EUR")
    assert [(row.number, row.name, row.done) for row in read.rows] == [
        (2, "Reed water", True), (3, "Moss", False), (4, "Fern", False),
    ]  # fmt: skip
    assert "Components are missing" in read.rows[1].answers[0]
    assert '"much" is not a number' in read.rows[2].answers[0]


@pytest.mark.parametrize(
    ("text", "told"), [("", "no line with the names"), ("Code;g\nA;1", "No column"), ("Name", "no row")]
)
def test_a_table_without_what_it_needs_is_answered(tmp_path, text, told):
    assert told in take_ingredients(Folder.at(tmp_path), Shelf(), text, "EUR").problems[0]


def test_lots_go_out_and_deliveries_come_in(folder):
    shelf, book = store.read_shelf(folder), store.open_book(folder)
    oil = next(shelf.of("oil"))
    came = (oil.name, "L-7", "250,5", "Reed supply", "2026-11-01", "2027-11-01")
    heads = ("What", "Code", "Came, g", "Supplier", "Received", "Use by")
    read = take_lots(
        book, folder, shelf, text_of(csv_of(heads, [came, ("Nothing", "X", "1", "", "", "")])), DAY
    )
    assert [row.done for row in read.rows] == [True, False]
    assert "nothing on the shelf" in read.rows[1].answers[0]
    (line,) = store.lots(book)
    assert (line.lot.code, line.came_g, line.lot.expiry) == ("L-7", 250.5, date(2027, 11, 1))
    assert cells(text_of(lots_csv(book)))[1][:4] == (oil.name, "L-7", "250.5", "250.5")
    again = take_lots(book, folder, shelf, text_of(lots_csv(book)), DAY)
    assert again.done == 0
    assert "in the book already" in again.rows[0].answers[0]
    assert len(store.lots(book)) == 1


def test_an_empty_book_is_a_table_of_heads(folder):
    assert len(cells(text_of(lines_csv(store.open_book(folder))))) == 1


def test_the_lines_of_the_book_go_out(folder):
    shelf, book = store.read_shelf(folder), store.open_book(folder)
    lagoon = demo_designs(shelf)[0]
    code = book.start(assess(lagoon, shelf, DAY).plan, DAY, sku="LAGOON", design=lagoon)
    first = store.batch(book, code).plan.lines[0]
    number = book.receive(Lot(code="B-1", of=shelf.today("base", "soap-white").ref, name="Base"), 5000.0)
    book.weigh(code, first.id, first.grams, planned_g=first.grams, lot=number, scale=first.scale)
    rows = cells(text_of(lines_csv(book)))
    assert rows[1][:3] == (code, "2026-11-26", "Lagoon")
    grams = f"{first.grams:.12g}"
    assert rows[1][4:10] == ("weighing", first.name, "B-1", grams, grams, first.scale)


def test_what_cannot_be_read_of_the_book_is_a_row_and_hides_no_other(folder):
    shelf, book = store.read_shelf(folder), store.open_book(folder)
    lagoon = demo_designs(shelf)[0]
    plan = assess(lagoon, shelf, DAY).plan
    codes = [book.start(plan, DAY, design=lagoon) for _ in range(2)]
    for code in codes:
        book.tick(code, "clean")
    of_base = shelf.today("base", "soap-white").ref
    lots = [book.receive(Lot(code=code, of=of_base, name="Base"), 500.0) for code in ("B-1", "B-2")]
    harm(book, "UPDATE batches SET plan = '{}' WHERE code = ?", codes[0])
    harm(book, "UPDATE entries SET data = '?' WHERE id = 2")
    harm(book, "UPDATE lots SET data = '?' WHERE id = ?", lots[0])
    rows = cells(text_of(lines_csv(book)))[1:]
    assert [(row[0], row[4]) for row in rows if row[0]] == [(code, "cannot be read") for code in codes]
    assert "plan cannot be read" in rows[-2][10]
    assert "line 2 of the book" in rows[-1][10]
    assert [row[0] for row in cells(text_of(lots_csv(book)))[1:]] == ["Base", "cannot be read"]
