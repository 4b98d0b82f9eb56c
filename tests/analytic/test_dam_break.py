"""A column of water collapses on a flat floor.

Problem: a column of width a and height 2 a between a wall and a gate that is gone at once.
Solution: measured by Martin & Moyce (1952), see ``shared/check_values.toml``: height at the wall
and front along the floor. Their gate was a waxed diaphragm that let go in its own time, so that
their front starts late: water let go at once is ahead by a fifth at first and by a tenth when the
front has reached 4 a, as in other computations without friction. Counted from the moment when the
front stands at 1.44 a, both agree within 8 %.
"""

import math

import numpy as np
import pytest
from basins import G, basin, column, open_flow


@pytest.fixture(scope="module")
def collapse():
    """Times [s], fronts and heights [m] for 20 cells across the column of 57.15 mm."""
    a, n = 0.05715, 20
    h = a / n
    section = basin((2 * n + 10, 5 * n), h)
    flow = open_flow(section, column(section, 2 * n, n), slip=False)
    rows, before = [(0.0, a, 2.0 * a)], flow.volume
    while flow.time < 3.7 / math.sqrt(2.0 * G / a):
        flow.step(0.01, np.zeros(0))
        floor = flow.fraction[1:4, 1:-1].sum(axis=0)
        last = np.flatnonzero(floor > 0.5)[-1]
        front = h * (last + min(floor[last], 1.0))
        rows.append((flow.time, front, h * flow.fraction[1:-1, 1].sum()))
    assert flow.volume == pytest.approx(before, rel=1e-12)
    return np.array(rows).T


def test_height_at_the_wall(collapse, check_values):
    known = check_values["dam_break"]
    a, (times, _, heights) = known["width"], collapse
    found = np.interp(known["height_times"], times * math.sqrt(G / a), heights / (2.0 * a))
    np.testing.assert_allclose(found, known["heights"], rtol=0.08)


def test_front_along_the_floor(collapse, check_values):
    known = check_values["dam_break"]
    a, (times, fronts, _) = known["width"], collapse
    T, Z = times * math.sqrt(2.0 * G / a), fronts / a
    measured = np.array([known["front_times"], known["fronts"]])[:, 2:]
    late = measured[0, 0] - np.interp(measured[1, 0], Z, T)
    assert 0.0 < late < 0.4
    np.testing.assert_allclose(np.interp(measured[0] - late, T, Z), measured[1], rtol=0.08)
    ahead = np.interp(measured[0], T, Z) / measured[1]
    assert (ahead > 1.0).all()
    assert (ahead < 1.2).all()
    assert ahead[-1] < 1.1
