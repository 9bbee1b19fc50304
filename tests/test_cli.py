"""The terminal: check, card, help, and plain answers to unfit files."""

from __future__ import annotations

import dataclasses
import json
import re
import shutil
from datetime import date

import pytest

from blendlab import cli, recipe, store
from blendlab.batch.plan import plan
from blendlab.shelf import resolve
from blendlab.show import first_visit
from tests.batch import plans_to_try as tries


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = store.Folder.at(tmp_path_factory.mktemp("folder"))
    first_visit.first_start(place)
    return place


def card_of(folder, name):
    return next(path for path in folder.cards.glob("*.json") if name in path.name)


def test_help_names_every_command(capsys):
    with pytest.raises(SystemExit) as left:
        cli.main(["--help"])
    assert left.value.code == 0
    said = " ".join(capsys.readouterr().out.split())
    for word in (
        "check",
        "card",
        "backup",
        "verify",
        "bring-in",
        "--folder",
        "--port",
        "qualified safety assessor",
    ):
        assert word in said


def test_check_returns_1_on_a_stop_and_prints_the_findings(folder, capsys):
    assert cli.main(["--folder", str(folder.root), "check", str(card_of(folder, "fern-glade"))]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "■ Stop · No sheet for Green stem accord" in said
    stops = said.count("■ Stop ·")
    assert f": {stops} stop{'s' * (stops > 1)}, " in said
    assert "Planning figures." in said


def test_check_returns_0_without_a_stop(folder, capsys):
    assert cli.main(["--folder", str(folder.root), "check", str(card_of(folder, "dune-rose"))]) == 0
    assert "0 stops, " in capsys.readouterr().out


def test_check_reads_a_plain_design_too(folder, tmp_path):
    design = store.open_card(folder, "dune-rose").card.design
    file = tmp_path / "design.json"
    file.write_text(json.dumps(recipe.to_dict(design)), encoding="utf-8")
    assert cli.main(["--folder", str(folder.root), "check", str(file)]) == 0


@pytest.mark.parametrize(("suffix", "start"), [("pdf", b"%PDF"), ("png", b"\x89PNG")])
def test_card_writes_what_the_name_asks_for(folder, tmp_path, suffix, start):
    out = tmp_path / f"card.{suffix}"
    card = str(card_of(folder, "lagoon"))
    assert cli.main(["--folder", str(folder.root), "card", card, "-o", str(out)]) == 0
    assert out.read_bytes().startswith(start)


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("{ broken", "goes wrong in line 1"),
        ("[1, 2]", "holds no keys with values"),
        ('{"design": {"format": 99}}', "newer version"),
        ('{"format": 1, "id": "x"}', "is missing"),
    ],
)
def test_an_unfit_file_is_answered_in_words(tmp_path, capsys, text, answer):
    file = tmp_path / "unfit.json"
    file.write_text(text, encoding="utf-8")
    assert cli.main(["--folder", str(tmp_path), "check", str(file)]) == 2
    assert answer in capsys.readouterr().err


def test_a_missing_file_and_a_missing_folder_are_answered(folder, tmp_path, capsys):
    assert cli.main(["check", str(tmp_path / "none.json")]) == 2
    assert "none.json" in capsys.readouterr().err
    target = tmp_path / "no such folder" / "card.pdf"
    assert cli.main(["card", str(card_of(folder, "lagoon")), "-o", str(target)]) == 2
    assert "no such folder" in capsys.readouterr().err


def test_another_suffix_is_refused(folder, tmp_path, capsys):
    assert cli.main(["card", str(card_of(folder, "lagoon")), "-o", str(tmp_path / "card.gif")]) == 2
    assert ".pdf or .png" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["check", "card"])
