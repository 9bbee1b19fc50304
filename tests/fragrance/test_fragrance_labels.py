"""Names on the label: groups, thresholds, lists, oils that cannot answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.errors import UnknownName
from blendlab.facts.library import demo_oils, oils
from blendlab.fragrance import declare
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

OLD_DAY, NEW_DAY = date(2026, 7, 31), date(2026, 8, 1)


def full(name="A", **rows):
    return oil(name, sheet(c9=100, c5A=100), declaration=declared(**rows))


def names(wish, product="whipped_soap", market="EU", on=NEW_DAY, white=None):
    return declare(*wish, product, market, on, white)


def test_threshold_is_exceeded_not_met():
    # Reg. (EU) 2023/1545: above 0.01 % rinse-off, above 0.001 % leave-on
    at = full(n78_70_6=1.0)
    assert not names(scent(1.0, (at, 100))).names
    assert [name.name for name in names(scent(1.01, (at, 100))).names] == ["Linalool"]
    assert [name.name for name in names(scent(0.11, (at, 100)), "body_butter").names] == ["Linalool"]


def test_isomers_are_one_name_and_nerol_is_none():
    limonene = full(n5989_27_5=0.6, n5989_54_8=0.3, n138_86_3=0.2)
    assert [name.name for name in names(scent(1.0, (limonene, 100))).names] == ["Limonene"]
    nerol = full(n106_24_1=0.7, n106_25_2=0.9)
    assert not names(scent(1.0, (nerol, 100))).names


def test_lists_follow_market_and_day():
    linalool = full(n78_70_6=5.0, n115_95_7=9.0)
    early = names(scent(1.0, (linalool, 100)), on=OLD_DAY)
    assert [each.name for each in early.names] == ["Linalool"]
    assert [each.name for each in early.voluntary] == ["Linalyl Acetate"]
    late = names(scent(1.0, (linalool, 100)))
    assert [each.name for each in late.names] == ["Linalyl Acetate", "Linalool"]
    assert not late.voluntary
    gb = names(scent(1.0, (linalool, 100)), market="GB", on=TODAY)
    assert [each.name for each in gb.names] == ["Linalool"]
    us = names(scent(1.0, (linalool, 100)), market="US")
    assert us.which == "pending"
    assert not us.names
    assert len(us.voluntary) == 2


def test_drop_out_load_is_where_the_name_leaves():
    linalool = full(n78_70_6=5.0)
    name = names(scent(1.0, (linalool, 100))).names[0]
    assert name.drops_at_pct == pytest.approx(0.2)
    assert not names(scent(0.2, (linalool, 100))).names
    assert names(scent(0.2001, (linalool, 100))).names


def test_near_names_appear_within_half_more_load():
    linalool = full(n78_70_6=0.8)
    near = names(scent(1.0, (linalool, 100))).near
    assert [each.name for each in near] == ["Linalool"]
    assert names(scent(1.0, (full(n78_70_6=0.6), 100))).near == ()


def test_an_oil_with_its_own_name_is_tested_with_its_own_percent():
    lavender = next(known for known in demo_oils() if known.id == "lavender")
    found = {name.name: name for name in names(scent(1.0, (lavender, 100))).names}
    assert found["Lavandula Oil/Extract"].pct == pytest.approx(1.0)
    assert found["Lavandula Oil/Extract"].oil
    assert found["Linalool"].pct == pytest.approx(0.45)


def test_an_old_declaration_cannot_answer_for_new_names():
    dated = oil("A", sheet(c9=100), declaration=declared("old26", n78_70_6=1.0))
    late = names(scent(1.0, (dated, 100)))
    assert late.unknown[0].oil == "A"
    assert len(late.unknown[0].names) == 81 - 24
    assert [each.level for each in late.findings] == ["stop"]
    assert "Vanillin" not in {
        each for silent in names(scent(1.0, (dated, 100)), on=OLD_DAY).unknown for each in silent.names
    }


def test_an_oil_without_papers_answers_nothing():
    found = names(scent(1.0, (oil("Bare"), 100)))
    assert len(found.unknown[0].names) == 81


def test_base_contents_count_in():
    linalool = full(n78_70_6=0.5)
    assert not names(scent(1.0, (linalool, 100))).names
    with_base = names(scent(1.0, (linalool, 100)), white=base(contents={"78-70-6": 0.008})).names
    assert [each.name for each in with_base] == ["Linalool"]
    assert with_base[0].drops_at_pct == pytest.approx(0.4)


def test_a_number_alone_never_names_an_oil():
    # 84649-98-9 is printed for cinnamon bark oil and met on cinnamon leaf sheets
    leaf = oil("Cinnamon", sheet(c9=1), cas="84649-98-9", group="essential_oil", declaration=declared())
    found = names(scent(1.0, (leaf, 100)))
    assert not [name for name in found.names if name.oil]
    assert any(finding.id.startswith("label.part") for finding in found.findings)


def test_library_oils_without_a_label_name_answer_for_oils():
    petitgrain = next(known for known in oils() if known.library_id == "EO22")
    assert petitgrain.label_name == ""
    unknown = names(scent(1.0, (petitgrain, 100))).unknown[0].names
    assert "Lavandula Oil/Extract" not in unknown


def test_not_a_cosmetic_has_no_names():
    assert names(scent(8.0, (full(n78_70_6=5.0), 100)), "candle").names == ()


def test_unknown_market_is_refused():
    with pytest.raises(UnknownName):
        names(scent(1.0, (full(), 100)), market="Mars")


def test_names_stand_by_falling_percent():
    found = names(scent(1.2, *[(known, 20) for known in demo_oils()[:5]])).names
    assert [name.pct for name in found] == sorted((name.pct for name in found), reverse=True)
    assert len(found) > 5


def test_an_oil_declared_inside_another_is_named_with_its_part():
    # lavender oil, 8000-28-0, behind Annex III entry 360
    accord = full(n8000_28_0=2.0)
    (name,) = names(scent(1.0, (accord, 100))).names
    assert (name.name, name.pct, name.entry) == ("Lavandula Oil/Extract", pytest.approx(0.02), 360)


def test_every_silent_oil_is_told_once_even_under_one_name():
    pair = [oil("Bare"), replace(oil("Bare"), id="bare-2")]
    found = names(scent(1.0, (pair[0], 50), (pair[1], 30), (full(), 20)))
    assert [finding.id for finding in found.findings] == ["label.unknown.bare", "label.unknown.bare-2"]
    assert [silent.oil for silent in found.unknown] == ["Bare", "Bare"]
