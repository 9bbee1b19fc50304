"""One judgement everywhere: rail, Batch, the list of cards, the print of a card; lots and stock included."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from html import escape
from io import BytesIO

from pypdf import PdfReader

from blendlab import store
from blendlab.production import judgement, stock_lots
from blendlab.ui import memo, page_cards, parts
from blendlab.ui.words import cards as say
from tests.ui.kitchen_walk import a_lot

BASE, BLUE, OIL = "base:soap-white", "pigment:ferric_ferrocyanide", "oil:lavender"
SINCE, WITHOUT = escape(say.LOTS_SINCE), escape(say.WITHOUT_LOTS)


def rail(pages) -> str:
    """What the rail counts."""
    facts = next(str(html.value) for html in pages.at.get("html") if "bl-facts" in str(html.value))
    return facts.split(" · ")[3]


def card(pages, name: str = "Harbour") -> str:
    """What the list of cards says of a card."""
    there = (str(html.value) for html in pages.at.get("html"))
    return next(text for text in there if f'<h3 class="bl-cardname">{name}</h3>' in text)


def printed(pages, monkeypatch, name: str = "harbour") -> str:
    """The text of a card's PDF, made after the page was drawn."""
    caught = []
    with monkeypatch.context() as patch:
        patch.setattr(
            page_cards.st,
            "download_button",
            lambda label, data, file_name, **more: (
                caught.append(data) if file_name == f"{name}.pdf" else None
            ),
        )
        pages.go("cards")
    (data,) = caught
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(data())).pages).split())


def awry(folder, pages) -> None:
    """A base lot that ended and is taken by her word, a pigment held back, an oil that runs short."""
    book, base = a_lot(folder, BASE, 5000, "B-1")
    book.correct_lot(base, replace(store.lot(book, base).lot, expiry=date.today() - timedelta(days=1)))
    _, blue = a_lot(folder, BLUE, 50, "P-1")
    book.correct_lot(blue, store.lot(book, blue).lot, {"held": "speckled"})
    a_lot(folder, OIL, 1, "L-1")
    pages.at.session_state["lots"] = {BASE: [base]}


def test_rail_batch_card_and_print_say_the_same_of_a_design(pages, folder, monkeypatch):
    pages.type("t.name", "Harbour").press("Save card")
    plain = rail(pages)
    awry(folder, pages)
    pages.go("batch")
    counted, batch = rail(pages), pages.said
    assert counted != plain
    looked = pages.go("look").said
    assert rail(pages) == counted
    told = [finding for finding in assessed(pages, folder) if finding.room == "batch"]
    texts = [escape(finding.text) for finding in told]
    assert {"caution", "stop"} <= {finding.level for finding in told}
    assert [text for text in texts if text not in batch or text not in looked] == []
    pages.press("Save card").go("cards")
    assert f"<br>{counted}" in card(pages)
    paper = printed(pages, monkeypatch)
    assert [finding.text for finding in told if finding.text not in paper] == []
    assert "with the lots of the book" in paper


def assessed(pages, folder):
    doc, chosen = pages.at.session_state["doc"], pages.at.session_state["lots"]
    stock = stock_lots.in_stock(store.open_book(folder), chosen, date.today())
    return memo.assessment(
        memo.design(doc["design"]), memo.carried(doc["embedded"]), date.today(), stock
    ).findings


def test_a_card_says_what_its_counts_leave_out_of_the_book(pages, folder):
    pages.go("cards")
    assert WITHOUT not in pages.said  # there is no lot yet
    book, number = a_lot(folder, BASE, 5000, "B-1")
    pages.go("cards")
    assert pages.said.count(WITHOUT) == 3  # the demo was judged before there was a book
    pages.go("look").type("t.name", "Harbour").press("Save card").go("cards")
    assert pages.said.count(WITHOUT) == 3
    assert SINCE not in card(pages)
    a_lot(folder, "ingredient:urea", 10, "U-1")  # nothing of this jar
    pages.go("cards")
    assert SINCE not in card(pages)
    book.correct_lot(number, store.lot(book, number).lot, {"held": "smells odd"})
    pages.go("cards")
    assert SINCE in card(pages)
    pages.go("look").press("Save card").go("cards")
    assert SINCE not in card(pages)


def test_the_list_of_cards_judges_nothing(pages, folder, monkeypatch):
    awry(folder, pages)
    pages.type("t.name", "Harbour").press("Save card").go("cards")
    judged = []
    monkeypatch.setattr(judgement, "judge", lambda *given: judged.append(given))
    pages.go("cards").run()
    assert judged == []
    assert parts.worst({"stop": 1}).split()[0] in card(pages)
