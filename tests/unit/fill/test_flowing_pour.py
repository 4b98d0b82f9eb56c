"""Metal that flows into a cooling mold: heat and volume are kept, and what happens has sense."""

from dataclasses import replace

import numpy as np
import pytest

from solidsim.case import read_case_text
from solidsim.errors import CaseError
from solidsim.fill.flow_mouths import flow_mouths
from solidsim.fill.hydraulics import VISCOSITY
from solidsim.model import build_model
from solidsim.pour.flowing import MUSH, mush_drag
from solidsim.results import open_run, write_run
from solidsim.simulation import simulate

PLATE = """
title = "A plate"
[section]
view = "{view}"
cell = "{cell} mm"
depth = "{thick} mm"
[pour]
alloy = "gray-iron"
temperature = "{hot} °C"
fill = "flowing"
{time}
[mold]
sand = "green-sand"
cover = "25 mm"
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{wide} mm", "{high} mm"] }}
{more}
"""
GATING = """
[gating.basin]
area = "40 cm2"
depth = "50 mm"
[gating.sprue]
top = "130 mm"
foot = "0 mm"
top_area = "3 cm2"
foot_area = "{foot} mm2"
"""
INGATE = """
[[gating.ingate]]
name = "{name}"
part = "plate"
at = ["{x} mm", "4 mm"]
area = "{area} mm2"
length = "15 mm"
"""
FEEDER = """
[[part]]
name = "feeder"
role = "feeder"
rectangle = { from = ["40 mm", "40 mm"], to = ["60 mm", "60 mm"] }
[[part]]
name = "air above"
role = "air"
rectangle = { from = ["40 mm", "60 mm"], to = ["60 mm", "64 mm"] }
"""


def plate(hot=1370, wide=100, high=40, cell=4, thick=30, view="upright", time="", more=""):
    return read_case_text(
        PLATE.format(
            hot=hot, wide=wide, high=high, cell=cell, thick=thick, view=view, time=time, more=more
        )
    )


def gating(*places, foot=150, area=200):
    ingates = (
        INGATE.format(name=f"ingate {n}", x=x, area=area) for n, x in enumerate(places, start=1)
    )
    return GATING.format(foot=foot) + "".join(ingates)


@pytest.fixture(scope="module")
def run():
    return simulate(build_model(plate(more=FEEDER + gating(0))))


def test_metal_and_its_heat_are_kept(run):
    assert run.fill.volume_error < 1e-10
    assert abs(run.fill.heat_gap) < 1e-10 * run.fill.poured_heat
    assert run.account.imbalance < 1e-9
    assert run.fill.filled == pytest.approx(run.fill.volume, rel=2e-3)


def test_the_gating_s_flow_is_what_comes(run):
    fill = run.fill
    came = np.trapezoid(fill.flows[:, 0], fill.times)
    assert came == pytest.approx(fill.filled, rel=0.05)
    assert 0.3 < fill.fill_time / (fill.volume / fill.flows[0, 0]) < 3.0
    assert (fill.flows[:-1] >= 0.0).all()


def test_metal_comes_from_the_gate_and_gets_colder_on_its_way(run):
    came, arrival = run.fields["fill_time"], run.fields["arrival_temperature"]
    cells = run.section.part_cells("plate")
    row = np.flatnonzero(cells.any(axis=1))[0]
    assert np.isfinite(came[cells]).all()
    first, *_, last = came[row][cells[row]]
    assert first < last
    front = arrival[row][cells[row]]
    assert front[-1] < front[0] <= 1370.0 + 273.15 + 0.1
    assert (run.fields["exposure_time"][cells] >= 0.0).all()


def test_the_fastest_surface_is_told(run):
    fastest = next(place for place in run.fill.places if place.kind == "fastest")
    head = 0.13 + 0.05
    assert 0.1 < fastest.speed < np.sqrt(2.0 * 9.81 * head) * 1.5


