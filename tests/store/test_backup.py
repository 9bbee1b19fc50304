"""Backup, looking over, bringing in: whole, read back, nothing of hers overwritten, no trick let in."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from contextlib import closing
from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import BadDocument, NewerFormat, NotSaved
from blendlab.recipe import Ref
from blendlab.shelf import Lot, Shelf, embedded, pinned, resolve
from blendlab.show.safekeeping import packed_prices_words
from blendlab.store import archive, atomic_write
from blendlab.store.book import Book
from blendlab.store.bring_in import BOTH, EQUAL, LEFT, NEW, PRICE
from blendlab.store.folder import Folder
from tests.batch import plans_to_try as tries
from tests.store.damage import harm
from tests.store.samples import FINE, GOLD, ITEMS, card, png, read_only
from tests.store.test_book_rescue import rows

DAY = date(2026, 3, 7)


@pytest.fixture(scope="module")
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


@pytest.fixture
def folder(tmp_path, made):
    """Two cards, a line, a shelf, settings, a draft and a book with a batch."""
    hers = Folder.at(tmp_path / "hers")
    store.lay_out(hers, ITEMS, [(card("Lagoon", "lagoon"), png()), (card("Fern", "fern"), png((1, 2, 3)))])
    store.save_line(hers, store.CardLine(id="spring", name="Spring", cards=("fern", "lagoon")), None)
    store.save_settings(hers, {"currency": "EUR"})
    store.save_draft(hers, "bench", {"design": {"id": "x", "name": "Bench"}}, None)
    book = store.open_book(hers, DAY)
    lot = book.receive(Lot(code="L-1", of=Ref(kind="pigment", id="gold"), name="Gold"), 10.0)
    code = book.start(made, DAY, sku="TWO120")
    book.weigh(code, "pigment:gold", 1.0, planned_g=1.0, lot=lot)
    return hers


@pytest.fixture
def packed(folder, tmp_path):
    return store.make_backup(folder, tmp_path / "all.zip")


def files_of(folder):
    """Every plain file but the book and its copies."""
    return {
        path.relative_to(folder.root).as_posix(): path.read_bytes()
        for path in folder.root.rglob("*.*")
        if path.suffix in (".json", ".png")
    }


def took(folder, path, **more):
    arrival = store.bring_in(folder, path, write=True, **more)
    return {what: [step.name for step in arrival.of(what)] for what in (NEW, EQUAL, BOTH, LEFT)}


def test_a_backup_brought_into_an_empty_folder_is_the_same_folder(folder, packed, tmp_path):
    assert packed.told == ()
    assert (packed.cards, packed.lines) == (
        2,
        {table: len(found) for table, found in rows(folder.book).items()},
    )
    other = Folder(tmp_path / "other")
    came = took(other, packed.path)
    assert came[EQUAL] == came[BOTH] == came[LEFT] == []
    ours, theirs = files_of(folder), files_of(other)
    assert ours == theirs
    assert rows(other.book) == rows(folder.book)
    assert store.verify(other).found == ()


def test_bringing_in_twice_changes_nothing(folder, packed):
    came = took(folder, packed.path)
    assert came[NEW] == came[BOTH] == came[LEFT] == []
    assert len(store.listing(folder)) == 2


def test_only_looking_writes_nothing(folder, packed, tmp_path):
    other = Folder(tmp_path / "other")
    arrival = store.bring_in(other, packed.path, write=False)
    assert len(arrival.of(NEW)) > 8
    assert not list(other.root.rglob("*.json"))
    assert not other.book.exists()


def test_what_differs_comes_beside_hers_once(folder, packed):
    lagoon = store.open_card(folder, "lagoon")
    changed = replace(lagoon.card, design=replace(lagoon.card.design, weeks=9))
    store.save(folder, changed, png((9, 9, 9)), lagoon.digest)
    seen = store.open_item(folder, "pigment", "gold").digest
    store.save_item(folder, replace(GOLD, cap_pct=1.5), seen)
    for _ in range(2):
        came = took(folder, packed.path)
    assert came[BOTH] == came[LEFT] == []
    cards = {entry.name: entry for entry in store.listing(folder)}
    assert set(cards) == {"Lagoon", "Fern", "Lagoon, brought in"}
    assert cards["Lagoon"].picture.read_bytes() == png((9, 9, 9))
    assert cards["Lagoon, brought in"].picture.read_bytes() == png()
    assert store.open_card(folder, "lagoon").card.design.weeks == 9
    caps = {item.name: item.cap_pct for item in store.read_shelf(folder).of("pigment")}
    assert caps["Gold mica"] == 1.5
    assert caps["Gold mica, brought in"] == 2
    orders = {saved.line.name: saved.line.cards for saved in store.lines(folder)}
    assert orders["Spring"] == ("fern", "lagoon")
    assert orders["Spring, brought in"] == ("fern", cards["Lagoon, brought in"].card_id)


def test_what_differs_only_in_its_price_is_told_and_is_hers_until_her_word(folder, packed):
    seen = store.open_item(folder, "pigment", "gold").digest
    store.save_item(folder, replace(GOLD, price_per_g=0.7), seen)
    for write in (False, True):
        arrival = store.bring_in(folder, packed.path, write=write)
        (told,) = arrival.of(PRICE)
        assert (told.name, told.prices, told.taken) == ("Gold mica", ("700 EUR a kg", "no price"), False)
        assert arrival.prices_ask
        assert "Gold mica" not in [step.name for step in arrival.of(EQUAL)]
        assert arrival.of(BOTH) == ()
        assert store.open_item(folder, "pigment", "gold").item.price_per_g == 0.7, "hers stays"
    looked = store.bring_in(folder, packed.path, write=False, with_prices=True)
    assert store.open_item(folder, "pigment", "gold").item.price_per_g == 0.7
    taken = store.bring_in(folder, packed.path, write=True, with_prices=True)
    assert (looked.prices_ask, taken.prices_ask, taken.of(PRICE)[0].taken) == (False, False, True)
    assert store.open_item(folder, "pigment", "gold").item == GOLD
    assert store.bring_in(folder, packed.path, write=False).of(PRICE) == ()


def test_a_card_whose_revisions_differ_in_their_price_alone_is_hers(folder, packed):
    """The pin of a card moves with every price; what moves with a cap is another jar."""
    lagoon = store.open_card(folder, "lagoon")
    for again, what in ((replace(GOLD, price_per_g=0.7), EQUAL), (replace(GOLD, cap_pct=1.5), BOTH)):
        shelf = Shelf(tuple(again if item.id == "gold" else item for item in ITEMS))
        design = pinned(lagoon.card.design, shelf)
        design = replace(design, top=replace(design.top, dust=replace(design.top.dust, pigment=again.ref)))
        assert design != lagoon.card.design
        seen = store.open_card(folder, "lagoon").digest
        moved = replace(lagoon.card, design=design, embedded=embedded(design, shelf))
        store.save(folder, moved, png(), seen)
        steps = store.bring_in(folder, packed.path, write=False).steps
        assert [step.what for step in steps if (step.kind, step.name[:6]) == ("card", "Lagoon")] == [what]


def test_the_prices_of_a_backup_are_counted_without_bringing_it_in(folder, packed, tmp_path):
    assert store.prices_in(packed.path) == store.PackedPrices(0, len(ITEMS), 0, "EUR")
    seen = store.open_item(folder, "pigment", "gold").digest
    store.save_item(folder, replace(GOLD, price_per_g=0.7), seen)
    store.save_settings(folder, {"currency": "CHF"})
    dear = store.make_backup(folder, tmp_path / "dear.zip")
    assert store.prices_in(dear.path) == store.PackedPrices(1, len(ITEMS) - 1, 0, "CHF")
    odd = {"shelf/oil/odd.json": b"{", "settings.json": b"["}
    file = repacked(packed.path, tmp_path / "odd.zip", files=odd)
    assert store.prices_in(file) == store.PackedPrices(0, len(ITEMS), 1, "")
    said = " ".join(packed_prices_words(store.prices_in(file)))
    assert "in a currency that cannot be read. 1 thing of its shelf cannot be read" in said


def test_a_price_in_another_money_is_told_and_not_taken(folder, packed):
    seen = store.open_item(folder, "pigment", "gold").digest
    store.save_item(folder, replace(GOLD, price_per_g=0.7), seen)
    store.save_settings(folder, {"currency": "USD"})
    (told,) = store.bring_in(folder, packed.path, write=True, with_prices=True).of(PRICE)
    assert told.prices == ("700 USD a kg", "no price")
    assert (told.taken, told.why) == (False, "Its prices are in EUR, yours in USD.")
    assert store.open_item(folder, "pigment", "gold").item.price_per_g == 0.7


def test_the_book_waits_for_her_word_and_hers_is_kept(folder, packed, made):
    book = store.open_book(folder, DAY)
    later = book.start(made, date(2026, 4, 1))
    before = rows(folder.book)
    assert took(folder, packed.path)[LEFT] == []  # hers has every line of it
    other = Folder(folder.root.parent / "other")
    store.open_book(other, DAY).start(made, DAY)
    arrival = store.bring_in(other, packed.path, write=True)
    assert arrival.book_asks
    (step,) = arrival.of(LEFT)
    assert "On your word" in step.why
    assert len(rows(other.book)["weighings"]) == 0
    assert not took(other, packed.path, with_book=True)[LEFT]
    assert len(rows(other.book)["weighings"]) == 1
    (kept,) = other.bin.glob("book-until-*/book.sqlite3")
    assert [line.code for line in store.batches(Book(kept))] == ["26066A"]
    assert rows(folder.book) == before
    assert later in {line.code for line in store.batches(book)}


def test_a_damaged_book_is_packed_as_it_is_told_and_replaced_only_on_her_word(folder, packed, tmp_path):
    whole = rows(folder.book)
    folder.book.write_bytes(b"nonsense" * 999)
    for log in folder.root.glob("book.sqlite3-*"):
        log.unlink()
    again = store.make_backup(folder, tmp_path / "again.zip")
    assert "damaged" in again.told[0]
    assert again.cards == 2
    assert took(folder, packed.path)[LEFT] != []
    assert folder.book.read_bytes() == b"nonsense" * 999
    took(folder, packed.path, with_book=True)
    assert rows(folder.book) == whole


def test_a_backup_is_never_written_over_another_file_or_into_the_folder(folder, packed, tmp_path):
    with pytest.raises(NotSaved, match="there already"):
        store.make_backup(folder, packed.path)
    with pytest.raises(NotSaved, match="outside"):
        store.make_backup(folder, folder.root / "all.zip")
    with pytest.raises(NotSaved, match="no such folder"):
        store.make_backup(folder, tmp_path / "gone" / "all.zip")
    with pytest.raises(NotSaved, match="no folder"):
        store.make_backup(Folder(tmp_path / "nothing"), tmp_path / "none.zip")


def test_a_folder_that_is_read_only_can_be_packed(folder, tmp_path):
    tmp_path.chmod(0o777)
    with read_only(folder.root):
        made = store.make_backup(folder, tmp_path / "read-only.zip")
    assert made.cards == 2
    assert made.lines["batches"] == 1


def test_a_full_disk_leaves_no_half_a_backup(folder, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "writestr", full)
    with pytest.raises(NotSaved, match="disk is full"):
        store.make_backup(folder, tmp_path / "all.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["hers"]


def test_a_full_disk_for_temporary_files_is_told(folder, packed, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    data = packed.path.read_bytes()
    monkeypatch.setattr(atomic_write.tempfile, "mkdtemp", full)
    for act in (
        lambda: store.make_backup(folder, packed.path.with_name("again.zip")),
        lambda: store.bring_in_bytes(folder, data, write=True),
        lambda: store.rescue(folder),
    ):
        with pytest.raises(NotSaved, match="disk is full"):
            act()
    assert not packed.path.with_name("again.zip").exists()


# --- files that are no backup -------------------------------------------------------------------------


def repacked(source, target, change=None, **extra):
    """A backup with files added or changed; the list inside is made to agree unless it is given."""
    with zipfile.ZipFile(source) as old:
        files = {info.filename: old.read(info) for info in old.infolist()}
    files |= extra.pop("files", {})
    manifest = json.loads(files.pop(archive.MANIFEST))
    manifest["files"] = {
        name if isinstance(name, str) else name.filename: atomic_write.digest_of(data)
        for name, data in files.items()
    }
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in files.items():
            new.writestr(name, data)
        new.writestr(archive.MANIFEST, json.dumps({**manifest, **extra}))
    return target


TRICKS = [
    "../out.json", "cards/../../out.json", "/etc/out.json", "C:/out.json", "cards\\out.json", "cards//x.json",
    "cards/.hidden.json", "CARDS/./x.json", "..", "cards/con:.json",
]  # fmt: skip


@pytest.mark.parametrize("name", TRICKS)
def test_names_that_would_leave_the_folder_are_refused(packed, tmp_path, name):
    file = repacked(packed.path, tmp_path / "trick.zip", files={name: b"{}"})
    with pytest.raises(BadDocument, match=r"leave the folder|hidden"):
        store.bring_in(Folder(tmp_path / "other"), file, write=True)
    assert not (tmp_path / "other").exists()
    assert not (tmp_path / "out.json").exists()


def test_a_link_is_refused(packed, tmp_path):
    link = zipfile.ZipInfo("cards/link.json")
    link.external_attr = 0o120777 << 16
    file = repacked(packed.path, tmp_path / "link.zip", files={link: b"/etc/passwd"})
    with pytest.raises(BadDocument, match="link"):
        store.bring_in(Folder(tmp_path / "other"), file, write=True)


def test_names_that_meet_on_another_system_are_refused(packed, tmp_path):
    file = repacked(packed.path, tmp_path / "twice.zip", files={"settings.JSON": b"{}"})
    with pytest.raises(BadDocument, match="twice"):
        store.read_back(file)


def test_a_bomb_is_refused_before_it_is_unpacked(packed, tmp_path, monkeypatch):
    file = repacked(packed.path, tmp_path / "bomb.zip", files={"cards/zeros.json": b"0" * 60_000_000})
    with pytest.raises(BadDocument, match="times its size"):
        store.read_back(file)
    monkeypatch.setattr(archive, "MOST_BYTES", 1000)
    with pytest.raises(BadDocument, match="GB at most"):
        store.read_back(packed.path)
    monkeypatch.setattr(archive, "MOST_FILES", 2)
    with pytest.raises(BadDocument, match="2 at most"):
        store.read_back(packed.path)


def test_a_size_that_lies_is_noticed(packed, tmp_path):
    file = tmp_path / "lie.zip"
    data = bytearray(repacked(packed.path, file).read_bytes())
    at = data.rindex(b"PK\x01\x02", 0, data.rindex(b"settings.json"))
    data[at + 24 : at + 28] = (3).to_bytes(4, "little")
    file.write_bytes(bytes(data))
    with pytest.raises(BadDocument):
        store.read_back(file)


def test_another_format_another_program_and_damage_are_answered(packed, tmp_path, folder):
    newer = repacked(packed.path, tmp_path / "newer.zip", format=2)
    with pytest.raises(NewerFormat, match="newer version"):
        store.read_back(newer)
    plain = tmp_path / "plain.zip"
    with zipfile.ZipFile(plain, "w") as other:
        other.writestr("cards/x.json", "{}")
    with pytest.raises(BadDocument, match="not made by this program"):
        store.read_back(plain)
    (tmp_path / "no.zip").write_bytes(b"no zip")
    for name in ("no.zip", "missing.zip", "hers"):
        with pytest.raises(BadDocument, match="no zip file"):
            store.read_back(tmp_path / name)
    files = json.loads(zipfile.ZipFile(packed.path).read(archive.MANIFEST))["files"]
    short = repacked(packed.path, tmp_path / "short.zip", files={"cards/x.json": b"{}"}, files_=1)
    assert store.read_back(short).files.keys() > files.keys()


@pytest.mark.parametrize("at", [0.1, 0.2, 0.5, 0.6, 0.7, 0.8])
def test_a_backup_with_a_byte_changed_or_cut_is_noticed(packed, tmp_path, at):
    """In the midst of a file: a byte of its header may say what nobody asks for."""
    whole = packed.path.read_bytes()
    with zipfile.ZipFile(packed.path) as zipped:
        harmed = zipped.infolist()[int(at * len(zipped.namelist()))]
    spot = harmed.header_offset + 30 + len(harmed.filename) + harmed.compress_size // 2
    for name, harmed in (
        ("flip.zip", whole[:spot] + bytes([whole[spot] ^ 255]) + whole[spot + 1 :]),
        ("cut.zip", whole[:spot]),
    ):
        (tmp_path / name).write_bytes(harmed)
        with pytest.raises((BadDocument, NewerFormat)):
            store.read_back(tmp_path / name)


def test_documents_that_cannot_be_read_stay_in_the_file_and_the_rest_comes(packed, tmp_path):
    odd = {"cards/odd.json": b"{", "shelf/lantern/x.json": b"{}", "lines/odd.json": b"[]", "notes.txt": b"x"}
    file = repacked(packed.path, tmp_path / "odd.zip", files=odd)
    came = took(Folder(tmp_path / "other"), file)
    assert sorted(came[LEFT]) == sorted(odd)
    assert len(store.listing(Folder(tmp_path / "other"))) == 2


# --- looking over -------------------------------------------------------------------------------------


def test_verify_finds_nothing_in_a_whole_folder(folder):
    looked = store.verify(folder)
    assert looked.found == ()
    assert (looked.files["card"], looked.files["line"], looked.lines["batches"]) == (2, 1, 1)
    assert "2 card files, 1 line file," in looked.told
    assert "1 batches in the book" in looked.told


def test_verify_finds_every_damage_and_moves_nothing(folder):
    (folder.cards / "broken.json").write_bytes(b"{")
    next(folder.cards.glob("fern*.png")).write_bytes(png((7, 7, 7)))
    (folder.shelf / "oil" / "odd.json").write_bytes(b'{"id": 3}')
    (folder.drafts / "odd.json").write_bytes(b"[]")
    store.save_line(folder, store.CardLine(id="autumn", name="Autumn", cards=("gone",)), None)
    (folder.root / "settings.json").write_bytes(b"{")
    book = Book(folder.book)
    harm(book, "UPDATE movements SET units = -200000 WHERE why = 'draw'")
    harm(book, "UPDATE weighings SET planned = -5")
    before = sorted(path for path in folder.root.rglob("*") if path.suffix in (".json", ".png"))
    found = " ".join(store.verify(folder).found)
    for told in (
        "broken.json", "fern-fern.json: its picture", "odd.json", "1 of its cards", "settings.json",
        "10 g more left it than came", "Weighing, line 1",
    ):  # fmt: skip
        assert told in found
    assert sorted(path for path in folder.root.rglob("*") if path.suffix in (".json", ".png")) == before


def test_verify_goes_on_past_a_card_that_cannot_be_opened(folder):
    (folder.cards / "a-folder.json").mkdir()
    looked = store.verify(folder)
    assert [sentence.split(":")[0] for sentence in looked.found] == ["a-folder.json"]
    assert looked.files["line"] > 0


def test_verify_finds_a_reference_that_leads_nowhere_and_torn_pages(folder):
    link = sqlite3.connect(folder.book)
    link.execute("PRAGMA foreign_keys = OFF")
    link.execute("INSERT INTO movements (lot, units, why, note, at) VALUES (77, 5, 'count', '', 'now')")
    link.commit()
    link.close()
    assert any("line of lots that is not there" in sentence for sentence in store.verify(folder).found)
    with closing(sqlite3.connect(folder.book)) as folded:
        folded.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    whole = bytearray(folder.book.read_bytes())
    whole[4096 * 4 :] = b"\xa5" * (len(whole) - 4096 * 4)
    folder.book.write_bytes(bytes(whole))
    assert any("cannot be read" in sentence for sentence in store.verify(folder).found)


def test_the_scale_of_a_newer_version_comes_as_it_is(folder, tmp_path):
    path = folder.shelf / "scale" / "fine.json"
    plain = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**plain, "format": 9, "glow": 1}), encoding="utf-8")
    made = store.make_backup(folder, tmp_path / "all.zip")
    other = Folder(tmp_path / "other")
    took(other, made.path)
    assert (other.shelf / "scale" / "fine.json").read_bytes() == path.read_bytes()
    assert FINE.id in {item.id for item in store.read_shelf(other).items}
