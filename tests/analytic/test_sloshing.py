"""Water sloshing in a tank.

Problem: a tank of length L = 1 m filled to H = 0.5 m, its surface a cosine of 10 mm, let go.
Solution: period 2 pi / sqrt(pi g / L tanh(pi H / L)), for small waves without friction; Lamb
(1932), Hydrodynamics, section 257. Within 2 %.
"""

import math

import numpy as np
import pytest
from basins import WATER, G, basin, level, open_flow

L, H, WAVE = 1.0, 0.5, 0.01


@pytest.mark.parametrize("cells", [40, 50])
def test_period(cells):
    h = L / cells
    section = basin((round(0.75 * cells), cells), h)
    x = section.grid.x_centers
    flow = open_flow(section, level(section, H + WAVE * np.cos(np.pi * x / L)), metal=WATER)
    before, times, heights = flow.volume, [], []
    while flow.time < 3.4:
        flow.step(0.01, np.zeros(0))
        times.append(flow.time)
        heights.append(flow.fraction[1:-1, 1].sum() * h - H)
    t, e = np.array(times), np.array(heights)
    k = np.flatnonzero(e[1:] * e[:-1] < 0.0)
    crossings = t[k] - e[k] * (t[k + 1] - t[k]) / (e[k + 1] - e[k])
    exact = 2.0 * math.pi / math.sqrt(math.pi * G / L * math.tanh(math.pi * H / L))
    assert crossings.size == 6
    assert (crossings[4] - crossings[0]) / 2.0 == pytest.approx(exact, rel=0.02)
    assert np.diff(crossings) == pytest.approx(np.full(5, exact / 2.0), rel=0.02)
    assert np.abs(e[len(e) // 2 :]).max() > 0.9 * WAVE  # friction of the scheme
    assert flow.volume == pytest.approx(before, rel=1e-12)
