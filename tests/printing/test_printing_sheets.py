"""Batch sheet, cup labels, jar labels and lists as PDF: read back by pypdf, looked at by pypdfium2."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from types import MappingProxyType

import numpy as np
import pypdfium2 as pdfium
import pytest
from pypdf import PdfReader

from blendlab import printing
from blendlab.batch import Maker, label, plan
from blendlab.batch.durability import Bound, durability
from blendlab.errors import Finding
from blendlab.printing import fonts, sheet
from blendlab.printing.label import TooMuch, size
from blendlab.printing.paper import GREY, Box
from blendlab.shelf import resolve
from tests.batch import plans_to_try as tries

MM = 72 / 25.4
DAY, CODE = date(2026, 3, 7), "26066A-TWO120"


@pytest.fixture(scope="module")
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


@pytest.fixture(scope="module")
def told(made):
    words = label(
        resolve(tries.design(), tries.shelf()),
        made,
        "US",
        allergens=["Linalool"],
        weighed_g=[73.0, 74.0, 75.0],
        code=CODE,
        lasts=durability("US", DAY, [Bound(date(2027, 3, 31), "12 months")], 6, DAY),
        maker=Maker("Reed studio", "1 Lane, Town", "mail@example.org", "Nowhere"),
    )
    return replace(words, findings=())


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


def words(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in read(data).pages)


def pixels(data: bytes, per_mm: float = 12, page: int = 0) -> np.ndarray:
    """A page as grey pixels, 0 black to 255 white."""
    return np.asarray(pdfium.PdfDocument(data)[page].render(scale=per_mm / MM).to_pil().convert("L"))


def test_the_sheet_says_every_line_step_and_code(made):
    data = printing.sheet_pdf(made, CODE, DAY, "Cooked base")
    reader = read(data)
    page = reader.pages[0]
    assert [round(float(points) / MM, 1) for points in page.mediabox[2:]] == [210, 297]  # ISO 216 A4
    said = words(data)
    for line in made.lines:
        assert line.name in said
        assert f"{line.grams:.{len(f'{line.step_g:g}'.partition('.')[2])}f}" in said
    for number, page in enumerate(reader.pages, start=1):
        text = page.extract_text()
        assert CODE in text
        assert f"{number} of {len(reader.pages)}" in text
        assert "Planning figures." in text
    joined = " ".join(said.split())
    for step in made.steps:
        if step.kind != "weigh":
            assert " ".join(step.text.split()[:4]) in joined


def test_the_printed_grams_add_up_to_the_batch(made):
    sizes: dict[str, float] = {}

    def visit(text, _cm, tm, _font, points):
        if text.strip().replace(".", "").isdigit() and points > 15:
            sizes[f"{tm[5]:.1f}"] = float(text)

    total = 0.0
    for page in read(printing.sheet_pdf(made, CODE, DAY, "")).pages:
        sizes.clear()
        page.extract_text(visitor_text=visit)
        total += sum(sizes.values())
    assert total == pytest.approx(made.batch_g, abs=1e-6)


def test_the_sheet_says_its_heat_in_fahrenheit(made):
    """45 C and 60 C are 113 F and 140 F (NIST SP 811, appendix B)."""
    asked = words(printing.sheet_pdf(made, CODE, DAY, "", "F"))
    assert "113 °F" in asked
    assert "140 °F" in asked
    assert "°C" not in asked
    assert "60 °C" in words(printing.sheet_pdf(made, CODE, DAY, ""))


def test_the_sheet_of_a_batch_that_is_done_says_what_went_in_and_where_it_went(made):
    line = made.lines[0]
    weighed = {line.id: ("L-77 + L-78", "1\u2009234.5")}
    rows = [("Weighed in", "2017 g"), ("lost, the rest", "12 g, 0.6 %")]
    record = {"What became of it": rows, "Kept jars": []}
    text = words(printing.sheet_pdf(made, CODE, DAY, "", weighed=weighed, record=record))
    assert "Kept jars" not in text
    assert "L-77 + L-78" in text
    assert "234.5" in text
    at = text.index("What became of it")
    assert all(part in text[at:] for row in rows for part in row)
    assert "What became of it" not in words(printing.sheet_pdf(made, CODE, DAY, ""))


def test_a_box_stands_only_for_what_the_book_does_not_know(made):
    """Two gates are done, one with its temperature; a line is weighed, one of no named lot."""
    gates = [step.id for step in made.steps if step.kind == "gate"]
    first, second = (line.id for line in made.lines[:2])
    weighed, done = {first: ("L-1", "12.3"), second: ("", "4.5")}, {gates[0]: "38.5 °C", gates[1]: ""}
    blank = words(printing.sheet_pdf(made, CODE, DAY, ""))
    known = words(printing.sheet_pdf(made, CODE, DAY, "", weighed=weighed, done=done))
    assert "✓" not in blank
    assert known.count("✓") == 4
    assert "38.5 °C" in known
    assert (blank.count("measured"), known.count("measured")) == (len(gates), len(gates) - 1)
    frames = [_frames(made, **given) for given in ({}, {"weighed": weighed}, {"done": done})]
    assert frames[0] - frames[1] == 4 * (2 + 2 + 1)  # both weighed, both ticked, a lot named
    assert frames[0] - frames[2] == 4 * (2 + 1)  # both ticked, a temperature written down


def _frames(made, weighed=MappingProxyType({}), done=MappingProxyType({})) -> int:
    """Sides of boxes to write in."""
    blocks = sheet._blocks(made, "C", weighed, done)
    marks = [mark for block in blocks for mark in block.marks if isinstance(mark, Box)]
    return sum(mark.colour == GREY for mark in marks)


def test_the_foot_of_the_sheet_has_room(made):
    shown = pixels(printing.sheet_pdf(made, CODE, DAY, ""), 4)
    margin = 11 * 4
    assert (shown[:margin] > 250).all()
    assert (shown[:, :margin] > 250).all()
    assert (shown[:, -margin:] > 250).all()


def test_cup_labels_are_50_by_25_mm(made):
    cups = [(cup, "12.30 g") for cup in made.cups]
    reader = read(printing.cups_pdf(cups, CODE, made.title))
    assert len(reader.pages) == len(made.cups)
    for (cup, grams), page in zip(cups, reader.pages, strict=True):
        assert [float(points) / MM for points in page.mediabox[2:]] == pytest.approx([50, 25], abs=0.01)
        text = page.extract_text()
        assert all(word in text for word in (cup, grams, CODE))


def test_the_ruler_of_the_jar_label_is_50_mm(told):
    shown = pixels(printing.label_pdf(told, "Two tones", 70, 60), 20)
    ruler = shown[int(17.8 * 20) : int(18.6 * 20)]
    row = ruler[ruler.shape[0] // 2] < 128
    columns = np.flatnonzero(row[: (64 * 20)])
    assert (columns[-1] - columns[0] + 1) / 20 == pytest.approx(50, abs=0.15)


def test_the_frame_of_the_jar_label_has_its_size(told):
    w, h = size(70, 60)
    shown = pixels(printing.label_pdf(told, "Two tones", 70, 60), 20)
    top = int(25.5 * 20)
    dark = np.flatnonzero(shown[top:, (100 * 20)] < 200)
    assert dark[0] / 20 == pytest.approx(0.5, abs=0.3)
    left = np.flatnonzero(shown[int((26 + h / 2) * 20)] < 200)
    assert (left[-1] - left[0]) / 20 == pytest.approx(w, abs=0.3)
    assert w <= np.pi * 70


def test_the_jar_label_says_what_it_must(told):
    said = " ".join(words(printing.label_pdf(told, "Two tones", 70, 60)).split())
    for sentence in (
        *told.ingredients.names,
        "Net wt. 2.5 oz (70 g)",
        CODE,
        "Best before the end of 03/2027",
        "Reed studio",
        "Linalool",
    ):
        assert sentence in said.replace("- ", "-"), sentence
    assert all(warning.split(".")[0] in said for warning in told.warnings)


def test_figures_of_the_net_weight_reach_the_least_height(told):
    """21 CFR 701.13(i): the figures of a panel of 5 to 25 square inches are 1/8 inch high."""
    assert told.net.figure_mm == pytest.approx(25.4 / 8)
    found = []

    def visit(text, _cm, _tm, _font, points):
        if text.startswith("Net wt."):
            found.append(points)

    read(printing.label_pdf(told, "Two tones", 70, 60)).pages[0].extract_text(visitor_text=visit)
    assert found
    assert (
        min(found) * 0.729 / MM >= 25.4 / 8 - 1e-6
    )  # height of a figure of the typeface, in sizes of the type


def test_the_qr_code_holds_the_ingredient_list(told):
    """Its modules, read back from the page, are those of an encoder for the same text."""
    import segno

    rows = list(
        segno.make(told.ingredients.text, error="l", micro=False, boost_error=False).matrix_iter(border=0)
    )
    per_mm, module = 30, 0.36
    shown = pixels(printing.label_pdf(told, "Two tones", 90, 90), per_mm)
    w, h = size(90, 90)
    side = (len(rows) + 8) * module
    x, y = 12 + w - 2.5 - side + 4 * module, 26 + (h - side) / 2 + 4 * module
    at = [round((y + (row + 0.5) * module) * per_mm) for row in range(len(rows))]
    across = [round((x + (column + 0.5) * module) * per_mm) for column in range(len(rows))]
    seen = (shown[np.ix_(at, across)] < 128).astype(int)
    assert np.array_equal(seen, np.array([list(row) for row in rows]).clip(0, 1))


def test_the_open_jar_is_printed_with_its_months_where_the_market_knows_it(told):
    """EU above 30 months: the sign in the place of a date; nothing of it on a US label."""
    lasts = durability("EU", DAY, [Bound(date(2029, 3, 31), "36 months")], 9, DAY)
    said = words(printing.label_pdf(replace(told, lasts=lasts), "Two tones", 70, 60))
    assert "9M" in said.split()
    assert "before the end" not in said
    assert "6M" not in words(printing.label_pdf(told, "Two tones", 70, 60)).split()


def test_a_low_jar_gets_its_code_as_a_sticker(told):
    assert "for lid or bottom" in words(printing.label_pdf(told, "Two tones", 71, 37))


def test_a_label_that_is_held_back_is_not_printed(told):
    barred = replace(told, findings=(Finding("stop", "x", "batch.label", "No batch code."),))
    with pytest.raises(printing.HeldBack, match="No batch code"):
        printing.label_pdf(barred, "Two tones", 70, 60)


def test_words_that_do_not_fit_are_told(told):
    many = replace(told.ingredients, names=tuple(f"Ingredient number {at}" for at in range(400)))
    with pytest.raises(TooMuch):
        printing.label_pdf(replace(told, ingredients=many), "Two tones", 50, 30)


def test_a_list_breaks_over_pages_under_its_head():
    rows = [("code", "what", "how much", "from or to")]
    rows += [
        (f"L-{at}", "Whipped soap base with a long name " * 2, "20 jars", "garden shop") for at in range(80)
    ]
    data = printing.list_pdf("Recall list", "80 lines", rows, (0.2, 0.3, 0.16, 0.34))
    assert len(read(data).pages) > 1
    said = words(data)
    assert all(f"L-{at}" in said for at in range(80))


@pytest.mark.parametrize("what", ["sheet", "cups", "label"])
def test_a_further_pdf_reads_no_font_again(made, told, what, monkeypatch):
    draw = {
        "sheet": lambda: printing.sheet_pdf(made, CODE, DAY, "Cooked base"),
        "cups": lambda: printing.cups_pdf([(cup, "1 g") for cup in made.cups], CODE, made.title),
        "label": lambda: printing.label_pdf(told, "Two tones", 70, 60),
    }[what]
    draw()
    read_again = []
    monkeypatch.setattr(fonts, "TTFont", lambda *given: read_again.append(given))
    assert draw().startswith(b"%PDF")
    assert not read_again
