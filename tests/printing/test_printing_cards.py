"""Cards as PDF and PNG, read back by two programs that know nothing of this one: pypdf and pypdfium2."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from pypdf import PdfReader

from blendlab.errors import MARKS, UnknownName
from blendlab.printing import STANDING, card_pdf, card_png, fonts, line_pdf, missing_letters
from blendlab.printing.card import PAPERS
from tests.printing.sheets import FULL, LAGOON, picture

MM = 25.4 / 72


def text_of(pdf):
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    return " ".join(" ".join(pages).split())


def rendered(pdf, dpi=300, page=0):
    document = pypdfium2.PdfDocument(pdf)
    pixels = document[page].render(scale=dpi / 72).to_numpy()[..., 2::-1]
    document.close()
    return pixels


def count(pixels, colour):
    rgb = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
    return int((pixels == rgb).all(-1).sum())


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sheet", [LAGOON, FULL], ids=["usual", "full"])
def test_every_word_of_the_card_can_be_selected(paper, sheet):
    text = text_of(card_pdf(sheet, paper))
    wanted = [sheet.name, sheet.product, sheet.jar, sheet.load, sheet.ceiling, sheet.counts, sheet.date]
    for tone in sheet.tones:
        wanted += [tone.name, tone.weak, tone.likely, tone.strong, tone.known]
        wanted += [f"{pigment} {pct:.4g} %" for pigment, pct in tone.doses]
    wanted += [f"{oil} {share:.4g} %" for oil, share in sheet.scent]
    wanted += [*sheet.label_names, *STANDING]
    wanted += [part for finding in sheet.findings for part in finding]
    assert [word for word in wanted if word not in text] == []


def test_lab_and_spread_stand_beside_each_tone():
    text = text_of(card_pdf(LAGOON))
    assert "L 67.9 a −20.1 b −6.3 · spread Delta E 3.1 · estimate" in text
    assert "60 %" in text


def test_letters_of_three_alphabets_and_the_marks_are_drawn_not_boxed():
    assert missing_letters([LAGOON, FULL]) == ()
    text = text_of(card_pdf(FULL))
    for word in ("Küstennebel", "Λεβάντα", "Лаванда", "Möwenflügel", *MARKS.values()):
        assert word in text


def test_a_letter_outside_the_font_is_marked_and_told():
    sheet = replace(LAGOON, name="Lagoon 海の色")
    (told,) = missing_letters(sheet)
    assert "海 の 色" in told
    text = text_of(card_pdf(sheet))
    assert "Lagoon ���" in text
    assert "stands for a letter this print does not have" in text
    assert "stands for a letter" not in text_of(card_pdf(LAGOON))


def test_a_letter_typed_in_two_parts_is_joined():
    sheet = replace(LAGOON, name="Ku\u0308ste")
    assert missing_letters(sheet) == ()
    assert "Küste" in text_of(card_pdf(sheet))


@pytest.mark.parametrize(("paper", "w", "h"), [("A6", 105, 148), ("A5", 148, 210), ("A4", 210, 297)])
def test_pages_have_the_size_of_their_paper(paper, w, h):
    """Sizes of ISO 216."""
    for page in PdfReader(BytesIO(card_pdf(FULL, paper))).pages:
        assert float(page.mediabox.width) * MM == pytest.approx(w, abs=0.05)
        assert float(page.mediabox.height) * MM == pytest.approx(h, abs=0.05)


@pytest.mark.parametrize(("paper", "margin"), [("A6", 6), ("A5", 12), ("A4", 12)])
@pytest.mark.parametrize("sheet", [LAGOON, FULL], ids=["usual", "full"])
def test_margins_stay_white(paper, margin, sheet):
    pdf = card_pdf(sheet, paper)
    for page in range(len(PdfReader(BytesIO(pdf)).pages)):
        pixels = rendered(pdf, 150, page)
        edge = int(margin / 25.4 * 150) - 3
        inner = pixels[edge:-edge, edge:-edge]
        assert (pixels != 255).any(-1).sum() == (inner != 255).any(-1).sum()


def test_a_usual_card_is_one_page_and_a_full_one_a_few():
    assert len(PdfReader(BytesIO(card_pdf(LAGOON))).pages) == 1
    assert 2 <= len(PdfReader(BytesIO(card_pdf(FULL))).pages) <= 3
    assert "2 of" in text_of(card_pdf(FULL))


def test_no_type_is_smaller_than_six_and_a_half_points():
    sizes = []

    def visit(text, matrix, text_matrix, font, size):
        if text.strip():
            sizes.append(size)

    for page in PdfReader(BytesIO(card_pdf(FULL))).pages:
        page.extract_text(visitor_text=visit)
    assert sizes
    assert min(sizes) >= 6.5


def test_fonts_are_embedded():
    fonts = [
        font.get_object()
        for page in PdfReader(BytesIO(card_pdf(LAGOON))).pages
        for font in page["/Resources"]["/Font"].values()
    ]
    used = [font for font in fonts if "DejaVu" in font["/BaseFont"]]
    assert used
    assert all("/FontFile2" in font["/FontDescriptor"] for font in used)


@pytest.mark.parametrize("dpi", [150, 300])
def test_swatches_have_their_exact_colours_on_paper(dpi):
    pixels = rendered(card_pdf(replace(LAGOON, picture=picture(colours=((10, 10, 10),)))), dpi)
    per_mm2 = (dpi / 25.4) ** 2
    for tone in LAGOON.tones:
        for colour in (tone.weak, tone.likely, tone.strong):
            assert count(pixels, colour) > 20 * per_mm2
    assert count(pixels, "#B8B8B8") > 500 * per_mm2


def test_swatches_and_panel_have_their_exact_colours_on_the_screen():
    pixels = np.asarray(Image.open(BytesIO(card_png(LAGOON, 2))))
    assert pixels.shape[1] == 1050
    for tone in LAGOON.tones:
        for colour in (tone.weak, tone.likely, tone.strong):
            assert count(pixels, colour) > 2000
    assert count(pixels, "#B8B8B8") > 50_000


def test_weak_likely_and_strong_touch_as_one_two_one():
    tone = LAGOON.tones[0]
    pixels = np.asarray(Image.open(BytesIO(card_png(LAGOON, 2))))
    rgb = [int(tone.weak[at : at + 2], 16) for at in (1, 3, 5)]
    y, x = np.argwhere((pixels == rgb).all(-1))[0] + (10, 0)
    row = ["#" + "".join(f"{code:02X}" for code in pixel) for pixel in pixels[y, x : x + 500]]
    runs = [row[:1]]
    for code in row[1:]:
        if code == runs[-1][0]:
            runs[-1].append(code)
        else:
            runs.append([code])
    assert [run[0] for run in runs[:4]] == [tone.weak, tone.likely, tone.strong, "#B8B8B8"]
    weak, likely, strong = (len(run) for run in runs[:3])
    assert likely == pytest.approx(2 * weak, abs=2)
    assert strong == pytest.approx(weak, abs=2)


def test_picture_edge_cannot_be_told_from_the_panel():
    pixels = np.asarray(Image.open(BytesIO(card_png(replace(LAGOON, picture=picture(colours=())), 1))))
    panel = pixels[40:200, 40:200]
    assert (panel == 0xB8).all()


def test_ink_is_grey_outside_picture_and_swatches():
    grey = replace(
        LAGOON,
        picture=picture(colours=((120, 120, 120),)),
        tones=tuple(replace(t, weak="#909090", likely="#808080", strong="#707070") for t in LAGOON.tones),
    )
    pixels = rendered(card_pdf(grey), 150).astype(int)
    assert np.ptp(pixels, axis=-1).max() == 0


def test_formula_stays_at_home_without_percents():
    text = text_of(card_pdf(LAGOON, with_percents=False))
    for pigment, pct in (dose for tone in LAGOON.tones for dose in tone.doses):
        assert pigment in text
        assert f"{pigment} {pct:g}" not in text
    for oil, share in LAGOON.scent:
        assert oil in text
        assert f"{oil} {share:g}" not in text


def test_deeper_than_the_screen_is_said_in_words():
    deep = replace(LAGOON, tones=(replace(LAGOON.tones[0], in_gamut=False),))
    assert "deeper than a screen can show" in text_of(card_pdf(deep))
    assert "deeper than" not in text_of(card_pdf(LAGOON))


def test_a_card_with_nothing_on_it_still_prints():
    bare = replace(
        LAGOON, name="", tones=(), scent=(), findings=(), label_names=(), counts="", ceiling="", load=""
    )
    assert STANDING[0] in text_of(card_pdf(bare))
    assert card_png(bare)[:4] == b"\x89PNG"


@pytest.mark.parametrize("name", ["W" * 80, "Donaudampfschifffahrt" * 4, "a b " * 20])
def test_long_names_stay_on_the_card(name):
    pdf = card_pdf(replace(LAGOON, name=name))
    assert len(PdfReader(BytesIO(pdf)).pages) <= 2
    pixels = rendered(pdf, 100)
    assert (pixels[:, -20:] == 255).all()


def test_a_very_long_finding_runs_on_to_the_next_page():
    text = " ".join(f"word{n}" for n in range(900))
    pdf = card_pdf(replace(LAGOON, findings=((MARKS["stop"], text),)))
    found = text_of(pdf)
    assert all(f"word{n}" in found for n in range(900))


def test_same_card_gives_the_same_bytes():
    assert card_pdf(LAGOON) == card_pdf(LAGOON)
    assert card_png(LAGOON) == card_png(LAGOON)


def test_unknown_paper_is_refused_with_the_known_ones():
    with pytest.raises(UnknownName, match="A6, A5, A4"):
        card_pdf(LAGOON, "letter")


def test_line_sheet_holds_every_card_in_order():
    sheets = [replace(LAGOON, name=f"Card {n}") for n in range(1, 9)]
    pdf = line_pdf(sheets, "Spring line for the garden")
    reader = PdfReader(BytesIO(pdf))
    assert len(reader.pages) == 2
    text = text_of(pdf)
    places = [text.index(f"Card {n}") for n in range(1, 9)]
    assert places == sorted(places)
    assert "Spring line for the garden" in text
    assert STANDING[1] in text
    assert all(tone.likely in text for tone in LAGOON.tones)
    assert float(reader.pages[0].mediabox.height) * MM == pytest.approx(297, abs=0.05)


def test_line_sheet_keeps_the_colours_of_six_tones():
    pixels = rendered(line_pdf([FULL, LAGOON], "Line"), 150)
    assert all(count(pixels, tone.likely) > 100 for tone in (*FULL.tones, *LAGOON.tones))
    assert all(tone.likely in text_of(line_pdf([FULL], "Line")) for tone in FULL.tones)


@pytest.mark.parametrize(
    "draw",
    [lambda: card_pdf(FULL), lambda: card_pdf(FULL, "A4"), lambda: line_pdf([FULL] * 6, "Line")],
    ids=["A6", "A4", "line"],
)
def test_a_further_pdf_reads_no_font_again(draw, monkeypatch):
    draw()
    read_again = []
    monkeypatch.setattr(fonts, "TTFont", lambda *given: read_again.append(given))
    assert draw().startswith(b"%PDF")
    assert not read_again


def test_a_finding_is_not_torn_between_two_pages():
    sentence = (
        "The wall of the jar is wetted by the foam and looks deeper than the open surface of the same tone."
    )
    many = replace(
        LAGOON, findings=tuple((MARKS["note"], f"{n}. {sentence} End of {n}.") for n in range(1, 20))
    )
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(card_pdf(many))).pages]
    assert len(pages) >= 2
    for n in range(1, 20):
        assert [f" {n}. The wall" in page for page in pages] == [f"End of {n}." in page for page in pages]
