"""A page that always opens: whatever trips, the rail stands, her work is kept and there is a way back."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from blendlab import store
from blendlab.errors import NotSaved
from blendlab.production import judgement
from blendlab.store import error_log
from blendlab.ui import compare, documents, frame, memo, words
from blendlab.ui.words import cards as card_words
from blendlab.ui.words import look as look_words
from blendlab.ui.words import scent as scent_words
from tests.ui.conftest import Pages

RAIL = ("Undo", "Redo", "Save card")
BENCH = [path for path, (_, _, at_work) in frame.PAGES.items() if at_work]
ELSEWHERE = [path for path in frame.PAGES if path not in BENCH]
HARMLESS, HARMFUL = "0.1", "0.17"
DOSE = "n.tones.0.doses.0.pct"


def harmful(design) -> bool:
    return design.tones[0].doses[0].pct == float(HARMFUL)


@pytest.fixture
def tripping(monkeypatch):
    """`assess` divides by zero for one dose."""
    true = judgement.assess

    def assess(made, *given, **named):
        if harmful(getattr(made, "design", made)):
            raise ZeroDivisionError("a load of no tone")
        return true(made, *given, **named)

    monkeypatch.setattr(judgement, "assess", assess)


@pytest.fixture
def pages(folder):
    return Unwell()


class Unwell(Pages):
    """The app, whose pages may be broken."""

    def well(self):
        assert not self.at.exception, self.at.exception

    @property
    def dose(self) -> float:
        return self.design["tones"][0]["doses"][0]["pct"]

    def harm(self, path: str = "look"):
        """Type the dose that trips on Look, then go to another page."""
        self.go("look").type(DOSE, HARMLESS).type(DOSE, HARMFUL)
        return self.go(path) if path != "look" else self


def log(folder) -> str:
    return (folder.root / error_log.NAME).read_text(encoding="utf-8")


def draft_file(folder, of=None):
    """The one draft there is, in her folder or in another one."""
    (path,) = ((of or folder.root) / "drafts").glob("*.json")
    return path


@pytest.mark.parametrize("path", BENCH)
def test_the_rail_stands_when_assess_trips_and_leads_back(pages, folder, tripping, path):
    pages.harm(path)
    (said,) = pages.broken
    title = frame.PAGES[path][0]
    assert said.count(words.BROKEN.format(page=title)) == 1
    assert "The draft of Lagoon is kept" in said
    assert words.CARDS_KEPT in said
    assert '<h1 class="bl-name" title="Lagoon">' in pages.said
    assert set(RAIL) < set(pages.buttons)
    assert pages.at.text_input(key="t.name").value == "Lagoon"
    pages.press(words.STEP_BACK)
    assert pages.dose == float(HARMLESS)
    assert pages.broken == []
    pages.press("Undo")
    assert pages.dose == float(HARMFUL)
    assert pages.broken
    pages.press("Undo")
    pages.press("Redo")
    assert pages.broken


def test_the_page_stands_after_a_step_back_with_the_comparison_open(pages, folder, tripping):
    """The design before the step back is the one that could not be drawn: there is nothing to compare."""
    pages.go("look").at.session_state["fold-beside"] = True
    pages.type(DOSE, HARMLESS)
    assert compare.NAMES[compare.BEFORE] in pages.said
    pages.harm().press(words.STEP_BACK)
    pages.at.session_state["fold-beside"] = True  # what trips closes the folds below it
    pages.run()
    assert pages.dose == float(HARMLESS)
    assert pages.broken == []
    assert compare.NAMES[compare.BEFORE] not in pages.said


def test_the_log_says_which_page_which_design_which_version_and_why(pages, folder, tripping):
    pages.harm("scent")
    said = log(folder)
    for word in (
        "| Scent |",
        "| design ",
        "blendlab 0.",
        "Traceback",
        "ZeroDivisionError: a load of no tone",
    ):
        assert word in said


def test_two_shares_of_nothing_lock_no_page_over_a_reload(folder):
    pages = Pages()
    for at, tone in enumerate(pages.design["tones"]):
        pages.at.session_state["open_tone"] = tone["id"]
        pages.run().type(f"n.tones.{at}.share_pct", "0")
    for path in BENCH:
        assert set(RAIL) < set(pages.go(path).buttons)
    reloaded = Pages()
    assert [tone["share_pct"] for tone in reloaded.design["tones"]] == [0, 0]
    for path in BENCH:
        assert set(RAIL) < set(reloaded.go(path).buttons)


@pytest.mark.parametrize("path", BENCH)
def test_a_reload_is_not_locked_out_by_its_draft(pages, folder, tripping, path):
    pages.harm(path)
    again = Unwell().go(path)
    assert again.dose == float(HARMFUL)
    assert again.broken
    assert set(RAIL) < set(again.buttons)
    again.press(words.STEP_BACK)
    assert again.dose == float(HARMLESS)
    assert again.broken == []
    assert "is open where you left it" not in again.said
    assert Unwell().go(path).dose == float(HARMLESS)


def test_a_draft_that_knows_no_earlier_design_leads_to_the_demo_and_is_one_undo_away(pages, folder, tripping):
    pages.harm()
    path = draft_file(folder)
    draft = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**draft, "drawn": {"design": 3}}), encoding="utf-8")
    again = Unwell()
    assert again.broken
    again.at.button(key="way-back").click()
    again.run()
    assert again.broken == []
    again.press("Undo")
    assert again.dose == float(HARMFUL)


def test_a_card_that_cannot_be_judged_is_not_saved_and_says_so(pages, folder, tripping):
    before = sorted(path.name for path in folder.cards.iterdir())
    pages.harm().press("Save card")
    assert words.NOT_DONE in pages.said
    assert "save_card" in log(folder)
    assert sorted(path.name for path in folder.cards.iterdir()) == before


def raising(*_):
    raise RuntimeError("a page of a torn book")


@pytest.mark.parametrize("path", BENCH)
def test_a_page_at_work_that_trips_leaves_the_rail_and_the_facts(pages, folder, monkeypatch, path):
    title, _, at_work = frame.PAGES[path]
    pages.type(DOSE, HARMLESS)
    monkeypatch.setitem(frame.PAGES, path, (title, raising, at_work))
    pages.go(path)
    (said,) = pages.broken
    assert title in said
    assert "scent 1.20 %" in pages.said
    assert set(RAIL) < set(pages.buttons)
    assert "a page of a torn book" in log(folder)
    other = next(page for page in BENCH if page != path)
    assert pages.go(other).broken == []


@pytest.mark.parametrize("path", ELSEWHERE)
def test_another_page_that_trips_leads_back_to_look(pages, folder, monkeypatch, path):
    title, _, at_work = frame.PAGES[path]
    monkeypatch.setitem(frame.PAGES, path, (title, raising, at_work))
    pages.go(path)
    (said,) = pages.broken
    assert title in said
    assert "a page of a torn book" in log(folder)
    pages.press(f"{words.BACK_TO_LOOK} →")
    assert pages.broken == []
    assert "bl-swatch" in pages.said


def test_the_kitchen_that_trips_can_be_left(pages, folder, monkeypatch):
    monkeypatch.setattr(frame.kitchen, "page", raising)
    pages.at.query_params["view"] = "kitchen"
    pages.run()
    assert "Kitchen view could not be drawn" in pages.broken[0]
    pages.press(words.LEAVE_KITCHEN)
    assert pages.broken == []


def test_a_refusal_is_told_in_its_own_words(pages, monkeypatch):
    def refusing():
        raise NotSaved("shelf", "the disk is full")

    monkeypatch.setitem(frame.PAGES, "shelf", ("Shelf", refusing, False))
    pages.go("shelf")
    assert "the disk is full" in pages.broken[0]


def test_where_the_log_cannot_be_written_the_terminal_has_it(pages, folder, monkeypatch, caplog):
    (folder.root / error_log.NAME).mkdir()
    monkeypatch.setitem(frame.PAGES, "guide", ("Guide", raising, False))
    pages.go("guide")
    assert words.DETAILS_IN_TERMINAL in pages.broken[0]
    assert "a page of a torn book" in caplog.text


def test_a_folder_that_cannot_be_made_is_told_and_locks_nothing(tmp_path, monkeypatch, caplog):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv(memo.FOLDER, str(tmp_path / "file" / "hers"))
    pages = Unwell()
    assert "file" in pages.broken[0]
    monkeypatch.setenv(memo.FOLDER, str(tmp_path / "hers"))
    assert pages.run().broken == []


@pytest.mark.parametrize(
    "harm",
    [
        {"design": {"format": 1}},
        {"design": {}, "embedded": 7},
        {"design": {"tones": 3}, "embedded": {"x": 1}},
    ],
)
def test_a_draft_that_cannot_be_read_is_set_aside_unchanged(folder, harm):
    folder.draft.write_text(json.dumps(harm), encoding="utf-8")
    pages = Unwell()
    assert pages.broken == []
    assert pages.design["name"] == "Lagoon"
    assert words.DRAFT_ASIDE in pages.said
    assert json.loads(draft_file(folder, folder.bin).read_text(encoding="utf-8")) == harm


def test_a_draft_that_trips_the_reader_is_set_aside_and_written_down(folder, monkeypatch):
    folder.draft.write_text('{"design": {"name": "Lagoon"}}', encoding="utf-8")
    true = documents.recipe.from_dict
    monkeypatch.setattr(
        documents.recipe, "from_dict", lambda plain: raising() if len(plain) == 1 else true(plain)
    )
    pages = Unwell()
    assert pages.broken == []
    assert words.DRAFT_ASIDE in pages.said
    assert "a page of a torn book" in log(folder)
    assert draft_file(folder, folder.bin).is_file()


def test_a_saved_day_that_is_no_day_does_not_take_the_rail_down(folder):
    pages = Unwell().type(DOSE, HARMLESS)
    path = draft_file(folder)
    draft = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**draft, "saved": "yesterday", "seen": 3}), encoding="utf-8")
    again = Unwell()
    assert again.broken == []
    assert "changed since yesterday" in again.said
    assert scent_words.SAVED_SOMEWHEN in again.go("scent").said
    assert again.broken == []
    assert pages.dose == again.dose


def test_an_act_that_trips_is_answered_and_the_design_stays(pages, folder, monkeypatch):
    before = pages.design
    monkeypatch.setattr(documents, "document", raising)
    pages.type(DOSE, HARMLESS)
    assert pages.broken == []
    assert words.NOT_DONE in pages.said
    assert "| change |" in log(folder)
    assert pages.design == before
    assert "Undo" in pages.buttons
    assert pages.at.session_state["past"] == []


@pytest.mark.parametrize(
    ("path", "module", "name", "label"),
    [
        ("look", "tone_fields.bench", "room_for_a_tone", look_words.ADD_TONE),
        ("scent", "shelf_changes.state", "assign", words.USE.format(name="Lavender")),
        ("scent", "scent_wishes.scents", "present_notes", scent_words.WISH_NOTES),
        ("cards", "page_cards.store", "duplicate", card_words.COPY),
        ("cards", "page_cards.store", "delete", card_words.TAKE_AWAY),
        ("cards", "page_cards.opening", "new_design", card_words.NEW_DESIGN),
    ],
)
def test_a_button_whose_act_trips_is_answered_and_the_page_stands(
    pages, folder, monkeypatch, path, module, name, label
):
    pages.press("Save card")
    oil = store.open_item(folder, "oil", "lavender")
    store.save_item(folder, replace(oil.item, lot="NEW-1"), oil.digest)
    pages.at.session_state["wishes"] = True
    before = pages.go(path).design
    monkeypatch.setattr(f"blendlab.ui.{module}.{name}", raising)
    pages.press(label)
    assert pages.broken == []
    assert words.NOT_DONE in pages.said
    assert "a page of a torn book" in log(folder)
    assert pages.design == before
    assert card_words.IN_BIN.format(name="Lagoon") not in pages.said


def test_undo_brings_back_a_pigment_that_left_the_shelf_meanwhile(pages, folder):
    first = pages.design["tones"][0]["doses"][0]["pigment"]
    pages.press("✕")
    assert all(dose["pigment"] != first for dose in pages.design["tones"][0]["doses"])
    store.delete_item(folder, "pigment", first["id"])
    pages.press("Undo")
    assert pages.design["tones"][0]["doses"][0]["pigment"] == first
    assert f'The pigment "{first["id"]}" is not on the shelf' not in pages.said