def test_two_gates_fill_from_both_sides():
    run = simulate(build_model(plate(more=FEEDER + gating(0, 100, foot=250))))
    came = run.fields["fill_time"]
    row = np.flatnonzero(run.section.metal.any(axis=1))[0]
    times = came[row][run.section.metal[row]]
    assert times[:3].max() < times[times.size // 2 - 1]
    assert times[-3:].max() < times[times.size // 2 - 1]
    left, right = np.trapezoid(run.fill.flows, run.fill.times, axis=0)
    assert left == pytest.approx(right, rel=0.05)


def test_crystals_hold_metal_back_once_they_have_grown_together():
    solid, stop = np.array([0.0, 0.1, 0.25, 0.6]), 0.25
    bed = mush_drag(solid, np.nan)
    assert bed[1:] == pytest.approx(MUSH * VISCOSITY * solid[1:] ** 2 / (1.0 - solid[1:]) ** 3)
    np.testing.assert_allclose(mush_drag(solid, stop)[1:] / bed[1:], [0.021, 0.5, 0.991], atol=5e-4)
    assert mush_drag(solid, stop)[0] == 0.0


def test_cold_metal_stops_on_its_way():
    slow = gating(0, foot=7, area=32)
    warm, cold = (
        simulate(build_model(plate(hot=hot, high=8, wide=160, thick=4, more=slow)))
        for hot in (1370, 1210)
    )
    shares = [run.fill.filled / run.fill.volume for run in (warm, cold)]
    assert shares[1] < 0.9 * shares[0]
    waiting = cold.section.metal & np.isnan(cold.fields["temperature"])
    assert waiting.any()
    assert np.isnan(cold.fields["freezing_time"][waiting]).all()
    assert np.isfinite(cold.fields["freezing_time"][cold.section.metal & ~waiting]).all()


def test_a_plate_in_plan_fills_without_gravity():
    run = simulate(build_model(plate(view="plan", thick=10, more=gating(0))))
    assert run.fill.filled > 0.99 * run.fill.volume
    assert abs(run.fill.heat_gap) < 1e-10 * run.fill.poured_heat
    times = run.fields["fill_time"]
    assert np.nanargmin(times) % times.shape[1] < times.shape[1] / 2


def test_a_pouring_time_alone_will_do():
    run = simulate(build_model(plate(time='time = "3 s"', more=FEEDER)))
    assert run.fill.fill_time == pytest.approx(3.0, rel=0.1)
    assert run.fill.volume_error < 1e-10


def test_it_is_stored_and_read_back(run, tmp_path):
    again = open_run(write_run(tmp_path / "run.h5", run))
    assert again.fill.volume_error == run.fill.volume_error
    assert [place.kind for place in again.fill.places] == [p.kind for p in run.fill.places]
    np.testing.assert_array_equal(again.fields["exposure_time"], run.fields["exposure_time"])


def test_a_round_view_is_refused_with_its_line():
    with pytest.raises(CaseError, match=r'case.toml:\d+:\d+: section.view: .*"round"'):
        plate(view="round", more=gating(0))


@pytest.mark.parametrize(("x", "direction"), [(12, (1.0, 0.0)), (20, (1.0, 0.0)), (60, (0.0, 0.0))])
def test_a_mouth_opens_as_wide_as_its_ingate(x, direction):
    """Also in a wall that leans, for a place somewhat within it; far within, metal wells up."""
    text = PLATE.format(
        hot=1370, wide=100, high=60, cell=2, thick=30, view="upright", time="", more=gating(x)
    )
    square = text[text.index("rectangle") :].splitlines()[0]
    leaning = (
        'polygon = [["0 mm", "0 mm"], ["100 mm", "0 mm"], ["100 mm", "60 mm"], ["20 mm", "60 mm"]]'
    )
    model = build_model(
        read_case_text(text.replace(square, leaning).replace('"4 mm"]', '"30 mm"]'))
    )
    (mouth,) = flow_mouths(model)
    opening = 0.002 * 0.030 * len(mouth.cells)
    assert mouth.direction == direction
    assert 200e-6 <= opening < 200e-6 + 0.002 * 0.030
    if any(direction):
        assert mouth.area == pytest.approx(200e-6)
    weight = 0.5 * model.section.volumes[model.section.metal].sum() * 7000.0
    half = replace(model.pour.gating, weight=weight)
    (twice,) = flow_mouths(replace(model, pour=replace(model.pour, gating=half)))
    scale = 2.0 * model.materials[model.metal].density / 7000.0
    assert 0.0 <= 0.002 * 0.030 * len(twice.cells) - scale * 200e-6 < 0.002 * 0.030
