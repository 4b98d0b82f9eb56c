"""Metal at rest stays at rest under its own weight.

Problem: a basin filled to a level that cuts cells, under gravity, with steps and an island in it.
Solution: velocity zero, p = rho g (level - y).
"""

import math

import numpy as np
import pytest
from basins import METAL, G, basin, go_on, level, open_flow


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
def test_metal_at_rest_stays_at_rest(share):
    within = np.ones((24, 20), bool)
    within[:8, :4] = within[10:14, 8:12] = within[:3, 15:] = False
    section = basin((24, 20), 0.005, within=within)
    height = 0.1 + share * 0.005
    flow = open_flow(section, level(section, height), metal=METAL, slip=False)
    go_on(flow, 1.0)
    allowed = 1e-6 * math.sqrt(G * height)
    assert max(np.abs(flow.u).max(), np.abs(flow.v).max()) < allowed
    y = np.pad(section.grid.y_centers[1:-1], 1)[:, None]
    full = flow.fraction == 1.0
    exact = np.broadcast_to(7000.0 * G * (height - y), full.shape)
    np.testing.assert_allclose(flow.pressure[full], exact[full], rtol=1e-5)
