"""One thing of a case changed, all else alike."""

import pytest

from solidsim.case import read_case_text
from solidsim.model import build_model
from solidsim.studies.changing import (
    bounds_of,
    flows_along_x,
    height_of,
    part_named,
    poured_at,
    until_solid,
    width_of,
    with_card,
    with_height,
    with_width,
)

CASE = """
title = "A block, a neck and a feeder with cover and sleeve"
[section]
view = "{view}"
cell = "4 mm"
depth = "40 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
[mold]
box = {{ from = ["-60 mm", "-60 mm"], to = ["200 mm", "130 mm"] }}
[[part]]
name = "block"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["60 mm", "40 mm"] }}
[[part]]
name = "neck"
role = "neck"
depth = "24 mm"
polygon = [["60 mm", "8 mm"], ["76 mm", "8 mm"], ["76 mm", "32 mm"], ["60 mm", "32 mm"]]
[[part]]
name = "feeder"
role = "feeder"
rectangle = {{ from = ["76 mm", "0 mm"], to = ["136 mm", "80 mm"] }}
[[part]]
name = "sleeve"
role = "sleeve"
rectangle = {{ from = ["136 mm", "0 mm"], to = ["148 mm", "80 mm"] }}
[[part]]
name = "cover"
role = "insulation"
rectangle = {{ from = ["76 mm", "80 mm"], to = ["148 mm", "92 mm"] }}
[[part]]
name = "far chill"
role = "chill"
rectangle = {{ from = ["0 mm", "-24 mm"], to = ["60 mm", "0 mm"] }}
[cooling]
shake_out = "450 °C"
"""


def case(view="upright"):
    return read_case_text(CASE.format(view=view))


def bounds(changed, name):
    return pytest.approx([1e-3 * side for side in changed], abs=1e-9), name


def assert_bounds(changed, name, *sides_mm):
    assert bounds_of(part_named(changed, name)) == pytest.approx([1e-3 * s for s in sides_mm])


def test_a_taller_feeder_takes_cover_and_sleeve_along_and_nothing_else():
    taller = with_height(case(), "feeder", 0.100)
    assert_bounds(taller, "feeder", 76, 0, 136, 100)
    assert_bounds(taller, "cover", 76, 100, 148, 112)
    assert_bounds(taller, "sleeve", 136, 0, 148, 100)
    assert_bounds(taller, "far chill", 0, -24, 60, 0)
    assert taller.description.mold.box.bounds[3] == pytest.approx(0.150)
    assert height_of(taller, "feeder") == pytest.approx(0.100)
    assert build_model(taller).warnings == ()


def test_a_lower_feeder_keeps_the_box():
    lower = with_height(case(), "feeder", 0.060)
    assert_bounds(lower, "cover", 76, 60, 148, 72)
    assert lower.description.mold.box.bounds == case().description.mold.box.bounds


def test_in_plan_the_height_is_the_depth():
    plan = case("plan")
    assert height_of(plan, "feeder") == pytest.approx(0.040)
    deeper = with_height(plan, "feeder", 0.070)
    assert part_named(deeper, "feeder").depth == 0.070
    assert_bounds(deeper, "feeder", 76, 0, 136, 80)


def test_a_neck_beside_a_feeder_is_scaled_across_its_way():
    assert flows_along_x(case(), "neck")
    assert width_of(case(), "neck") == pytest.approx(0.024)
    narrow = with_width(case(), "neck", 0.012)
    assert_bounds(narrow, "neck", 60, 14, 76, 26)
    assert part_named(narrow, "neck").depth == pytest.approx(0.012)


def test_a_neck_under_a_feeder_is_scaled_along_x():
    standing = CASE.format(view="upright").replace(
        '["76 mm", "0 mm"], to = ["136 mm", "80 mm"]',
        '["40 mm", "60 mm"], to = ["100 mm", "90 mm"]',
    )
    changed = read_case_text(standing)
    assert not flows_along_x(changed, "neck")
    assert_bounds(with_width(changed, "neck", 0.008), "neck", 64, 8, 72, 32)


def test_pour_card_and_stop():
    assert poured_at(case(), 1700.0).description.pour.temperature == 1700.0
    assert until_solid(case()).description.cooling.stops_at == "solid"
    own = with_card(case(), "gray-iron", {"base": "gray-iron", "feeding_cutoff": "0.9"})
    assert build_model(own).materials[0].feeding_cutoff == 0.9
    assert case().description.pour.temperature == pytest.approx(1643.15)
