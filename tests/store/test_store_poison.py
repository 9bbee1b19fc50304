"""Poisoned documents: set aside with a sentence, never a dead page; `blendlab check` answers each with 2."""

from __future__ import annotations

import json
import sqlite3
import zlib
from datetime import date

import pytest

from blendlab import cli, recipe, store
from blendlab.batch.plan import plan
from blendlab.codec import decode, from_json
from blendlab.errors import BadDocument, BlendlabError
from blendlab.recipe import EYES, LAMPS, OBSERVERS, Ref, View
from blendlab.shelf import Lot, resolve
from blendlab.store import atomic_write
from blendlab.store.picture_file import is_whole
from blendlab.tint import see
from tests.batch import plans_to_try as tries
from tests.store.damage import harm
from tests.store.samples import ITEMS, card, design, png


@pytest.fixture
def folder(tmp_path):
    made = store.Folder.at(tmp_path / "swatches")
    for item in ITEMS:
        store.save_item(made, item, None)
    store.save(made, card("Fern Glade", "fern"), png(), None)
    store.save(made, card("Lagoon", "lagoon"), png(), None)
    return made


def put(plain, path: str, value) -> None:
    *stem, leaf = path.split(".")
    for step in stem:
        plain = plain[int(step)] if isinstance(plain, list) else plain[step]
    plain[int(leaf) if isinstance(plain, list) else leaf] = value


DUST = {"pigment": {"kind": "jar", "id": "straight-120"}, "mg_per_cm2": 0.3}
STOCK = {
    "of": {"kind": "jar", "id": "straight-120"}, "pct": 10, "carrier": {"kind": "ingredient", "id": "oil"},
}  # fmt: skip
POISON = {
    "a whole number of 400 digits": ("design.batch.jars", 10**400),
    "a number of 400 digits": ("design.tones.0.share_pct", 10**400),
    "a format of 400 digits": ("design.format", 10**400),
    "half a character": ("design.name", "Lag\ud800oon"),
    "half a character in a key": ("design.scent.strengths", {"\udfff": 1.0}),
    "not a number": ("design.scent.load_pct", float("nan")),
    "endless": ("design.weeks", float("inf")),
    "an unknown lamp": ("design.view.lamp", "moon"),
    "an unknown eye": ("design.view.eye", "third"),
    "an observer between the two": ("design.view.observer_deg", 5),
    "a day before the calendar": ("design.placed_on", "0001-01-01"),
    "a day after the calendar": ("design.placed_on", "9999-12-31"),
    "a save that has no date": ("saved_at", "yesterday"),
    "a dust that is a jar": ("design.top.dust", DUST),
    "a dilution of a jar": ("design.batch.dilutions", [STOCK]),
    "a scale that is an oil": ("design.batch.scales", [{"kind": "oil", "id": "lavender"}]),
    "a kind that is none": ("design.jar.kind", "lantern"),
    "a colour that writes into the page": ("judged.tones.0.hex", '"><b>'),
    "counts that are none": ("judged.counts", [1, 2]),
    "very deep": ("ribbon", json.loads("[" * 500 + "]" * 500)),
}


@pytest.mark.parametrize(("path", "value"), POISON.values(), ids=POISON)
def test_a_poisoned_card_is_set_aside_and_the_others_stay(folder, path, value, capsys):
    file = folder.cards / "lagoon-lagoon.json"
    plain = json.loads(file.read_text(encoding="utf-8"))
    put(plain, path, value)
    data = json.dumps(plain).encode()
    file.write_bytes(data)

    assert cli.main(["--folder", str(folder.root), "check", str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(str(file))
    assert said.err.count("\n") == 1
    assert len(said.err) < 700
    said.err.encode()

    assert [entry.name for entry in store.listing(folder) if not entry.damaged] == ["Fern Glade"]
    assert (folder.damaged / "cards" / file.name).read_bytes() == data


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{",
        b"\xff\xfe{}",
        b"[1]",
        b"null",
        b"{}",
        b'{"design": null}',
        b"[" * 100_000,
        b"SQLite format 3\x00",
    ],
)
def test_a_file_that_is_no_document_is_answered_by_check(folder, tmp_path, data, capsys):
    file = tmp_path / "unfit.json"
    file.write_bytes(data)
    for command in (["check", str(file)], ["card", str(file), "-o", str(tmp_path / "card.png")]):
        assert cli.main(["--folder", str(folder.root), *command]) == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_check_answers_a_shelf_item_a_line_a_book_and_a_folder(folder, capsys):
    store.save_line(folder, store.CardLine(id="line", name="Line"), None)
    store.open_book(folder)
    paths = (next(folder.shelf.rglob("*.json")), next(folder.lines.glob("*.json")), folder.book, folder.cards)
    for path in paths:
        assert cli.main(["--folder", str(folder.root), "check", str(path)]) == 2
        assert str(path) in capsys.readouterr().err


def test_check_does_not_judge_half_of_a_newer_card(folder, capsys):
    file = folder.cards / "lagoon-lagoon.json"
    plain = json.loads(file.read_text(encoding="utf-8"))
    put(plain, "design.format", 7)
    file.write_text(json.dumps(plain), encoding="utf-8")
    before = file.read_bytes()
    assert cli.main(["--folder", str(folder.root), "check", str(file)]) == 2
    assert "newer version (format 7" in capsys.readouterr().err
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    "harm",
    [
        lambda data: data[:-20],
        lambda data: data[:40] + bytes([data[40] ^ 255]) + data[41:],
        lambda data: b"no picture",
        lambda data: b"",
        lambda data: data[:8],
    ],
)
def test_a_damaged_picture_with_a_matching_digest_is_not_shown(folder, harm):
    file = folder.cards / "lagoon-lagoon.json"
    picture = file.with_suffix(".png")
    assert is_whole(picture.read_bytes())
    data = harm(picture.read_bytes())
    picture.write_bytes(data)
    plain = json.loads(file.read_text(encoding="utf-8"))
    plain["picture"] = atomic_write.digest_of(data)
    file.write_text(json.dumps(plain), encoding="utf-8")
    shown = {entry.name: entry.picture for entry in store.listing(folder)}
    assert shown["Lagoon"] is None
    assert shown["Fern Glade"] is not None


