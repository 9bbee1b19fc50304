"""Each recipe of DEVELOPERS.md, "How to add", done word by word in a temporary copy of the project.

What is added is invented.
"""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest

from tests.recipes.copies import ROOT, add_row, copy_project, edit, passes, recipe, run

INVENTED = {"source": "invented for a test", "source_kind": "invented", "checked_on": "2026-11-26"}
FACTS = "blendlab/facts/"
PIGMENT, OIL, LIMIT = "a pigment", "an oil", "a limit"
MATERIAL, FIGURE, PAGE, ROW = "a preservative, a raw material", "a figure", "a page", "a reference row"
ARRANGEMENT = "an arrangement"


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    return copy_project(tmp_path_factory.mktemp("recipes") / "copy")


def names_every(line: str, *words: str) -> None:
    """The recipe says each step that is done here."""
    assert [word for word in words if f"`{word}`" not in line] == []


def add_pigment(copy) -> None:
    names_every(
        recipe(PIGMENT), "starter_pigments.csv", "pigment_facts.csv", "colour_additives.csv",
        "blendlab.tint.derive.recovery", "facts/tint/recovery_error.csv",
    )  # fmt: skip
    kept = {row["quantity*"]: row for row in _rows("tint/starter_pigments.csv", "ultramarine_blue")}
    for quantity in ("K", "S"):
        bands = {band: value for band, value in kept[quantity].items() if band.startswith("V")}
        add_row(
            copy, FACTS + "tint/starter_pigments.csv", id="slate_blue", name="slate blue", group="absorbing",
            quantity=quantity, unit=kept[quantity]["unit"], **bands, **INVENTED,
        )  # fmt: skip
    add_row(
        copy, FACTS + "tint/pigment_facts.csv", id="slate_blue", ci="99901", cap_pct="1.0",
        density_g_ml="2.4", unit="% of the finished portion; g/ml; sRGB 0-1", **INVENTED,
    )  # fmt: skip
    add_row(
        copy, FACTS + "tint/colour_additives.csv", ci="99901", name="slate blue", kind="mineral", eu="listed",
        eu_source_kind="from_memory", us="listed", us_section="73.9999", us_eye="yes",
        us_source_kind="from_memory", unit="CI number", **INVENTED,
    )  # fmt: skip
    made = run(copy, "-m", "blendlab.tint.derive.recovery")
    (copy / FACTS / "tint/recovery_error.csv").write_text(made, encoding="utf-8")


def _rows(table: str, pigment_id: str) -> list[dict[str, str]]:
    with (ROOT / FACTS / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["id*"] == pigment_id]


def add_oil_and_limit(copy) -> None:
    names_every(recipe(OIL), "facts/fragrance/oils.csv", "oil_constituents.csv")
    names_every(recipe(LIMIT), "law_limits.csv", "ifra_limits.csv", "engine_use")
    add_row(
        copy, FACTS + "fragrance/oils.csv", oil_id="EO99", name="meadow sage", kind="essential_oil",
        inci="Salvia Pratensis Oil", cas="84082-79-1", plant_part="flower", top_share="0.2",
        middle_share="0.7", base_share="0.1", density_20C_g_ml="0.9", flash_point_C="78",
        vanillin_pct_typical="0", ethyl_vanillin_pct_typical="0", unit="shares 0..1; g/ml; C; % of the oil",
        **INVENTED,
    )  # fmt: skip
    for name, cas, high in (("linalyl acetate", "115-95-7", "75"), ("meadow ketone", "99999-98-1", "100")):
        add_row(
            copy, FACTS + "fragrance/oil_constituents.csv", oil_id="EO99", constituent=name, cas=cas,
            low_pct="10", typical_pct="20", high_pct=high, unit="% of the oil", **INVENTED,
        )  # fmt: skip
    add_row(
        copy, FACTS + "fragrance/law_limits.csv", substance="Meadow sage ketone", cas_numbers="99999-98-1",
        product_scope="rinse-off", applies_to="rinse_off", limit_percent="0.5", engine_use="block",
        unit="% of the finished product", **INVENTED,
    )  # fmt: skip


