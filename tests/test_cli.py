"""The terminal: check, card, help, and plain answers to unfit files."""

from __future__ import annotations

import json

import pytest

from blendlab import cli, recipe, store
from blendlab.show import first_visit


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
    for word in ("check", "card", "--folder", "--port", "qualified safety assessor"):
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
    monkeypatch.setattr("blendlab.show.card_prints.assess", tripped)
    extra = ["-o", str(tmp_path / "card.png")] if command == "card" else []
    card = str(card_of(folder, "lagoon"))
    assert cli.main(["--folder", str(tmp_path / "hers"), command, card, *extra]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "errors.log" in said
    assert "ZeroDivisionError" in (tmp_path / "hers" / "errors.log").read_text(encoding="utf-8")
