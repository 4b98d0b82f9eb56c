"""Flowing metal asked small questions: mouths, walls, solid cells, mush, full boxes, steps."""

import math
from dataclasses import replace

import numpy as np
import pytest
from basins import METAL, basin, column, go_on, left_mouth, level, open_flow

from solidsim.errors import SolverError
from solidsim.fill.flow_grid import lay_flow_grid
from solidsim.fill.flowing import start_flow
from solidsim.fill.gas_pockets import AIR, fill_up, no_pockets, yielding_air
from solidsim.fill.mouths import Mouth
from solidsim.section.grid import Grid
from solidsim.section.layout import Section

LEVEL = {**METAL, "gravity": (0.0, 0.0)}


def test_window_and_its_fields():
    within = np.zeros((6, 9), bool)
    within[2:5, 3:8] = True
    flow = open_flow(basin((6, 9), 0.01, within=within))
    assert flow.fraction.shape == (5, 7)
    assert flow.grid.cavity.sum() == 15
    marks = np.arange(8.0 * 11.0).reshape(8, 11)
    back = flow.grid.outside(flow.grid.inside(marks), -1.0)
    assert (back[3:6, 4:9] == marks[3:6, 4:9]).all()
    assert back[0, 0] == -1.0
    cell = 4 * 11 + 6
    place = flow.grid.place(flow.grid.number(cell))
    assert place == pytest.approx((0.055, 0.035))


def test_a_mouth_brings_what_it_is_told():
    section = basin((10, 30), 0.005, depth=0.02)
    flow = open_flow(section, mouths=[left_mouth(section, 2)], metal=LEVEL)
    speed = 0.5
    steps = go_on(
        flow, 0.2, inflow=np.array([speed * 0.01 * 0.02]), entering_enthalpy=np.array([3e9])
    )
    entered = sum(float(step.entered.sum()) for step in steps)
    assert entered == pytest.approx(speed * 0.01 * 0.02 * 0.2, rel=1e-12)
    assert flow.volume == pytest.approx(entered, rel=1e-12)
    assert flow.heat.sum() == pytest.approx(3e9 * entered, rel=1e-12)
    assert sum(step.heat for step in steps) == pytest.approx(3e9 * entered, rel=1e-12)
    front = flow.fraction[1:3, 1:-1].sum() * 0.005 / 2.0
    assert front == pytest.approx(speed * 0.2, rel=0.05)  # a jet keeps its speed and width
    assert steps[-1].fastest == pytest.approx(speed, rel=0.1)


def test_a_mouth_without_direction_wells_up():
    section = basin((8, 8), 0.005)
    mouth = Mouth(tuple(int(c) for c in np.flatnonzero(section.metal)[[27, 28, 35, 36]]))
    flow = open_flow(section, mouths=[mouth], metal=LEVEL)
    go_on(flow, 0.1, inflow=np.array([2e-4 * 10]))
    assert flow.volume == pytest.approx(2e-4, rel=1e-9)
    np.testing.assert_allclose(flow.fraction, flow.fraction[:, ::-1], atol=0.02)


def test_metal_runs_back_with_its_heat():
    section = basin((6, 12), 0.005)
    start = column(section, 6, 6)
    heat = start * section.volumes * 5e9
    flow = open_flow(section, start, [left_mouth(section, 6)], metal=LEVEL, heat=heat)
    before = flow.volume
    steps = go_on(flow, 0.1, inflow=np.array([-1e-3]), entering_enthalpy=np.array([9e9]))
    entered = sum(float(step.entered.sum()) for step in steps)
    assert entered == pytest.approx(-1e-4, rel=1e-9)
    assert flow.volume == pytest.approx(before + entered, rel=1e-12)
    assert sum(step.heat for step in steps) == pytest.approx(5e9 * entered, rel=1e-9)


def test_solid_cells_let_nothing_pass():
    section = basin((10, 20), 0.005)
    blocked = np.zeros(section.grid.shape, bool)
    blocked[:, 9:11] = True
    flow = open_flow(section, column(section, 8, 8), metal=METAL)
    before = flow.volume
    flow.resist(blocked=blocked)
    go_on(flow, 0.2)
    assert flow.fraction[:, 9:].sum() == 0.0
    assert flow.volume == pytest.approx(before, rel=1e-12)
    flow.resist()
    go_on(flow, 0.4)
    assert flow.fraction[:, 11:].sum() > 1.0


