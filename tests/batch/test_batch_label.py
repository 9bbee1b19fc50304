"""Labels, cooking a base, the kitchen, the assessment of a family."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from blendlab.batch import cooking, inci, kitchen, release_points, resize
from blendlab.batch.durability import Bound, durability
from blendlab.batch.label import Maker, claim_findings, label, net_weight
from blendlab.batch.plan import plan
from blendlab.batch.safety_assessment import Family, outside
from blendlab.errors import UnknownName
from blendlab.recipe import Dust, Ref, Top
from blendlab.shelf import Component, Price, Shelf, lines_of, resolve
from tests.batch import plans_to_try as tries

FORBIDDEN = {"safe", "compliant", "approved", "legal", "certified", "guaranteed", "hypoallergenic", "ok"}
DAY = date(2026, 3, 7)
YEAR = durability("EU", DAY, [Bound(date(2027, 3, 31), "12 months")], 6, DAY)
WHO = Maker("Studio", "1 Mill Lane", "hello@studio.invalid", "Somewhere")


@cache
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


def _pcts(shelf: Shelf, components: dict[str, float]) -> list[str]:
    return sorted(components, key=components.get, reverse=True)


def test_order_is_that_of_the_weighed_batch():
    """Percent of every component summed here by hand from the rounded lines and the formula."""
    shelf, sheet = tries.shelf(), made()
    total: dict[str, float] = {}
    base = shelf.today("base", "cooked")
    lines = [(line.ingredient.id, sheet.line("base").grams * line.pct / 100) for line in base.lines]
    lines.append(("preservative-a", sheet.line("preservative").grams))
    for item_id, grams in lines:
        for part in shelf.today("ingredient", item_id).components:
            total[part.inci] = total.get(part.inci, 0) + grams * (part.low_pct + part.high_pct) / 200
    total["Parfum"] = sum(line.grams for line in sheet.lines if line.what == "oil")
    above = [
        name for name in sorted(total, key=total.get, reverse=True) if 100 * total[name] / sheet.batch_g >= 1
    ]
    names = inci.ingredients(resolve(tries.design(), shelf), sheet, "EU")
    assert list(names.names[: len(above)]) == above
    assert set(total) <= set(names.names)
    assert names.export


def test_colours_stand_last_and_the_dust_is_among_them():
    mica = tries.shelf().today("pigment", "mica_white")
    design = tries.design(top=Top(dust=Dust(pigment=mica.ref)))
    sheet = plan(resolve(design, tries.shelf()), tries.LOW_JAR)
    eu = inci.ingredients(resolve(design, tries.shelf()), sheet, "EU").names
    us = inci.ingredients(resolve(design, tries.shelf()), sheet, "US").names
    assert {f"CI {number}" for number in mica.ci} <= set(eu)
    assert "CI 77007" in eu
    assert all(name.startswith("CI ") for name in eu[-4:])
    assert {"Ultramarines", "Mica", "Titanium Dioxide", "Fragrance", "Water"} <= set(us)
    assert not any(name.startswith("CI ") for name in us)


def test_a_colour_without_a_listed_name_keeps_a_us_label_back():
    """Brilliant Black (CI 28440) is no colour additive that the US lists for cosmetics (21 CFR 73, 74)."""
    mica = replace(tries.shelf().today("pigment", "mica_white"), ci=("28440",))
    shelf = Shelf((*(item for item in tries.shelf().items if item.id != mica.id), mica))
    design = tries.design(top=Top(dust=Dust(pigment=mica.ref)))
    sheet = plan(resolve(design, shelf), tries.LOW_JAR)
    listed = {market: inci.ingredients(resolve(design, shelf), sheet, market) for market in ("EU", "US")}
    told = {market: {each.id: each.level for each in found.findings} for market, found in listed.items()}
    assert told["US"].get("colour-CI 28440") == "stop"
    assert "colour-CI 28440" not in told["EU"]


def test_allergens_follow_the_fragrance():
    names = inci.ingredients(
        resolve(tries.design(), tries.shelf()), made(), "EU", ("Linalool", "Geraniol")
    ).names
    at = names.index("Linalool")
    assert names.index("Parfum") < at
    assert names[at + 1] == "Geraniol"


def test_a_bought_base_of_unknown_percents_holds_the_label_back():
    base = tries.shelf().today("base", "soap-white")
    bought = replace(base, id="bought", declared=("Aqua", "Glycerin", "Stearic Acid"))
    shelf = Shelf((*tries.shelf().items, bought))
    design = tries.design(base=bought.ref)
    sheet = plan(resolve(design, shelf), tries.LOW_JAR)
    names = inci.ingredients(resolve(design, shelf), sheet, "EU")
    assert not names.export
    assert "ask the supplier" in names.findings[0].text
    told = {"Aqua": (45, 50), "Glycerin": (30, 35), "Stearic Acid": (15, 18)}
    clear = inci.ingredients(resolve(design, shelf), sheet, "EU", in_order=told)
    assert clear.export
    assert clear.names[:3] == ("Aqua", "Glycerin", "Stearic Acid")


def test_a_raw_material_that_says_no_component_holds_the_label_back():
    resolved = resolve(tries.design(), tries.shelf())
    first, *rest = resolved.base_lines
    silent = replace(
        resolved, base_lines=(first._replace(ingredient=replace(first.ingredient, components=())), *rest)
    )
    told = inci.ingredients(silent, made(), "EU")
    assert not told.export
    assert f"(components of {first.ingredient.name})" in told.names


def test_overlapping_ranges_hold_the_label_back():
    item = tries.shelf().today("ingredient", "stearic-acid")
    parts = (
        Component(inci="Stearic Acid", low_pct=40, high_pct=60),
        Component(inci="Palmitic Acid", low_pct=40, high_pct=60),
    )
    shelf = Shelf(
        (*(other for other in tries.shelf().items if other is not item), replace(item, components=parts))
    )
    names = inci.ingredients(
        resolve(tries.design(), shelf), plan(resolve(tries.design(), shelf), tries.LOW_JAR), "EU"
    )
    assert ("Stearic Acid", "Palmitic Acid") in names.undetermined
    assert not names.export


@pytest.mark.parametrize("market", ["EU", "GB", "US", "CA"])
def test_a_label_leaves_only_when_everything_is_there(market):
    bare = label(resolve(tries.design(), tries.shelf()), made(), market)
    assert not bare.export
    full = label(
        resolve(tries.design(), tries.shelf()),
        made(),
        market,
        weighed_g=[73.0, 73.4, 73.2, 72.9],
        code="26066A-TWO120",
        lasts=YEAR,
        maker=WHO,
    )
    assert full.export, [finding.text for finding in full.findings]
    assert full.warnings
    assert full.tasks
    words = " ".join([*full.warnings, *full.tasks, full.net.text, full.product]).lower().split()
    assert not FORBIDDEN & set(words)


def test_markets_differ():
    jar = tries.shelf().today("jar", "j120-70")
    weighed = [73.4, 74.0, 73.7, 74.2]
    # lightest credible fill 73.1 g: 2.5 oz is 70.9 g, so 70 g beside it in the US
    assert net_weight("US", weighed, jar).text == "Net wt. 2.5 oz (70 g)"
    assert net_weight("EU", weighed, jar).text == "73 g"
    assert net_weight("EU", weighed, jar).figure_mm == 3
    assert net_weight("EU", weighed[:2], jar).text == ""
    with pytest.raises(UnknownName):
        label(resolve(tries.design(), tries.shelf()), made(), "MOON")


def test_a_stop_of_the_design_holds_the_label_back():
    stop = made().findings[0]
    barred = [replace(stop, level="stop", id="x")]
    full = {"weighed_g": [73.0, 73.4, 73.2], "code": "A", "maker": WHO}
    assert label(resolve(tries.design(), tries.shelf()), made(), "EU", **full).export
    assert not label(resolve(tries.design(), tries.shelf()), made(), "EU", **full, barred=barred).export


def test_cooking_1500_g():
    base = tries.shelf().today("base", "cooked")
    sheet = cooking.cook(base, tries.shelf(), 1500)
    grams = {line.item.split(":")[1]: line.grams for line in sheet.lines}
    # percent x 15
    assert grams["purified-water"] == 450
    assert grams["isethionate-powder"] == 390
    assert grams["stearic-acid"] == 160.5
    assert sheet.batch_g == 1500
    ids = [step.id for step in sheet.steps]
    assert ids.index("care:ingredient:isethionate-powder") < ids.index("weigh:ingredient:isethionate-powder")
    assert (
        ids.index("granules") < ids.index("preservative-gate") < ids.index("weigh:ingredient:preservative-a")
    )
    assert not [finding for finding in sheet.findings if finding.level == "stop"]


def test_a_formula_that_does_not_add_up_is_not_scaled():
    base = tries.shelf().today("base", "cooked")
    short = replace(base, lines=base.lines[:-1])
    sheet = cooking.cook(short, tries.shelf(), 1500)
    assert not sheet.lines
    assert any(finding.id == "base-sum" and finding.level == "stop" for finding in sheet.findings)


def test_water_without_a_preservative_line_stops():
    base = tries.shelf().today("base", "cooked")
    water, *rest = (line for line in base.lines if line.ingredient.id != "preservative-a")
    lines = (replace(water, pct=water.pct + 1.0), *rest)
    sheet = cooking.cook(replace(base, lines=lines), tries.shelf(), 1500)
    assert any(finding.id == "no-preservative" and finding.level == "stop" for finding in sheet.findings)


def test_figures_of_the_base():
    figures = cooking.figures(lines_of(tries.shelf().today("base", "cooked"), tries.shelf()))
    # 26 x 0.85 + 18 x 0.30; 30 + 18 x 0.65 + 14 x 0.005 + 26 x 0.01 + 0.1 x 0.13 + 0.2 x 0.5
    assert figures.active_surfactant_pct == pytest.approx(27.5)
    assert figures.water_pct == pytest.approx(42.143)
    assert figures.density_g_ml == pytest.approx(1.06, abs=0.01)


def test_the_kitchen_holds_the_next_line_back():
    sheet = made()
    start = kitchen.progress(sheet, {}, set())
    assert start.current.id == "clean"
    ahead = kitchen.progress(sheet, {line.id: line.grams for line in sheet.lines}, set())
    assert ahead.current.id == "clean"
    ticked = {step.id for step in sheet.steps if step.kind != "weigh"} - {"preservative-gate"}
    oils = {line.id: line.grams for line in sheet.lines if line.what in ("oil", "base")}
    held = kitchen.progress(sheet, oils, ticked)
    assert held.current.id == "preservative-gate"
    assert not kitchen.gate_opens(held.current, None)
    assert not kitchen.gate_opens(held.current, 46)
    assert kitchen.gate_opens(held.current, 45)


def test_the_display_sums_what_really_went_in():
    sheet = made()
    first, second = (line for line in sheet.lines if line.what == "oil")
    assert kitchen.display(sheet, second, {}) == pytest.approx(first.grams + second.grams)
    assert kitchen.display(sheet, second, {first.id: 13.5}) == pytest.approx(13.5 + second.grams)
    assert second.display_g == pytest.approx(first.grams + second.grams)


def test_too_much_is_answered():
    line = made().line("base")
    judged = kitchen.judge(line, line.grams * 1.021)
    assert judged.enlarge_pct == pytest.approx(2.1)
    assert judged.explain
    assert not judged.within
    fine = kitchen.judge(line, line.grams)
    assert fine.within
    assert not fine.explain
    assert fine.enlarge_pct == 0


def _family(**change) -> Family:
    shelf = tries.shelf()
    design = tries.design()
    made = Family(
        id="f",
        name="Soap family",
        assessor="A. Assessor",
        on=date(2026, 1, 5),
        base=shelf.today("base", "cooked").ref,
        product="whipped_soap",
        markets=("EU",),
        pigments={dose.pigment.id: dose.pct for tone in design.tones for dose in tone.doses},
        scents={"lavender": 0.72, "petitgrain": 0.48},
        load_pct=1.2,
        preservative="preservative-a",
        preservative_pct=(0.9, 1.1),
    )
    return replace(made, **change)


def test_a_design_inside_its_assessment_has_no_findings():
    assert outside(resolve(tries.design(), tries.shelf()), _family(), 1.0) == ()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"load_pct": 1.0}, "load"),
        ({"pigments": {}}, "pigment"),
        ({"scents": {"lavender": 0.7, "petitgrain": 0.48}}, "oil-lavender"),
        ({"markets": ("GB",)}, "market-EU"),
        ({"product": "body_butter"}, "product"),
        ({"base": Ref(kind="base", id="cooked", rev="other")}, "base"),
        ({"preservative_pct": (1.05, 1.1)}, "preservative"),
        ({"preservative": "preservative-b"}, "preservative"),
    ],
)
def test_a_design_outside_its_assessment_stops_for_sale(change, told):
    found = outside(resolve(tries.design(), tries.shelf()), _family(**change), 1.0)
    assert any(told in finding.id for finding in found)
    assert all(finding.level == "stop" for finding in found)


def test_a_price_leaves_the_assessed_base_as_it_was_assessed():
    shelf = tries.shelf()
    dear = replace(shelf.today("base", "cooked"), price=Price(pack_price=40, pack_g=5000))
    items = tuple(dear if item.id == dear.id and item.kind == "base" else item for item in shelf.items)
    design = replace(tries.design(), base=dear.ref)
    assert outside(resolve(design, Shelf(items)), _family(), 1.0) == ()


def test_no_assessment_stops_in_the_eu_and_not_in_the_us():
    assert outside(resolve(tries.design(), tries.shelf()), None)[0].level == "stop"
    assert outside(resolve(tries.design(markets=("US",)), tries.shelf()), None) == ()
    assert outside(resolve(tries.design(), tries.shelf()), _family(), None)


@pytest.mark.parametrize(
    ("name", "claims"),
    [
        ("Lagoon", 0),
        ("Treats and heals", 2),
        ("Sweet treats", 0),
        ("Our SPF 20 treatment", 2),
        ("Babylon garden", 0),
        ("For babies", 1),
    ],
)
def test_names_that_claim_too_much_stop(name, claims):
    assert len(list(claim_findings(name))) == claims


def test_a_batch_is_released_only_with_everything_in_the_book():
    sheet = made()
    nothing = release_points.Evidence({}, (), (), (), None, None, 0)
    assert {point.id for point in release_points.open_points(sheet, nothing)} == {
        "release-lines",
        "release-ticks",
        "release-ph",
        "release-density",
        "release-fills",
    }
    ids = [line.id for line in sheet.lines]
    weighed = {line.id: line.grams for line in sheet.lines}
    all_there = release_points.Evidence(weighed, ids, (), {step.id for step in sheet.steps}, 5.8, 0.62, 24)
    assert release_points.open_points(sheet, all_there) == ()
    off = replace(all_there, weighed={**weighed, "base": weighed["base"] * 1.05}, lots=ids[1:])
    assert {point.id for point in release_points.open_points(sheet, off)} == {
        "release-lots",
        "release-deviations",
    }
    told = replace(off, explained=["base"], lots=ids)
    assert release_points.open_points(sheet, told) == ()


@pytest.mark.parametrize("pct", [0.4, 2.1, 13.0])
def test_a_bigger_rest_keeps_every_percent_and_cap(pct):
    """Too much of one line is answered by more of all others: only the steps of the scales move a percent."""
    sheet = made()
    grown = resize.enlarged(sheet, [pct])
    assert sum(line.grams for line in grown.lines if not line.beside) == pytest.approx(
        grown.batch_g, abs=1e-6
    )
    assert grown.batch_g == pytest.approx(
        sheet.batch_g * (1 + pct / 100), abs=max(line.step_g for line in sheet.lines)
    )
    for line in grown.lines:
        before = sheet.line(line.id).grams
        assert abs(line.grams - before * (1 + pct / 100)) <= line.step_g + 1e-9
        if line.what == "preservative":
            assert line.grams / grown.batch_g >= before / sheet.batch_g * (1 - 1e-3)
        if line.what == "oil":
            assert line.grams <= before * (1 + pct / 100) + 1e-9
    taken = sum(portion.take_g for portion in grown.portions)
    assert taken == pytest.approx(sum(portion.take_g for portion in sheet.portions) * (1 + pct / 100), abs=2)


def test_lines_that_were_weighed_ask_for_what_is_missing():
    sheet = made()
    grown = resize.enlarged(sheet, [2.0])
    asked = {line.id: line.grams for line in sheet.lines}
    ticked = {step.id for step in sheet.steps}
    now = kitchen.progress(grown, asked, ticked)
    assert now.line is not None
    more = kitchen.for_rest(now.line, asked)
    assert more.grams == pytest.approx(grown.line(more.id).grams - asked[more.id])
    assert kitchen.progress(sheet, asked, ticked).current is None
    assert resize.enlarged(sheet, []) is sheet


def test_the_lowest_credible_fill_is_never_told_higher_than_it_is():
    """Mean 89.178 g, 0.599 g apart: two of those below the mean are 87.981 g, and 88 g is no label."""
    jar = tries.shelf().today("jar", "j120-70")
    weighed = [89.2, 88.7, 89.9, 88.4, 89.5, 90.1, 88.9, 89, 89.6, 88.2, 89.4, 88.8, 90.3, 89.1, 88.6, 89.7]
    weighed += [89.3, 88.5]
    made = net_weight("EU", weighed, jar)
    assert (made.text, made.basis) == ("87 g", "lowest credible fill 87.9 g of 18 weighed jars")