def add_material_and_preservative(copy) -> None:
    names_every(
        recipe(MATERIAL), "facts/batch/ingredients.csv", "components.csv", "preservatives.csv",
        "preservative_limits.csv",
    )  # fmt: skip
    units = "% of the ingredient; g/ml; money per g; % of the finished product; C"
    add_row(
        copy, FACTS + "batch/ingredients.csv", id="oat-flour", name="Oat flour", function="texture",
        phase="fold", water_pct="10", active_pct="0", density_g_ml="1.4", price_per_g="0.01", unit=units,
        **INVENTED,
    )  # fmt: skip
    add_row(
        copy, FACTS + "batch/ingredients.csv", id="preservative-z", name="Preservative Z",
        function="preservative", phase="cool", water_pct="0", active_pct="0", density_g_ml="1.0",
        low_pct="0.4", high_pct="0.8", add_below_c="40", unit=units, **INVENTED,
    )  # fmt: skip
    for ingredient, inci, cas in (
        ("oat-flour", "Avena Sativa Kernel Flour", "134134-86-4"),
        ("preservative-z", "Meadowyl Glycol", "99999-97-0"),
    ):
        add_row(
            copy, FACTS + "batch/components.csv", ingredient=ingredient, inci=inci, cas=cas, low_pct="95",
            high_pct="100", unit="% of the ingredient", **INVENTED,
        )  # fmt: skip
    add_row(
        copy, FACTS + "batch/preservatives.csv", system="meadowyl glycol", inci="Meadowyl Glycol",
        takes="all", ph_low="3", ph_high="8", refused="no", unit="pH", **INVENTED,
    )  # fmt: skip
    add_row(
        copy, FACTS + "batch/preservative_limits.csv", active="Meadowyl Glycol", cas="99999-97-0",
        rinse_off_pct="0.8", leave_on_pct="0.5", unit="% of the finished product", **INVENTED,
    )  # fmt: skip


def add_figure(copy) -> None:
    names_every(recipe(FIGURE), "figures.csv", 'figure("batch", "loss").value')
    add_row(
        copy, FACTS + "batch/figures.csv", id="stirring_minutes", low="1", value="3", high="5", unit="min",
        remark="invented for a test", **INVENTED,
    )  # fmt: skip


def add_arrangement(copy) -> None:
    names_every(recipe(ARRANGEMENT), "recipe.ARRANGEMENTS", "jar/arrangements/")
    shutil.copy(Path(__file__).with_name("petals.py"), copy / "blendlab/jar/arrangements/petals.py")
    edit(copy, "blendlab/recipe/look.py", r"^(ARRANGEMENTS = \(.*)\)$", r'\1, "petals")')


WORDS = '''"""The English of the page Weather."""

SKY = "The sky is clear."
'''
PAGE_MODULE = '''"""Weather: an invented page."""

import streamlit as st

from blendlab.ui.words import weather as words


def page() -> None:
    """Draw the page."""
    st.html(f"<p>{words.SKY}</p>")
'''
ADAPTER = """

def halves(row: dict) -> dict:
    return {"half_g": filling.portions(row["grams"], [1, 1], 0.5)[0]}


TOPICS["recipe.halves"] = halves
"""


def add_page(copy) -> None:
    names_every(recipe(PAGE), "ui/page_<name>.py", "ui/frame.PAGES", "ui/words/<name>.py")
    (copy / "blendlab/ui/words/weather.py").write_text(WORDS, encoding="utf-8")
    (copy / "blendlab/ui/page_weather.py").write_text(PAGE_MODULE, encoding="utf-8")
    frame = "blendlab/ui/frame.py"
    edit(copy, frame, r"^(    page_shelf,)$", r"\1\n    page_weather,")
    edit(copy, frame, r'^(    "guide": .*)$', r'\1\n    "weather": ("Weather", page_weather.page, False),')


def add_reference_row(copy) -> None:
    names_every(recipe(ROW), "tests/reference/*_rows.csv", "tests/adapters/")
    add_row(
        copy, "tests/reference/batch_rows.csv", id="W999", topic="recipe.halves",
        inputs=json.dumps({"grams": 7.0}), expected=json.dumps({"half_g": 3.5}), tolerance="0.001",
        tolerance_kind="relative", source_kind="invented", source="arithmetic",
    )  # fmt: skip
    adapters = copy / "tests/adapters/batch.py"
    adapters.write_text(adapters.read_text(encoding="utf-8") + ADAPTER, encoding="utf-8")


def test_every_recipe_is_followed_by_the_app_and_breaks_no_table(copy):
    add_pigment(copy)
    add_oil_and_limit(copy)
    add_material_and_preservative(copy)
    add_figure(copy)
    add_arrangement(copy)
    add_page(copy)
    add_reference_row(copy)
    passes(
        copy,
        "tests/recipes/followed.py",
        "tests/ui/arrangement_followed.py",
        "tests/tint/test_tint_facts.py",
        "tests/tint/test_tint_swatches.py::test_the_error_of_recovery_is_derived_again",
        "tests/fragrance/test_fragrance_facts.py",
        "tests/test_rows.py",
        "tests/test_swatches.py",
        "tests/ui/test_ui_launch.py::test_every_page_opens_with_a_demo_design",
    )
