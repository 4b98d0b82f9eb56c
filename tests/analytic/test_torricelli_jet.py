"""Water leaves a tank through a slot in its floor and falls into an open room.

Solution: a jet that has fallen to a depth d below the surface has the speed sqrt(2 g d), whatever
the slot does to it (Torricelli; Bernoulli's law). Within 3 % as the mean of the jet's middle.
"""

import numpy as np
import pytest
from basins import WATER, G, basin, go_on, open_flow


def test_speed_of_the_jet():
    slot, n = 0.02, 4
    h, half, floor = slot / n, 20, 40
    within = np.ones((92, 2 * half), bool)
    within[floor - 1] = False
    within[floor - 1, half - n // 2 : half + n // 2] = True
    section = basin(within.shape, h, within=within)
    fraction = np.where(section.metal, 1.0, 0.0)
    fraction[: 1 + floor] = fraction[90:] = 0.0
    flow = open_flow(section, fraction, metal=WATER)
    go_on(flow, 0.25)
    surface = flow.fraction[1 + floor :, 1:-1].sum() / (2 * half)  # cells above the floor
    rows = np.arange(floor - 1 - 2 * n, floor - 1 - n)
    exact = np.sqrt(2.0 * G * h * (surface + floor - rows))
    middle = flow.v[rows + 1, half : half + 2].mean(axis=1)
    assert np.mean(-middle / exact) == pytest.approx(1.0, abs=0.03)