def test_metal_that_is_mush_stops():
    section = basin((10, 20), 0.005)
    drag = np.zeros(section.grid.shape)
    drag[:, 6:] = 1e12
    flow = open_flow(section, column(section, 8, 8), metal=METAL, slip=False)
    flow.resist(drag)
    go_on(flow, 0.3)
    assert np.abs(flow.u[:, 7:]).max() < 1e-9
    assert np.abs(flow.v[:, 6:]).max() < 1e-6
    np.testing.assert_allclose(flow.fraction[1:9, 6:9], 1.0, atol=1e-6)


def test_a_full_closed_box_is_not_singular():
    section = basin((20, 20), 0.002)
    start = np.where(section.metal, 1.0, 0.0)
    closed = np.zeros(section.grid.shape, bool)
    flow = start_flow(
        section, [left_mouth(section, 1)], openings=closed, fraction=start, permeability=1e-10,
        **METAL,
    )  # fmt: skip
    go_on(flow, 0.1)
    assert max(np.abs(flow.u).max(), np.abs(flow.v).max()) < 1e-8
    fall = flow.pressure[1, 5] - flow.pressure[-2, 5]
    assert fall == pytest.approx(7000.0 * 9.80665 * 0.038, rel=1e-6)
    before = flow.mouth_pressure.copy()
    step = flow.step(1e-3, np.array([1e-6]), yielding=np.array([1e-10]))
    assert step.entered[0] < 0.2 * 1e-9
    rise = (1e-6 - step.entered[0] / 1e-3) / 1e-10
    assert flow.mouth_pressure[0] == pytest.approx(before[0] + rise, rel=1e-6)


def test_a_stream_narrower_than_its_cells_enters_with_its_own_momentum():
    section = basin((8, 4), 0.005, depth=0.01)
    wide = left_mouth(section, 2)
    opening, area = 2 * 0.005 * 0.01, 0.7 * 2 * 0.005 * 0.01
    for mouth, expected in ((wide, opening), (replace(wide, area=area), area)):
        mouths = open_flow(section, mouths=[mouth]).mouths
        through = mouths.per_flow_x * 1e-4
        assert opening * through[0] ** 2 == pytest.approx(1e-4**2 / expected)


def test_filled_to_the_brim_with_no_volume_lost():
    section = basin((20, 20), 0.002, depth=0.01, walled=True)
    nx = section.grid.shape[1]
    mouth = Mouth((nx + 1, nx + 2, nx + 3), (0.0, 1.0))
    for opening in (True, False):
        openings = np.zeros(section.grid.shape, bool)
        openings[20, 20] = opening
        flow = start_flow(section, [mouth], openings=openings, permeability=1e-9, **METAL)
        room, entered, lost = flow.grid.volumes.sum(), 0.0, 0.0
        while flow.volume < room * (1.0 - 1e-6) and flow.time < 3.0:
            flow_in = np.array([min(1e-5, (room - flow.volume) / 0.01)])
            step = flow.step(0.01, flow_in, yielding=np.array([1e-5 / 3e4]))
            entered += float(step.entered.sum())
            lost += abs(step.lost)
        assert flow.volume >= room * (1.0 - 1e-6)
        assert lost == 0.0
        assert flow.volume == pytest.approx(entered, rel=1e-12)
        assert flow.fraction[flow.grid.cavity].min() > 0.99
        assert flow.fraction.max() < 1.01
        assert (np.isfinite(flow.arrival) == flow.grid.cavity).all()


def test_arrival_and_exposure():
    section = basin((4, 40), 0.005)
    flow = open_flow(section, mouths=[left_mouth(section, 4)], metal=LEVEL)
    go_on(flow, 0.35, inflow=np.array([0.5 * 4 * 0.005]))
    x = section.grid.x_centers[1:-1]
    there = np.isfinite(flow.arrival[2, 1:-1])
    np.testing.assert_allclose(
        flow.arrival[2, 1:-1][there], x[there] / 0.5, atol=0.01
    )  # fmt: skip
    passed = flow.exposure[2, 2:30]
    np.testing.assert_allclose(passed, 0.005 / 0.5, atol=0.005)


