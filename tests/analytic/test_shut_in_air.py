"""Air that rising metal shuts in: squeezed at constant temperature, and bled through the sand.

Problem: metal rises in a box with no opening. Solution: without leak p V is kept (Boyle); in sand
of permeability K that has let the pressure settle, metal comes as fast as air leaves, by Darcy's
law: Q = K p sum(A / way) / mu over the walls that the air touches.
"""

import numpy as np
import pytest
from basins import METAL, basin, go_on

from solidsim.fill.closed_air import AIR_VISCOSITY
from solidsim.fill.flow_grid import sand_walls
from solidsim.fill.flowing import start_flow
from solidsim.fill.gas_pockets import AIR, shut_in
from solidsim.fill.mouths import Mouth

FLOW = np.array([1e-3])


def rising(permeability):
    section = basin((20, 10), 0.005)
    nx = section.grid.shape[1]
    fraction = np.zeros(section.grid.shape)
    fraction[1:3, 1:-1] = 1.0
    return start_flow(
        section,
        [Mouth(tuple(nx + 1 + i for i in range(10)), (0.0, 1.0))],
        openings=np.zeros(section.grid.shape, bool),
        permeability=permeability,
        fraction=fraction,
        **METAL,
    )


def air_volume(flow):
    return flow.grid.volumes.sum() - flow.volume


def test_air_is_squeezed():
    flow = rising(0.0)
    before = air_volume(flow)
    go_on(flow, 2.0, inflow=FLOW)
    go_on(flow, 2.5)
    (pocket,) = shut_in(flow.pockets, flow.grid, flow.fraction.ravel(), flow.pressure.ravel())
    after = air_volume(flow)
    assert after < 0.6 * before
    assert pocket.volume == pytest.approx(after, rel=1e-7)
    assert pocket.pressure == pytest.approx(AIR * (before / after - 1.0), rel=1e-4)


def test_air_bleeds():
    permeability = 1e-10
    flow = rising(permeability)
    go_on(flow, 1.5, inflow=FLOW)
    section, grid = flow.grid.section, flow.grid.section.grid
    way = np.maximum(grid.y_edges[-1] - grid.y_centers, 0.01)[:, None]
    air = flow.grid.outside(flow.fraction) < 0.5
    per_pascal = (sand_walls(section) / way)[air & section.metal].sum() * permeability
    exact = FLOW[0] * AIR_VISCOSITY / per_pascal
    assert flow.pressure[-2, 5] == pytest.approx(exact, rel=0.05)