def test_a_picture_that_unpacks_to_no_end_is_not_shown(folder):
    """Its checksums are right and its file is small: one such card took the page of all cards down."""
    file = folder.cards / "lagoon-lagoon.json"
    data = file.with_suffix(".png").read_bytes()
    head = b"IHDR" + (20_000).to_bytes(4, "big") * 2 + data[24:29]
    data = data[:12] + head + zlib.crc32(head).to_bytes(4, "big") + data[33:]
    file.with_suffix(".png").write_bytes(data)
    plain = json.loads(file.read_text(encoding="utf-8"))
    file.write_text(json.dumps({**plain, "picture": atomic_write.digest_of(data)}), encoding="utf-8")
    assert {entry.name: entry.picture for entry in store.listing(folder)}["Lagoon"] is None


def test_every_lamp_eye_and_observer_that_is_read_can_be_seen_with():
    for lamp in LAMPS:
        for observer in OBSERVERS:
            for eye in EYES:
                view = decode(View, {"lamp": lamp, "observer_deg": observer, "eye": eye})
                assert see([0.5] * 31, view.lamp, view.observer_deg, view.eye).in_gamut.shape == ()


def test_a_poisoned_item_line_and_settings_hide_nothing(folder):
    store.save_line(folder, store.CardLine(id="line", name="Line"), None)
    (folder.lines / "bad.json").write_text('{"id": "\\ud800", "name": "x"}', encoding="utf-8")
    oil = folder.shelf / "oil" / "lavender.json"
    oil.write_text(oil.read_text(encoding="utf-8").replace("8.5", "1" + "0" * 400), encoding="utf-8")
    (folder.root / "settings.json").write_text('{"rates": {"per_h": 1e999}}', encoding="utf-8")
    assert [saved.line.name for saved in store.lines(folder)] == ["Line"]
    assert len(store.read_shelf(folder).items) == len(ITEMS) - 1
    assert [found.path.name for found in store.unread_items(folder)] == ["lavender.json"]
    assert [found.path.name for found in store.unread_lines(folder)] == ["bad.json"]
    with pytest.raises(BadDocument):
        store.read_settings(folder)
    assert store.read_settings(folder) == {}
    assert (folder.damaged / "settings.json").is_file()


def test_a_jar_where_an_ingredient_is_wanted_is_told_for_items_too(folder):
    path = folder.shelf / "base" / "foam.json"
    plain = json.loads(path.read_text(encoding="utf-8"))
    plain["lines"] = [{"ingredient": {"kind": "jar", "id": "straight-120"}, "pct": 100}]
    path.write_text(json.dumps(plain), encoding="utf-8")
    assert not list(store.read_shelf(folder).of("base"))
    assert store.unread_items(folder)


@pytest.mark.parametrize("text", ["1e999", "-1e999", "NaN", "1" * 17, '"\\ud83d"', "[" * 60 + "]" * 60])
def test_what_json_allows_and_nothing_can_hold_is_refused_at_the_door(text):
    with pytest.raises(BadDocument):
        from_json("card", text)


@pytest.mark.parametrize("text", ["1e300", "0.1", "-5", "9" * 16, '"\\ud83c\\udf3f"', "[" * 30 + "]" * 30])
def test_what_can_be_held_is_read(text):
    assert from_json("card", text) == json.loads(text)


# --- the book -----------------------------------------------------------------------------------------