def test_a_speed_that_is_no_number_stops_the_flow():
    section = basin((4, 4), 0.005)
    flow = open_flow(section, level(section, 0.01), metal=METAL)
    drag = np.full(section.grid.shape, math.nan)
    flow.resist(drag)
    with pytest.raises(SolverError, match="not finite at 0 s"):
        flow.step(0.01, np.zeros(0))


def test_pockets_that_part_keep_their_air():
    """Two cups upside down: the air of one body of air is shared by volume when metal parts it."""
    within = np.ones((16, 16), bool)
    within[6:, 7:9] = False
    section = basin((16, 16), 0.005, within=within)
    nx = section.grid.shape[1]
    mouth = Mouth(tuple(nx + 1 + i for i in range(16)), (0.0, 1.0))
    closed = np.zeros(section.grid.shape, bool)
    flow = start_flow(section, [mouth], openings=closed, permeability=0.0, **METAL)
    before = AIR * flow.grid.volumes.sum()
    go_on(flow, 1.0, inflow=np.array([3e-3]))
    flow.step(1e-4, np.zeros(1))
    assert flow.pockets.closed.size == 2
    assert flow.pockets.amount[flow.pockets.closed].sum() == pytest.approx(before, rel=0.01)


def test_uneven_cells_depths_and_the_round_view_keep_volume_and_heat():
    x = np.cumsum([0.0, 3, 3, 3, 3, 3, 3.4, 3.9, 4.4, 5, 5, 5, 5]) * 1e-3
    y = np.cumsum([0.0, 4, 4, 3.6, 3.2, 3, 3, 3, 3, 3, 3]) * 1e-3
    for view, depth in (("upright", 0.01), ("upright", "steps"), ("round", 1.0)):
        plain = basin((8, 10), 0.003)
        field = np.full((10, 12), depth if depth != "steps" else 0.01)
        if depth == "steps":
            field[:, 6:] = 0.025
        section = Section(
            Grid(x, y, view), plain.parts, plain.part_index, field, plain.face_areas
        )  # fmt: skip
        start = column(section, 7, 4)
        heat = start * section.volumes * np.linspace(4e9, 5e9, 12)
        flow = open_flow(section, start, metal=METAL, heat=heat)
        before, warmth = flow.volume, flow.heat.sum()
        go_on(flow, 0.3)
        assert flow.volume == pytest.approx(before, rel=1e-12)
        assert flow.heat.sum() == pytest.approx(warmth, rel=1e-12)
        assert flow.fraction.max() < 1.02
        full = flow.fraction > 0.0
        specific = flow.heat[full] / (flow.fraction * flow.grid.volumes)[full]
        assert specific.min() >= 4e9 * (1.0 - 1e-9)
        assert specific.max() <= 5e9 * (1.0 + 1e-9)


def test_a_pocket_takes_no_more_than_its_room():
    """Sand that lets air through well cannot make a pocket smaller than nothing in a step."""
    section = basin((6, 6), 0.005)
    pockets = no_pockets(lay_flow_grid(section, 1e-9))
    pockets.closed, pockets.volume = np.array([1, 2]), np.array([0.0, 3e-6, 2e-6])
    pockets.amount, pockets.leak = AIR * pockets.volume, np.array([0.0, 1e-9, 1e-6])
    dt, pressure = 1e-3, np.array([2e3, 3e3])
    start, D, R = yielding_air(pockets, dt)
    assert start == pytest.approx([0.0, 0.0], abs=1e-6)
    inflow = D * pressure - R
    exact = np.array([3e-6, 2e-6]) ** 2 / (pockets.amount[1:] * dt) * pressure
    assert inflow == pytest.approx(exact + pockets.leak[1:] * pressure, rel=1e-9)
    assert fill_up(pockets, D, R, pressure, dt)
    assert D * pressure - R == pytest.approx([inflow[0], 2e-6 / dt], rel=1e-12)
    assert not fill_up(pockets, D, R, pressure, dt)