def test_what_nobody_foresaw_is_one_sentence_and_a_log(folder, tmp_path, monkeypatch, capsys, command):
    def tripped(*_):
        return 1 / 0

    monkeypatch.setattr("blendlab.assess.assess", tripped)
    extra = ["-o", str(tmp_path / "card.png")] if command == "card" else []
    card = str(card_of(folder, "lagoon"))
    assert cli.main(["--folder", str(tmp_path / "hers"), command, card, *extra]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "errors.log" in said
    assert "ZeroDivisionError" in (tmp_path / "hers" / "errors.log").read_text(encoding="utf-8")


def test_backup_verify_and_bring_in_say_what_they_did(folder, tmp_path, capsys):
    hers, other, packed = str(folder.root), str(tmp_path / "other"), str(tmp_path / "all.zip")
    assert cli.main(["--folder", hers, "backup", packed]) == 0
    assert "Packed and read back: 3 cards" in capsys.readouterr().out
    assert cli.main(["--folder", hers, "backup", packed]) == 2
    assert "there already" in capsys.readouterr().err
    assert cli.main(["verify", packed]) == 0
    said = capsys.readouterr().out
    assert re.search(r"can be read: \d+, packed \d{4}-\d\d-\d\d \d\d:\d\d\.", said)
    items = store.read_shelf(folder).items
    priced = sum(item.price_words("EUR") != "no price" for item in items)
    assert f"{priced} of {len(items)} things on its shelf have a price, in EUR." in said
    assert cli.main(["--folder", other, "bring-in", packed, "--look"]) == 0
    assert "Would come new: " in capsys.readouterr().out
    assert cli.main(["--folder", other, "verify"]) == 2
    assert "no such folder" in capsys.readouterr().err
    assert cli.main(["--folder", other, "bring-in", packed]) == 0
    assert "Came new: " in capsys.readouterr().out
    assert cli.main(["--folder", other, "verify"]) == 0
    assert "Nothing was found wrong." in capsys.readouterr().out


def test_bring_in_names_what_costs_something_else_and_takes_it_on_a_word(folder, tmp_path, capsys):
    packed, hers = str(tmp_path / "all.zip"), store.Folder(tmp_path / "hers")
    shutil.copytree(folder.root, hers.root)
    item = next(iter(store.read_shelf(hers).of("pigment")))
    dear = dataclasses.replace(item, price_per_g=0.7)
    store.save_item(hers, dear, store.open_item(hers, "pigment", item.id).digest)
    assert cli.main(["--folder", str(folder.root), "backup", packed]) == 0
    for more, said in (
        (["--look"], "yours 700 EUR a kg"),
        (["--look"], "--prices"),
        ([], "Yours stays."),
        (["--prices"], "holds now"),
    ):
        assert cli.main(["--folder", str(hers.root), "bring-in", packed, *more]) == 0
        assert said in capsys.readouterr().out
    assert store.open_item(hers, "pigment", item.id).item == item


def test_a_backup_goes_into_a_folder_under_its_day(folder, tmp_path, capsys):
    assert cli.main(["--folder", str(folder.root), "backup", str(tmp_path)]) == 0
    (made,) = tmp_path.glob("blendlab-*.zip")
    assert str(made) in capsys.readouterr().out


def test_verify_returns_1_and_names_what_is_wrong(folder, tmp_path, capsys):
    hers = store.Folder(tmp_path / "hers")
    shutil.copytree(folder.root, hers.root)
    (hers.cards / "torn.json").write_bytes(b"{")
    assert cli.main(["--folder", str(hers.root), "verify"]) == 1
    assert "torn.json" in capsys.readouterr().out
    (tmp_path / "no.zip").write_bytes(b"no")
    for command in ("verify", "bring-in"):
        assert cli.main(["--folder", str(hers.root), command, str(tmp_path / "no.zip")]) == 2
        assert "no zip file" in capsys.readouterr().err


def test_bring_in_asks_for_a_word_about_another_book(folder, tmp_path, capsys):
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    packed, other = str(tmp_path / "all.zip"), store.Folder(tmp_path / "other")
    mine = store.Folder(tmp_path / "mine")
    for place, day in ((mine, 7), (other, 8)):
        store.open_book(place).start(sheet, date(2026, 3, day))
    assert cli.main(["--folder", str(mine.root), "backup", packed]) == 0
    capsys.readouterr()
    assert cli.main(["--folder", str(other.root), "bring-in", packed]) == 1
    assert "--book" in capsys.readouterr().out
    assert [line.code for line in store.batches(store.open_book(other))] == ["26067A"]
    assert cli.main(["--folder", str(other.root), "bring-in", packed, "--book"]) == 0
    assert [line.code for line in store.batches(store.open_book(other))] == ["26066A"]
