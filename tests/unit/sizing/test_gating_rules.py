"""Published answers were worked with 9.81 m/s2; a speed of ours, times TO_9_81, is theirs."""

import math

import pytest

from solidsim.errors import SizingError
from solidsim.quantities import GRAVITY
from solidsim.sizing.gating import (
    choke_area,
    gate_speed,
    gating_areas,
    gating_ratio,
    sprue_taper,
)
from solidsim.sizing.heads import bottom_fill_time, effective_head, emptying_time, sprue_flow

TO_9_81 = math.sqrt(9.81 / GRAVITY)


def test_groover_10_2_sprue():
    flow = sprue_flow(0.20, 2.5e-4, 1560e-6)
    assert round(100 * flow.velocity * TO_9_81, 1) == 198.1
    assert round(1e6 * flow.flow * TO_9_81) == 495
    assert round(flow.fill_time / TO_9_81, 3) == 3.150


def test_sprue_of_10_mm_and_250_mm():
    flow = sprue_flow(0.250, math.pi / 4 * 0.010**2, 0.1**3)
    assert 1e9 * flow.flow * TO_9_81 == pytest.approx(173942, rel=2e-5)
    assert round(flow.fill_time / TO_9_81, 3) == 5.749


def test_sprue_of_175_mm():
    flow = sprue_flow(0.175, 400e-6, 1e-3)
    assert round(1000 * flow.velocity * TO_9_81) == 1853
    assert round(1e6 * flow.flow * TO_9_81) == 741
    assert round(flow.fill_time / TO_9_81, 3) == 1.349
    assert round(sprue_flow(0.175, 444e-6, 1376e-6).fill_time / TO_9_81, 2) == 1.67


@pytest.mark.parametrize(("flow", "head", "area_mm2"), [(1e-3, 0.175, 540), (5e-4, 0.15, 291)])
def test_foot_of_a_sprue_for_a_flow(flow, head, area_mm2):
    area = choke_area(flow, 1.0, 1.0, head, discharge_coefficient=1.0).area / TO_9_81
    assert round(1e6 * area) == area_mm2


def test_choke_of_a_20_kg_iron_casting():
    choke = choke_area(20.0, 6900.0, 7.632, 0.2, 0.8)
    assert round(1e6 * choke.area / TO_9_81, 1) == 239.7
    assert math.pi / 4 * choke.diameter**2 == pytest.approx(choke.area)


def test_effective_heads_against_the_exact_ones():
    bottom = effective_head(0.25, 0.20, 0.20)
    assert bottom.handbook == pytest.approx(0.150)
    assert bottom.exact == pytest.approx(0.13090, abs=5e-6)
    assert bottom.exact == pytest.approx((math.sqrt(0.25) + math.sqrt(0.05)) ** 2 / 4)
    assert math.sqrt(bottom.exact / bottom.handbook) == pytest.approx(1 - 0.066, abs=5e-4)
    parting = effective_head(0.25, 0.2, 0.1)
    assert parting.handbook == pytest.approx(0.2250)
    assert parting.exact == pytest.approx(0.2210, abs=5e-5)
    assert effective_head(0.25, 0.2, 0.0) == pytest.approx((0.25, 0.25))


def test_bottom_fill_time_is_that_of_the_exact_head():
    time = bottom_fill_time(0.01, 4e-4, 0.25, 0.20)
    assert round(time / TO_9_81, 3) == 3.120
    head = effective_head(0.25, 0.20, 0.20).exact
    assert sprue_flow(head, 4e-4, 0.01 * 0.20).fill_time == pytest.approx(time)


def test_emptying_of_a_tank():
    assert round(emptying_time(1.0, 0.001, 1.0, 0.0, 0.61) / TO_9_81, 2) == 740.20


def test_sprue_taper():
    taper = sprue_taper(1e-4, basin_depth=0.050, sprue_height=0.200)
    assert round(taper.top_area / 1e-4, 3) == 2.236
    assert taper.top_diameter > taper.foot_diameter


def test_areas_of_an_open_and_a_pressurized_system():
    aluminum = gating_areas(2e-4, *gating_ratio("aluminum"), runners=2, gates=4)
    assert aluminum.choke == "sprue"
    assert aluminum[:5] == pytest.approx((2e-4, 4e-4, 4e-4, 2e-4, 1e-4))
    pressurized = gating_areas(2e-4, 1.0, 0.75, 0.5)
    assert pressurized.choke == "gates"
    assert pressurized[:3] == pytest.approx((4e-4, 3e-4, 2e-4))


def test_half_a_meter_a_second_jumps_12_7_mm():
    speed = gate_speed(7.0, 7000.0, 10.0, 2e-4)
    assert speed.velocity == pytest.approx(0.5)
    assert round(1000 * speed.jump_height / TO_9_81**2, 1) == 12.7
    assert speed.area_for_limit == pytest.approx(2e-4)


def test_impossible_gatings_are_refused():
    with pytest.raises(SizingError, match="height above gate must not be more than the casting"):
        effective_head(0.25, 0.20, 0.21)
    with pytest.raises(SizingError, match="casting height must be less than head"):
        bottom_fill_time(0.01, 4e-4, 0.20, 0.20)
    with pytest.raises(SizingError, match="end depth must be less than start depth"):
        emptying_time(1.0, 0.001, 1.0, 1.0)
    with pytest.raises(SizingError, match="gates must be a whole number from 1 to 100; given 0"):
        gating_areas(2e-4, gates=0)
    with pytest.raises(SizingError, match="pouring time must be above zero; given 0"):
        choke_area(20.0, 6900.0, 0.0, 0.2)
