"""Metal that flows through any cavity: nothing is lost, nothing heats up, a mirror mirrors."""

import math

import numpy as np
import pytest
from basins import METAL, basin, column, go_on, open_flow
from scipy.ndimage import label

from solidsim.fill.flowing import start_flow
from solidsim.fill.mouths import Mouth


def random_cavity(rng):
    """One body of cells with holes, and one of its cells."""
    within = rng.random(rng.integers(8, 24, 2)) < 0.93
    bodies, _ = label(within)
    within = bodies == np.bincount(bodies.ravel())[1:].argmax() + 1
    section = basin(within.shape, 0.003, depth=0.02, walled=True, within=within)
    return section, rng.choice(np.flatnonzero(section.metal), 3, replace=False)


@pytest.mark.parametrize("seed", range(12))
def test_volume_and_heat_close_while_cells_freeze_and_melt(seed):
    rng = np.random.default_rng(seed)
    section, cells = random_cavity(rng)
    direction = [(1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (0.0, 0.0)][seed % 4]
    openings = np.zeros(section.grid.shape, bool)
    openings.flat[cells[1:]] = True
    flow = start_flow(
        section,
        [Mouth((int(cells[0]),), direction)],
        openings=openings,
        permeability=[0.0, 1e-10, math.inf][seed % 3],
        **METAL,
    )
    room, entered, heat, n = flow.grid.volumes.sum(), 0.0, 0.0, 0
    wanted, blocked = np.array([0.5 * 0.003 * 0.02]), np.zeros(section.grid.shape, bool)
    while flow.time < 0.6 and flow.volume < 0.95 * room:
        n += 1
        if n % 60 == 0 and seed % 2:
            blocked = rng.random(blocked.shape) < 0.04
            frozen = 10.0 ** rng.uniform(0.0, 12.0, blocked.shape)
            flow.resist(np.where(rng.random(blocked.shape) < 0.1, frozen, 0.0), blocked)
        hot = np.array([1e10 if flow.time < 0.3 else 8e9])
        step = flow.step(0.01, wanted, entering_enthalpy=hot, yielding=wanted / 2e4)
        entered += step.entered.sum()
        heat += step.heat
        assert step.iterations < 200
        assert abs(step.lost) < 1e-12 * room
    assert flow.volume == pytest.approx(entered, rel=1e-10)
    assert flow.heat.sum() == pytest.approx(heat, rel=1e-10)
    assert flow.fraction.min() >= 0.0
    full = flow.fraction > 1e-9
    specific = flow.heat[full] / (flow.fraction * flow.grid.volumes)[full]
    assert specific.min() > 8e9 * (1.0 - 1e-6)
    assert specific.max() < 1e10 * (1.0 + 1e-6)


def test_a_mirrored_basin_flows_mirrored():
    rng = np.random.default_rng(3)
    within = rng.random((16, 20)) < 0.95
    plain, turned = (
        basin((16, 20), 0.004, within=within),
        basin((16, 20), 0.004, within=within[:, ::-1]),
    )
    start = np.where(plain.metal, column(plain, 12, 8), 0.0)
    flows = [open_flow(plain, start, metal=METAL), open_flow(turned, start[:, ::-1], metal=METAL)]
    for flow in flows:
        go_on(flow, 0.05, longest=1e-3)
    np.testing.assert_allclose(flows[0].fraction, flows[1].fraction[:, ::-1], atol=1e-3)


def test_a_plan_view_needs_no_weight():
    """Seen in plan metal spreads from its mouth alike to all sides."""
    section = basin((21, 21), 0.004, depth=0.01, walled=True)
    mouth = Mouth((11 * 23 + 11,))
    metal = {**METAL, "gravity": (0.0, 0.0)}
    flow = open_flow(section, mouths=[mouth], metal=metal)
    go_on(flow, 0.4, longest=2e-3, inflow=np.array([1.6e-5 / 0.4 * 0.5]))
    for other in (flow.fraction[::-1], flow.fraction[:, ::-1], flow.fraction.T):
        np.testing.assert_allclose(flow.fraction, other, atol=0.05)
