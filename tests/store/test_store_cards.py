"""Cards: what is saved comes back; nothing is overwritten unseen; broken files harm nobody else."""

import json
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from blendlab import recipe
from blendlab.errors import BadDocument, ChangedOutside, NewerFormat, NotSaved, UnknownName
from blendlab.shelf import Shelf
from blendlab.store import (
    Folder,
    delete,
    duplicate,
    in_bin,
    listing,
    open_card,
    picture_of,
    rename,
    restore,
    save,
    save_as_copy,
)
from tests.store.samples import BLUE, CARDS, SHELF, card, png, read_only


@pytest.fixture
def folder(tmp_path):
    return Folder.at(tmp_path / "swatches")


def only_file(folder):
    (path,) = folder.cards.glob("*.json")
    return path


@settings(max_examples=60)
@given(made=CARDS)
def test_what_is_saved_comes_back(made):
    with tempfile.TemporaryDirectory() as where:
        folder = Folder(Path(where))
        saved = save(folder, made, png(), None)
        opened = open_card(folder, made.id)
        assert opened == saved
        assert replace(opened.card, saved_at="", picture="") == made
        assert [item.rev for item in opened.card.embedded] == [item.rev for item in made.embedded]
        assert [entry.card_id for entry in listing(folder)] == [made.id]


