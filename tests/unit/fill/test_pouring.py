"""Rising metal in a cooling mold: heat is kept, and what happens has sense."""

import json
from dataclasses import replace

import numpy as np
import pytest

from solidsim.case import read_case_text
from solidsim.conduction.empty_cells import empty_cavity, metal_enthalpy, receive_metal
from solidsim.conduction.joints import list_faces
from solidsim.conduction.solver import advance
from solidsim.conduction.state import start_conduction
from solidsim.judgment import judge
from solidsim.model import Pour, build_model
from solidsim.results import open_run, write_run
from solidsim.simulation import simulate

PLATE = """
title = "A plate"
[section]
cell = "{cell} mm"
depth = "60 mm"
[pour]
alloy = "{alloy}"
temperature = "{hot} °C"
{pour}
[mold]
sand = "{sand}"
cover = "25 mm"
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{wide} mm", "{high} mm"] }}
"""
GATING = """
[gating.basin]
area = "40 cm2"
depth = "50 mm"
{rate}
[gating.sprue]
top = "130 mm"
foot = "0 mm"
top_area = "{top} mm2"
foot_area = "150 mm2"
[[gating.channel]]
name = "trap"
kind = "trap"
area = "500 mm2"
length = "100 mm"
[[gating.ingate]]
name = "ingate"
from = "trap"
part = "plate"
at = ["0 mm", "0 mm"]
area = "200 mm2"
length = "15 mm"
"""


def plate(
    hot=1370, wide=20, high=100, cell=2, alloy="gray-iron", pour="", gating="", sand="green-sand"
):
    words = {"alloy": alloy, "pour": pour, "sand": sand}
    text = PLATE.format(hot=hot, wide=wide, high=high, cell=cell, **words)
    return build_model(read_case_text(text + gating))


def gated(top=400, rate=""):
    return GATING.format(top=top, rate=rate)


def finding(run, name):
    return next(found for found in judge(run) if found.name == name)


@pytest.fixture(scope="module")
def risen():
    return simulate(plate(gating=gated()))


def test_all_heat_that_came_is_found_again(risen):
    fill = risen.fill
    assert fill.filled == pytest.approx(fill.volume, rel=1e-12)
    assert abs(fill.heat_gap) < 1e-12 * fill.poured_heat
    assert risen.account.imbalance < 1e-12
    assert fill.solved


def test_metal_cools_on_its_way_and_the_top_is_coldest_at_the_end_of_the_pour(risen):
    cell = np.flatnonzero(risen.section.grid.x_centers > 0.010)[0]
    rows = risen.section.part_cells("plate").any(axis=1)
    arrival = risen.fields["arrival_temperature"][rows, cell]
    assert (risen.fill.temperatures < risen.alloy.pour_temperature - 2.0).all()
    assert arrival[-1] < arrival[0] - 2.0
    times = risen.fields["fill_time"][rows, cell]
    assert (np.diff(times) >= 0.0).all()
    assert times[-1] == pytest.approx(risen.fill.fill_time)
    last = np.searchsorted(risen.frames.times, risen.fill.fill_time)
    column = risen.frames.temperature[last, rows, cell]
    assert column[5] > column[-5]


def test_empty_cells_are_nan_until_their_metal_comes(risen):
    for time, frame in zip(risen.frames.times, risen.frames.temperature, strict=True):
        waiting = risen.metal & (risen.fields["fill_time"] > time + 1e-9)
        assert np.isnan(frame[waiting]).all()
        assert np.isfinite(frame[~waiting]).all()


def test_freezing_comes_after_filling(risen):
    assert np.isfinite(risen.fields["freezing_time"][risen.metal]).all()
    wait = risen.fields["freezing_time"] - risen.fields["fill_time"]
    assert (wait[risen.metal] > 0.0).all()
    assert (risen.fields["liquidus_time"] >= risen.fields["fill_time"])[risen.metal].all()


def test_a_quick_pour_freezes_like_one_poured_at_once():
    at_once = simulate(plate())
    quick = simulate(plate(pour='time = "0.05 s"'))
    last = [np.nanmax(run.fields["freezing_time"]) for run in (at_once, quick)]
    assert last[1] == pytest.approx(last[0], rel=0.01)
    assert at_once.fill is None


