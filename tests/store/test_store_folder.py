"""Lines, shelf, draft, the first start and where the folder lies."""

import json
import os
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blendlab import recipe
from blendlab.codec import encode
from blendlab.errors import BadDocument, ChangedOutside, NewerFormat, NotSaved, UnknownName
from blendlab.recipe import Ref
from blendlab.shelf import BaseLine, Ingredient, Scale, Shelf, embedded, pinned
from blendlab.store import (
    CardLine,
    Folder,
    atomic_write,
    default_folder,
    delete,
    delete_item,
    drop_draft,
    export,
    forget_draft,
    has_cards,
    lay_out,
    lines,
    listing,
    load_drafts,
    open_item,
    open_line,
    read_shelf,
    restore_draft,
    save_draft,
    save_item,
    save_line,
    shelf_stamp,
    unread_items,
)
from tests.store.samples import BASE, BLUE, FINE, GOLD, ITEMS, SHELF, card, design, png, read_only


@pytest.fixture
def folder(tmp_path):
    return Folder.at(tmp_path / "swatches")


def draft_of(name="Lagoon"):
    made = design(name)
    items = {item.ref.key: encode(item) for item in embedded(made, SHELF)}
    return {"design": recipe.to_dict(made), "embedded": items, "card": None, "seen": None}


def test_line_keeps_its_order(folder):
    line = CardLine(id="spring", name="Spring line", cards=("lagoon", "fern", "dune"))
    saved = save_line(folder, line, None)
    assert open_line(folder, "spring") == saved
    turned = save_line(folder, replace(line, cards=("dune", "lagoon")), saved.digest)
    assert open_line(folder, "spring").line.cards == ("dune", "lagoon")
    with pytest.raises(ChangedOutside):
        save_line(folder, line, saved.digest)
    assert lines(folder) == [turned]


def test_new_line_of_a_taken_id_gets_its_own(folder):
    first = save_line(folder, CardLine(id="spring", name="Spring"), None)
    second = save_line(folder, CardLine(id="spring", name="Another spring"), None)
    assert second.line.id != first.line.id
    assert [saved.line.name for saved in lines(folder)] == ["Another spring", "Spring"]


def test_broken_line_is_set_aside_and_a_later_format_is_looked_at_not_changed(folder):
    save_line(folder, CardLine(id="spring", name="Spring"), None)
    (folder.lines / "broken.json").write_bytes(b"{")
    later, strange = folder.lines / "later.json", folder.lines / "strange.json"
    later.write_text('{"format": 9, "id": "later", "name": "Later"}', encoding="utf-8")
    strange.write_text('{"format": 9, "id": "strange", "cards": {}}', encoding="utf-8")
    before = later.read_bytes(), strange.read_bytes()
    assert [saved.line.id for saved in lines(folder)] == ["later", "spring"]
    assert (folder.damaged / "lines" / "broken.json").read_bytes() == b"{"
    opened = open_line(folder, "later")
    with pytest.raises(NewerFormat, match="format 9"):
        save_line(folder, replace(opened.line, name="Mine"), opened.digest)
    with pytest.raises(NewerFormat, match="format 9"):
        open_line(folder, "strange")
    assert (later.read_bytes(), strange.read_bytes()) == before


def test_an_item_of_a_later_format_is_used_not_changed_and_never_set_aside(folder):
    for item in (BLUE, GOLD, FINE):
        save_item(folder, item, None)
    gold, fine = folder.shelf / "pigment" / "gold.json", folder.shelf / "scale" / "fine.json"
    for path, change in ((gold, {"sparkle": 3}), (fine, {"step_g": {"low": 0.01, "high": 0.02}})):
        plain = json.loads(path.read_text(encoding="utf-8"))
        path.write_text(json.dumps({**plain, "format": 4, **change}), encoding="utf-8")
    before = gold.read_bytes(), fine.read_bytes()
    assert [item.id for item in read_shelf(folder).items] == ["gold", "iron_blue"]
    assert [told.path.name for told in unread_items(folder)] == ["fine.json"]
    assert "newer version (format 4" in unread_items(folder)[0].message
    opened = open_item(folder, "pigment", "gold")
    assert opened.item.newer
    with pytest.raises(NewerFormat, match="format 4"):
        save_item(folder, replace(opened.item, cap_pct=1.0), opened.digest)
    with pytest.raises(NewerFormat, match="format 4"):
        open_item(folder, "scale", "fine")
    assert (gold.read_bytes(), fine.read_bytes()) == before


def test_shelf_comes_back_whole(folder):
    for item in ITEMS:
        save_item(folder, item, None)
    read = read_shelf(folder)
    assert sorted(item.ref.key for item in read.items) == sorted(item.ref.key for item in ITEMS)
    assert all(read.today(item.kind, item.id) == item for item in ITEMS)
    assert (folder.shelf / "pigment" / "iron_blue.json").is_file()