def test_file_is_json_with_sorted_keys_one_value_a_line(folder):
    save(folder, card(), png(), None)
    path = only_file(folder)
    text = path.read_text(encoding="utf-8")
    assert path.name == "lagoon-a1b2c3d4.json"
    assert text == json.dumps(json.loads(text), indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    assert path.with_suffix(".png").read_bytes() == png()


def test_card_carries_every_revision_and_outlives_the_shelf(folder):
    save(folder, card(), png(), None)
    opened = open_card(folder, "a1b2c3d4").card
    alone = Shelf().carrying(opened.embedded)
    for ref in (place.ref for place in recipe.places(opened.design)):
        assert alone.find(ref).rev == ref.rev
        assert alone.find(ref) == SHELF.find(ref)


def test_card_keeps_the_revision_it_was_made_with(folder):
    save(folder, card(), png(), None)
    stronger = replace(BLUE, k=tuple(2 * figure for figure in BLUE.k))
    opened = open_card(folder, "a1b2c3d4").card
    today = Shelf((stronger,)).carrying(opened.embedded)
    ref = opened.design.tones[0].doses[0].pigment
    assert today.find(ref) == BLUE
    assert today.newer(ref) == stronger


def test_two_windows_cannot_overwrite_each_other_unseen(folder):
    seen = save(folder, card(), png(), None).digest
    mine, theirs = open_card(folder, "a1b2c3d4"), open_card(folder, "a1b2c3d4")
    save(folder, replace(theirs.card, judged={"by": "the other window"}), png(), theirs.digest)
    with pytest.raises(ChangedOutside):
        save(folder, replace(mine.card, judged={"by": "this window"}), png((1, 2, 3)), mine.digest)
    assert open_card(folder, "a1b2c3d4").card.judged == {"by": "the other window"}
    assert picture_of(folder, "a1b2c3d4") == png()
    assert seen == mine.digest
    copy = save_as_copy(folder, mine.card, png())
    assert copy.card.design.name == "Lagoon, copy"
    assert {entry.name for entry in listing(folder)} == {"Lagoon", "Lagoon, copy"}


def test_a_card_deleted_elsewhere_is_not_written_over(folder):
    saved = save(folder, card(), png(), None)
    delete(folder, "a1b2c3d4")
    with pytest.raises(ChangedOutside):
        save(folder, saved.card, png(), saved.digest)


def test_new_card_takes_a_new_id_when_its_own_is_taken(folder):
    first = save(folder, card(), png(), None)
    second = save(folder, card("Fern Glade"), png(), None)
    assert second.card.id != first.card.id
    assert open_card(folder, second.card.id) == second
    assert open_card(folder, first.card.id) == first


def test_rename_moves_the_file_and_keeps_the_id(folder):
    saved = save(folder, card(), png(), None)
    renamed = rename(folder, "a1b2c3d4", "Fern Glade", saved.digest)
    assert renamed.card.design.name == "Fern Glade"
    assert sorted(path.name for path in folder.cards.glob("*.*g")) == ["fern-glade-a1b2c3d4.png"]
    assert only_file(folder).name == "fern-glade-a1b2c3d4.json"
    assert open_card(folder, "a1b2c3d4") == renamed
    assert picture_of(folder, "a1b2c3d4") == png()
    with pytest.raises(ChangedOutside):
        rename(folder, "a1b2c3d4", "Dune Rose", saved.digest)


def test_duplicate_has_the_picture_and_an_id_of_its_own(folder):
    save(folder, card(), png((9, 8, 7)), None)
    copy = duplicate(folder, "a1b2c3d4")
    assert copy.card.id != "a1b2c3d4"
    assert picture_of(folder, copy.card.id) == png((9, 8, 7))
    assert len(listing(folder)) == 2


def test_delete_can_be_taken_back(folder):
    saved = save(folder, card(), png(), None)
    delete(folder, "a1b2c3d4")
    assert listing(folder) == []
    assert [thing.id for thing in in_bin(folder)] == ["a1b2c3d4"]
    with pytest.raises(UnknownName):
        open_card(folder, "a1b2c3d4")
    assert restore(folder, "a1b2c3d4") == saved
    assert listing(folder)[0].picture is not None
    assert in_bin(folder) == ()


def test_restore_never_lands_on_a_card_that_is_there(folder):
    save(folder, card(), png(), None)
    delete(folder, "a1b2c3d4")
    there = save(folder, card("Dune Rose"), png(), None)
    with pytest.raises(NotSaved):
        restore(folder, "a1b2c3d4")
    assert open_card(folder, "a1b2c3d4") == there


def test_deleting_twice_keeps_both_in_the_bin(folder):
    for shade in (1, 2):
        save(folder, card(judged={"shade": shade}), png((shade,) * 3), None)
        delete(folder, "a1b2c3d4")
    assert len(list((folder.bin / "cards").glob("*.json"))) == 2
    assert restore(folder, "a1b2c3d4").card.judged == {"shade": 2}
    assert picture_of(folder, "a1b2c3d4") == png((2, 2, 2))


def test_listing_is_newest_first(folder):
    for number, name in enumerate(["Lagoon", "Fern Glade", "Dune Rose"]):
        save(folder, card(name, f"card{number}"), png(), None)
    first = open_card(folder, "card0")
    save(folder, first.card, png(), first.digest)
    entries = listing(folder)
    stamps = [entry.saved_at for entry in entries]
    assert stamps == sorted(stamps, reverse=True)
    assert entries[0].name == "Lagoon"
    assert entries[0].judged["tones"][0]["hex"] == "#6FB1AE"
    assert entries[0].digest == open_card(folder, "card0").digest


BROKEN = {
    "cut off": lambda data: data[: len(data) // 2],
    "empty": lambda data: b"",
    "binary": lambda data: bytes(range(256)) * 20,
    "not an object": lambda data: b"[1, 2, 3]\n",
    "not a number": lambda data: data.replace(b'"load_pct": 1.2', b'"load_pct": NaN'),
    "out of range": lambda data: data.replace(b'"load_pct": 1.2', b'"load_pct": 130'),
    "wrong kind of value": lambda data: data.replace(b'"load_pct": 1.2', b'"load_pct": "much"'),
    "deeply nested": lambda data: b'{"design": ' + b"[" * 100_000,
    "lone surrogate byte": lambda data: data.replace(b"Lagoon", b"Lag\xff\xfeoon"),
    "unknown kind of revision": lambda data: data.replace(b'"pigment:iron', b'"lantern:iron'),
}


@pytest.mark.parametrize("harm", BROKEN.values(), ids=BROKEN)
def test_a_damaged_file_is_set_aside_and_the_rest_opens(folder, harm):
    save(folder, card("Fern Glade", "fern"), png(), None)
    save(folder, card(), png(), None)
    path = folder.cards / "lagoon-a1b2c3d4.json"
    harmed = harm(path.read_bytes())
    assert harmed != path.read_bytes()
    path.write_bytes(harmed)
    for _ in range(2):
        entries = listing(folder)
        assert [entry.name for entry in entries if not entry.damaged] == ["Fern Glade"]
        (bad,) = [entry for entry in entries if entry.damaged]
        assert "lagoon-a1b2c3d4.json was set aside, nothing in it was changed." in bad.damaged
    assert (folder.damaged / "cards" / path.name).read_bytes() == harmed
    assert open_card(folder, "fern").card.design.name == "Fern Glade"


def test_every_problem_of_a_card_is_named_at_once(folder):
    save(folder, card(), png(), None)
    path = only_file(folder)
    plain = json.loads(path.read_text(encoding="utf-8"))
    plain["design"]["tones"][0]["share_pct"] = 160
    plain["design"]["weeks"] = "long"
    path.write_text(json.dumps(plain), encoding="utf-8")
    with pytest.raises(BadDocument) as caught:
        open_card(folder, "a1b2c3d4")
    assert {problem.where for problem in caught.value.problems} == {"tones[0].share_pct", "weeks"}


def test_unknown_keys_are_kept_at_every_depth_and_named(folder):
    save(folder, card(), png(), None)
    path = only_file(folder)
    plain = json.loads(path.read_text(encoding="utf-8"))
    plain["ribbon"] = {"colour": "blue"}
    plain["design"]["tones"][0]["doses"][0]["sieved"] = True
    oil = next(key for key in plain["embedded"] if key.startswith("oil:"))
    plain["embedded"][oil]["field"] = "north slope"
    path.write_text(json.dumps(plain), encoding="utf-8")
    opened = open_card(folder, "a1b2c3d4")
    save(folder, opened.card, png(), opened.digest)
    again = json.loads(only_file(folder).read_text(encoding="utf-8"))
    assert again["ribbon"] == {"colour": "blue"}
    assert again["design"]["tones"][0]["doses"][0]["sieved"] is True
    assert [item.get("field") for name, item in again["embedded"].items() if name.startswith("oil:")] == [
        "north slope"
    ]
    (note,) = opened.card.notes
    for key in ("ribbon", "design.tones[0].doses[0].sieved", "field"):
        assert key in note


@pytest.mark.parametrize("inner", ["card", "design"])
def test_a_later_format_is_opened_to_look_not_to_change(folder, inner):
    save(folder, card(), png(), None)
    path = only_file(folder)
    plain = json.loads(path.read_text(encoding="utf-8"))
    (plain if inner == "card" else plain["design"])["format"] = 7
    path.write_text(json.dumps(plain), encoding="utf-8")
    before = path.read_bytes()
    opened = open_card(folder, "a1b2c3d4")
    assert opened.card.newer
    with pytest.raises(NewerFormat, match="format 7"):
        save(folder, opened.card, png(), opened.digest)
    with pytest.raises(NewerFormat):
        rename(folder, "a1b2c3d4", "Dune Rose", opened.digest)
    (entry,) = listing(folder)
    assert entry.newer
    assert path.read_bytes() == before


def test_a_later_format_that_cannot_be_read_stays_where_it_is(folder):
    save(folder, card(), png(), None)
    path = only_file(folder)
    plain = json.loads(path.read_text(encoding="utf-8"))
    plain["format"], plain["design"]["tones"] = 7, {"by": "height"}
    path.write_text(json.dumps(plain), encoding="utf-8")
    (entry,) = listing(folder)
    assert (entry.card_id, entry.name, entry.newer) == ("a1b2c3d4", "Lagoon", True)
    assert "newer version" in entry.damaged
    assert path.exists()
    with pytest.raises(NewerFormat):
        open_card(folder, "a1b2c3d4")


def test_a_picture_of_another_save_is_not_shown(folder):
    save(folder, card(), png(), None)
    assert listing(folder)[0].picture == folder.cards / "lagoon-a1b2c3d4.png"
    (folder.cards / "lagoon-a1b2c3d4.png").write_bytes(png((255, 0, 0)))
    assert listing(folder)[0].picture is None
    (folder.cards / "lagoon-a1b2c3d4.png").unlink()
    assert listing(folder)[0].picture is None


def test_a_copy_made_by_hand_is_told_not_mixed_up(folder):
    saved = save(folder, card(), png(), None)
    (folder.cards / "zz copy by hand.json").write_bytes(only_file(folder).read_bytes())
    entries = listing(folder)
    assert [entry.damaged for entry in entries if entry.card_id] == [""]
    assert "a second time" in next(entry.damaged for entry in entries if not entry.card_id)
    assert open_card(folder, "a1b2c3d4") == saved


def test_read_only_folder_says_so_in_words(tmp_path):
    with tempfile.TemporaryDirectory() as where:
        Path(where).chmod(0o755)
        folder = Folder(Path(where))
        saved = save(folder, card(), png(), None)
        with read_only(folder.root):
            for attempt in (
                lambda: save(folder, saved.card, png(), saved.digest),
                lambda: save(folder, card("Fern Glade", "fern"), png(), None),
                lambda: delete(folder, "a1b2c3d4"),
            ):
                with pytest.raises(NotSaved, match="read-only") as caught:
                    attempt()
                assert "Your design is still here." in str(caught.value)
            assert [entry.name for entry in listing(folder)] == ["Lagoon"]
        assert open_card(folder, "a1b2c3d4") == saved


def test_no_place_for_a_folder_says_so_in_words(tmp_path):
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    with pytest.raises(NotSaved):
        save(Folder(tmp_path / "taken"), card(), png(), None)


@pytest.mark.parametrize(
    "evil", ["../../outside", "..", "/etc/passwd", "a\\b", "C:\\x", "con", "a:b", "x\0y", "."]
)
def test_no_id_leads_out_of_the_folder(folder, evil):
    save(folder, card(id_=evil), png(), None)
    assert open_card(folder, evil).card.id == evil
    outside = [path for path in folder.root.parent.rglob("*") if not path.is_relative_to(folder.root)]
    assert outside == []
    stem = only_file(folder).stem
    assert stem.startswith("lagoon-")
    assert set(stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-_")


NAMES = {
    "58 letters": ("W" * 58, "w" * 40),
    "80 letters": ("Seaglass " * 8, "seaglass"),
    "umlauts": ("Küstennebel über Sanddorn", "kustennebel-uber-sanddorn"),
    "Greek": ("Λιμνοθάλασσα", "unnamed"),
    "Cyrillic": ("Лагуна", "unnamed"),
    "Chinese": ("海の色", "unnamed"),
    "reserved on Windows": ("NUL", "nul-"),
    "marks only": ("../..", "unnamed"),
}


@pytest.mark.parametrize(("name", "start"), NAMES.values(), ids=NAMES)
def test_any_name_makes_a_file_name_for_every_system(folder, name, start):
    saved = save(folder, card(name), png(), None)
    path = only_file(folder)
    assert path.name.startswith(start)
    assert len(path.name) <= 80
    assert path.name.isascii()
    assert open_card(folder, saved.card.id).card.design.name == name


def test_judged_must_be_plain_values(folder):
    for bad in ({"load": float("nan")}, {"when": object()}, {1: "x", "a": 2}):
        with pytest.raises(BadDocument):
            save(folder, card(judged=bad), png(), None)
    assert listing(folder) == []
