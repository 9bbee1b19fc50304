"""Tables on the pages: out by a button, in from a file, every row answered."""

from __future__ import annotations

from blendlab import store


def buttons(pages) -> set[str]:
    return {button.label for button in pages.at.get("download_button")}


def test_oils_raw_materials_lots_and_lines_can_be_taken_out(pages, folder):
    pages.go("shelf")
    for kind, label in (("oil", "Oils"), ("ingredient", "Raw materials"), ("lot", "Lots")):
        pages.at.segmented_control(key="shelf-kind").set_value(kind)
        pages.run()
        assert f"{label} as a table (CSV)" in buttons(pages)


def test_a_table_of_raw_materials_is_taken_row_by_row(pages, folder):
    pages.go("shelf")
    pages.at.segmented_control(key="shelf-kind").set_value("ingredient")
    pages.run()
    rows = 'Name,Components\rReed water,"Aqua; 7732-18-5; 100; 100"\rMoss,\r'
    pages.at.file_uploader(key="table-ingredients").set_value(("rows.csv", rows.encode(), "text/csv"))
    pages.run()
    pages.at.button(key="take-ingredients").click()
    pages.run()
    assert "Reed water" in {item.name for item in store.read_shelf(folder).of("ingredient")}
    assert "Row 3, Moss: Components are missing" in pages.said