@pytest.fixture
def book(folder):
    made = store.open_book(folder)
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    for _ in range(2):
        code = made.start(sheet, date(2026, 3, 7), design=tries.design())
        made.fill(code, 1, 70.0)
        made.fill(code, 2, 71.0)
    return made


BAD_PLANS = ("", "{", "[]", "{}", '{"format": 1}', '{"format": "x"}', "\x00", '{"title": NaN}')


@pytest.mark.parametrize("text", BAD_PLANS)
def test_a_bad_plan_is_answered_and_hides_neither_its_log_nor_another_batch(book, text):
    first, second = "26066A", "26066B"
    harm(book, "UPDATE batches SET plan = ? WHERE code = ?", text, first)
    with pytest.raises(BadDocument, match="cannot be read"):
        store.batch(book, first)
    assert store.batch_log(book, first).filled_g == (70.0, 71.0)
    assert [line.code for line in store.batches(book)] == [second, first]
    assert store.batch(book, second).filled_g == (70.0, 71.0)


@pytest.mark.parametrize("text", ["", "{", '{"net_g": "much"}', '{"net_g": 1e999}', '{"tone": "x"}', "[3]"])
def test_a_bad_entry_is_told_on_its_batch_and_hides_no_other(book, text):
    harm(book, "UPDATE entries SET data = ? WHERE id = 1", text)
    page = store.batch(book, "26066A")
    assert page.filled_g == (71.0,)
    (told,) = page.unread
    assert "Entry, line 1 of the book" in told
    assert store.batch(book, "26066B").unread == ()


def test_a_day_that_is_none_takes_one_batch_out_of_the_list_and_is_told(book):
    harm(book, "UPDATE batches SET made_on = 'spring' WHERE code = '26066A'")
    assert [line.code for line in store.batches(book)] == ["26066B"]
    (told,) = store.unread(book)
    assert "spring" in told


def test_designs_that_are_no_json_do_not_hide_the_batches_of_another(book):
    harm(book, "UPDATE batches SET design = '{' WHERE code = '26066A'")
    assert [line.code for line in store.batches(book, "two")] == ["26066B"]


def test_a_bad_batch_does_not_hide_the_rest_of_a_recall(book):
    number = book.receive(Lot(code="L-1", of=Ref(kind="base", id="cooked")), 100.0)
    for code in ("26066A", "26066B"):
        book.weigh(code, "base", 10.0, planned_g=10.0, lot=number)
    harm(book, "UPDATE batches SET made_on = '' WHERE code = '26066A'")
    reach = store.forward(book, number)
    assert [line.code for line in reach.batches] == ["26066B"]
    assert any("26066A" in sentence for sentence in reach.unread)


def test_a_lot_that_cannot_be_read_is_told_in_every_recall(book):
    numbers = [
        book.receive(Lot(code=code, of=Ref(kind="base", id="cooked")), 100.0) for code in ("L-1", "L-2")
    ]
    book.weigh("26066A", "base", 10.0, planned_g=10.0, lot=numbers[0])
    book.weigh("26066A", "dust", 1.0, planned_g=1.0, lot=numbers[1])
    harm(book, "UPDATE lots SET data = '{' WHERE code = 'L-2'")
    assert [line.number for line in store.lots(book)] == numbers[:1]
    assert any("L-2" in sentence for sentence in store.unread(book))
    assert any("L-2" in sentence for sentence in store.forward(book, numbers[0]).unread)
    origin = store.backward(book, "26066A")
    assert [line.number for line in origin.lots] == numbers[:1]
    assert origin.unread == (f"Lot {numbers[1]} cannot be read.",)


def test_text_that_is_no_text_does_not_hide_a_line(book):
    harm(book, "UPDATE batches SET name = CAST(x'ff41fe' AS TEXT) WHERE code = '26066A'")
    assert {line.code for line in store.batches(book)} == {"26066A", "26066B"}


def test_tables_of_another_shape_are_answered_in_a_sentence(folder):
    book = store.open_book(folder)
    link = sqlite3.connect(book.path)
    link.execute("ALTER TABLE batches RENAME COLUMN name TO title")
    link.close()
    with pytest.raises(BlendlabError, match="This book cannot be read"):
        store.batches(book)


def test_a_draft_of_any_kind_never_raises(folder):
    for text in ('{"design": {"name": "\\ud800"}}', '{"design": ' + "9" * 400 + "}", "[]", "\x00"):
        folder.draft.write_text(text, encoding="utf-8")
        drafts, (told,) = store.load_drafts(folder)
        assert drafts == ()
        assert "was set aside" in told
    store.save_draft(folder, "one", {"design": recipe.to_dict(design())}, None)
    assert len(store.load_drafts(folder)[0]) == 1


def test_a_book_lies_wherever_her_folder_is_called_what(tmp_path):
    folder = store.Folder(tmp_path / "jars # 50% ? ü")
    assert store.batches(store.open_book(folder)) == ()
    assert folder.book.is_file()