def test_item_changed_elsewhere_is_not_written_over(folder):
    saved = save_item(folder, FINE, None)
    save_item(folder, replace(FINE, step_g=0.1), saved.digest)
    with pytest.raises(ChangedOutside):
        save_item(folder, replace(FINE, step_g=1), saved.digest)
    assert open_item(folder, "scale", "fine").item.step_g == 0.1


def test_shelf_is_read_again_only_when_a_file_changed(folder):
    for item in ITEMS:
        save_item(folder, item, None)
    stamp, first = shelf_stamp(folder), read_shelf(folder)
    assert shelf_stamp(folder) == stamp
    assert read_shelf(folder).today("pigment", "gold") is first.today("pigment", "gold")
    seen = open_item(folder, "pigment", "gold").digest
    save_item(folder, replace(GOLD, cap_pct=1.5), seen)
    assert shelf_stamp(folder) != stamp
    assert read_shelf(folder).today("pigment", "gold").cap_pct == 1.5


def test_damaged_item_is_set_aside_with_its_reason(folder):
    for item in (BLUE, GOLD):
        save_item(folder, item, None)
    path = folder.shelf / "pigment" / "gold.json"
    plain = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**plain, "k": plain["k"][:30]}), encoding="utf-8")
    assert [item.id for item in read_shelf(folder).items] == ["iron_blue"]
    (told,) = unread_items(folder)
    assert told.path == folder.damaged / "shelf" / "pigment" / "gold.json"
    assert "gold.json was set aside" in told.message


def test_deleted_item_lies_in_the_bin(folder):
    save_item(folder, FINE, None)
    delete_item(folder, "scale", "fine")
    assert read_shelf(folder).items == ()
    assert (folder.bin / "shelf" / "scale" / "fine.json").is_file()
    with pytest.raises(UnknownName):
        delete_item(folder, "scale", "fine")
    with pytest.raises(UnknownName):
        open_item(folder, "lantern", "fine")


@settings(max_examples=40)
@given(id_=st.text(st.characters(exclude_categories=["Cs"]), max_size=80), step=st.floats(0.0001, 100))
def test_any_item_id_finds_its_file_again(id_, step):
    with tempfile.TemporaryDirectory() as where:
        folder = Folder(Path(where))
        item = Scale(id=id_, name="Scale", step_g=step, capacity_g=500)
        saved = save_item(folder, item, None)
        assert open_item(folder, "scale", id_) == saved
        assert read_shelf(folder).today("scale", id_) == item


def test_a_draft_comes_back_and_the_one_changed_last_comes_first(folder):
    assert load_drafts(folder) == ((), ())
    first = save_draft(folder, "one", draft_of(), None)
    save_draft(folder, "two", draft_of("Fern Glade"), None)
    save_draft(folder, "one", draft_of("Lagoon again"), first)
    drafts, told = load_drafts(folder)
    assert told == ()
    assert [(draft.id, draft.name) for draft in drafts] == [("one", "Lagoon again"), ("two", "Fern Glade")]
    assert json.loads(json.dumps(draft_of("Lagoon again"))).items() <= drafts[0].plain.items()
    forget_draft(folder, "one")
    forget_draft(folder, "one")
    assert [draft.id for draft in load_drafts(folder)[0]] == ["two"]
    restore_draft(folder, "one")
    assert {draft.name for draft in load_drafts(folder)[0]} == {"Lagoon again", "Fern Glade"}


def test_a_draft_that_another_window_writes_is_not_written_over(folder):
    mine = save_draft(folder, "one", draft_of(), None)
    theirs = save_draft(folder, "one", draft_of("Theirs"), mine)
    for seen in (mine, None):
        with pytest.raises(ChangedOutside):
            save_draft(folder, "one", draft_of("Mine"), seen)
    assert load_drafts(folder)[0][0].name == "Theirs"
    drop_draft(folder, "one", mine)
    drop_draft(folder, "one", None)
    assert load_drafts(folder)[0][0].name == "Theirs"
    drop_draft(folder, "one", theirs)
    assert load_drafts(folder) == ((), ())
    assert save_draft(folder, "one", draft_of("Mine"), mine)


def test_a_draft_thrown_away_twice_comes_back_as_it_was_last_and_beside_what_is_there(folder):
    for name in ("First", "Second"):
        save_draft(folder, "one", draft_of(name), None)
        forget_draft(folder, "one")
    save_draft(folder, "one", draft_of("Third"), None)
    restore_draft(folder, "one")
    assert {draft.name for draft in load_drafts(folder)[0]} == {"Second", "Third"}
    with pytest.raises(UnknownName):
        restore_draft(folder, "two")