def test_at_once_stays_as_it_was_beside_a_gating():
    plain = simulate(plate())
    model = plate(gating=gated())
    beside = simulate(replace(model, pour=Pour()))
    for name, values in plain.fields.items():
        np.testing.assert_array_equal(values, beside.fields[name])


def test_a_cold_thin_plate_misruns_and_a_hot_one_does_not():
    thin = {"wide": 3, "high": 90, "cell": 0.75, "alloy": "a356", "pour": 'time = "6 s"'}
    hot, cold = (simulate(plate(hot=at, **thin)) for at in (760, 625))
    assert finding(cold, "misrun").verdict == "fails"
    assert cold.fill.filled < 0.9 * cold.fill.volume
    assert hot.fill.filled > cold.fill.filled
    assert cold.stop_reason == "all metal is solid"
    assert abs(cold.fill.heat_gap) < 1e-12 * cold.fill.poured_heat


def test_findings_of_a_fill(risen):
    names = [found.name for found in judge(risen)]
    assert {"fill-time", "misrun", "gate-velocity", "sprue-full", "trap-velocity"} <= set(names)
    assert "pouring-time" in names
    fast = finding(risen, "gate-velocity")
    assert fast.value == pytest.approx((risen.fill.flows / risen.fill.areas).max())
    assert fast.verdict == ("fails" if fast.value > 0.5 else "holds")


def test_a_straight_sprue_and_a_slow_ladle_are_told():
    straight = simulate(plate(gating=gated(top=150)))
    assert finding(straight, "sprue-full").verdict == "fails"
    small = gated(rate='rate = "30 cm3/s"').replace("40 cm2", "8 cm2")
    slow = simulate(plate(gating=small))
    assert finding(slow, "basin-level").verdict == "fails"
    assert slow.fill.fill_time > straight.fill.fill_time


def test_a_basin_falls_to_where_the_sprue_takes_what_the_ladle_brings():
    slow = simulate(plate(gating=gated(rate='rate = "30 cm3/s"').replace("40 cm2", "8 cm2"))).fill
    late = slow.times > 0.5 * slow.fill_time
    np.testing.assert_allclose(slow.flows[late].sum(axis=1), 30e-6, rtol=1e-4)
    assert np.ptp(slow.basin_levels[late]) < 1e-6


def test_dried_sand_keeps_its_joint_with_metal_that_comes_later():
    state = start_conduction(plate(sand="green-sand"))
    cavity = empty_cavity(state)
    cells = np.flatnonzero(state.model.section.metal)
    hot = np.full(cavity.share.shape, state.model.initial_enthalpy.max())
    receive_metal(state, cavity, cells[: cells.size // 2], hot)
    while state.time < 60.0:
        advance(state)
    receive_metal(state, cavity, cells[cells.size // 2 :], metal_enthalpy(state, cavity) + 1.0)
    material, metal = state.arrays.material.ravel(), state.watched.is_metal.ravel()
    faces = list_faces(state.faces)
    walls = faces.number[metal[faces.first] != metal[faces.second]]
    assert (material > state.skins.size - 1).any()  # rows of dried sand
    assert np.isin(walls, state.joints.face).all()


def test_a_run_with_a_fill_comes_back_from_its_file(tmp_path, risen):
    back = open_run(write_run(tmp_path / "plate.h5", risen))
    kept, found = (json.dumps(one.fill.as_dict()) for one in (risen, back))
    assert kept == found
    np.testing.assert_array_equal(back.fields["fill_time"], risen.fields["fill_time"])
    assert [found.statement for found in judge(back)] == [found.statement for found in judge(risen)]


def height_run(hot, sand):
    """Height that metal comes to in a thin plate that is too high for it, [m]."""
    model = plate(hot=hot, wide=3, high=160, cell=1, alloy="a356", pour='time = "9 s"', sand=sand)
    return simulate(model).fill.filled / (0.003 * 0.060)


def test_metal_runs_farther_with_superheat_and_in_molds_that_take_less_heat():
    """Flemings (1974), Solidification Processing, chapter 7: L = v t, t of superheat and latent."""
    cool, warm, hot = (height_run(at, "green-sand") for at in (625, 660, 700))
    slow, greedy = (height_run(660, sand) for sand in ("dry-silica-sand", "zircon-sand"))
    assert cool < warm < hot
    assert greedy < slow
