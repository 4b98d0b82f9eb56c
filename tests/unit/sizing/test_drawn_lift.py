"""Areas and heads of lift against those of plain bodies."""

import math

import pytest
from drawing import drawing, part, rectangle

from solidsim.section.building import build_section
from solidsim.sizing.drawn_lift import drawn_lift

PLATE = part(rectangle(0, -10, 200, 20), depth="100 mm")
TAP = part(rectangle(60, 20, 100, 90), "tap", "feeder", depth="round")


def lift_of(*parts, parting=0.0, level=0.1, **more):
    return drawn_lift(build_section(drawing(*parts, **more)), parting, level)


def test_a_plate_lifts_over_its_plan():
    lift = lift_of(PLATE)
    assert lift.area == pytest.approx(0.2 * 0.1, rel=1e-9)
    assert lift.head == pytest.approx(0.08, rel=1e-9)


def test_an_open_feeder_lifts_nothing_and_takes_nothing_away():
    assert lift_of(PLATE, TAP) == pytest.approx(lift_of(PLATE), rel=1e-6)


def test_heads_are_weighed_by_area():
    step = part(rectangle(0, 20, 50, 60), "step", depth="100 mm")
    lift = lift_of(PLATE, step)
    assert lift.area == pytest.approx(0.02, rel=1e-6)
    assert lift.head == pytest.approx((0.05 * 0.04 + 0.15 * 0.08) / 0.2, rel=1e-6)


def test_metal_below_the_parting_line_lifts_nothing():
    assert lift_of(PLATE, parting=0.02) is None
    assert lift_of(PLATE, parting=0.01).area == pytest.approx(0.02, rel=1e-9)


def test_a_ring_lifts_over_its_circles():
    lift = lift_of(part(rectangle(20, 0, 60, 30)), view="round")
    assert lift.area == pytest.approx(math.pi * (0.06**2 - 0.02**2), rel=1e-9)
    assert lift.head == pytest.approx(0.07, rel=1e-9)


def test_a_level_below_the_roof_lifts_nothing():
    assert lift_of(PLATE, level=0.01).head == 0.0


def test_what_the_section_does_not_tell():
    assert lift_of(part(rectangle(0, 0, 200, 20))) is None
    assert lift_of(PLATE, view="plan") is None