def test_the_one_draft_of_earlier_versions_moves_in(folder):
    folder.root.mkdir(exist_ok=True)
    folder.draft.write_text(json.dumps(draft_of()), encoding="utf-8")
    save_draft(folder, "one", draft_of("Fern Glade"), None)
    drafts, _ = load_drafts(folder)
    assert {draft.name for draft in drafts} == {"Lagoon", "Fern Glade"}
    assert not folder.draft.exists()
    assert load_drafts(folder)[0] == drafts


@pytest.mark.parametrize(
    "data", [b"", b"{", b"\xff\xfe\x00", b"[]", b'{"design": 3}', b"{}", b'{"design": {"a": NaN}}']
)
def test_broken_draft_is_set_aside_never_raised(folder, data):
    save_draft(folder, "one", draft_of(), None)
    (folder.drafts / "one.json").write_bytes(data)
    drafts, (message,) = load_drafts(folder)
    assert drafts == ()
    assert "one.json was set aside, nothing in it was changed." in message
    assert (folder.damaged / "drafts" / "one.json").read_bytes() == data
    assert load_drafts(folder) == ((), ())


def test_a_draft_does_not_wait_for_the_disk_and_a_card_does(folder, monkeypatch):
    """It is written at every edit; only what she saves is worth the wait."""
    waited, seen = [], None
    monkeypatch.setattr(atomic_write.os, "fsync", waited.append)
    for _ in range(50):
        seen = save_draft(folder, "one", draft_of(), seen)
    assert waited == []
    save_item(folder, FINE, None)
    assert len(waited) == (1 if os.name == "nt" else 2)  # the file, and the folder that names it


def test_draft_that_cannot_be_written_says_so(folder):
    with pytest.raises(BadDocument):
        save_draft(folder, "one", {"design": {"load_pct": float("nan")}}, None)
    with tempfile.TemporaryDirectory() as where:
        Path(where).chmod(0o755)
        with read_only(Path(where)), pytest.raises(NotSaved, match="read-only"):
            save_draft(Folder(Path(where)), "one", draft_of(), None)


def test_first_start_lays_out_once(folder):
    made = [(card("Lagoon", "lagoon"), png()), (card("Fern Glade", "fern"), png())]
    assert not has_cards(folder)
    assert lay_out(folder, ITEMS, made)
    assert {entry.card_id for entry in listing(folder)} == {"lagoon", "fern"}
    assert len(read_shelf(folder).items) == len(ITEMS)
    assert not lay_out(folder, ITEMS, made)
    assert len(listing(folder)) == 2


def test_first_start_touches_nothing_of_hers(folder):
    save_item(folder, FINE, None)
    assert lay_out(folder, ITEMS, [(card("Lagoon", "lagoon"), png())])
    assert read_shelf(folder).items == (FINE,)
    delete(folder, "lagoon")
    assert not lay_out(folder, ITEMS, [(card("Lagoon", "lagoon"), png())])
    assert listing(folder) == []


def test_pinned_design_names_every_revision():
    made = pinned(design(), SHELF)
    refs = [place.ref for place in recipe.places(made)]
    assert [ref.rev for ref in refs] == [SHELF.find(ref).rev for ref in refs]
    assert "" not in {ref.rev for ref in refs}
    assert {item.id for item in embedded(made, SHELF)} == {
        "straight-120",
        "foam",
        "iron_blue",
        "gold",
        "lavender",
    }


def test_what_a_base_is_made_of_travels_with_the_card():
    acid = Ingredient(id="acid", name="Lactic acid", function="acid", components=())
    guard = Ingredient(id="guard", name="Guard", function="preservative", components=())
    base = replace(
        BASE, preservative=guard.ref, lines=(BaseLine(ingredient=Ref(kind="ingredient", id="acid"), pct=1),)
    )
    shelf = Shelf((*(item for item in ITEMS if item.kind != "base"), base, acid, guard))
    carried = embedded(pinned(design(), shelf), shelf)
    assert {"acid", "guard"} <= {item.id for item in carried}
    alone = Shelf().carrying(carried)
    assert alone.find(base.lines[0].ingredient) == acid
    assert alone.find(base.preservative) == guard


def test_export_writes_where_she_says_or_says_why_not(tmp_path):
    export(tmp_path / "card.pdf", b"%PDF")
    export(tmp_path / "card.pdf", b"%PDF again")
    assert (tmp_path / "card.pdf").read_bytes() == b"%PDF again"
    with pytest.raises(NotSaved, match="no such folder"):
        export(tmp_path / "gone" / "card.pdf", b"%PDF")


def test_folder_lies_in_the_checkout_or_with_the_user(tmp_path):
    root = Path(__file__).parents[2]
    assert default_folder(root) == root / "swatches"
    elsewhere = default_folder(tmp_path)
    assert elsewhere.name == "swatches"
    assert "blendlab" in elsewhere.parts
    (tmp_path / "pyproject.toml").write_text('name = "blendlab"', encoding="utf-8")
    assert default_folder(tmp_path) == elsewhere
