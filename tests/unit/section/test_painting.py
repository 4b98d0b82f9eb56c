"""Owners of cells on grids small enough to write down."""

import numpy as np
import pytest
import shapely

from solidsim.section.grid import Grid
from solidsim.section.painting import paint


def grid(nx, ny):
    return Grid(np.arange(nx + 1.0), np.arange(ny + 1.0))


def test_the_larger_share_owns_the_cell():
    left, right = shapely.box(0, 0, 4.3, 1), shapely.box(4.3, 0, 8.8, 1)
    assert paint(grid(10, 1), [left, right]).tolist() == [[1, 1, 1, 1, 2, 2, 2, 2, 2, 0]]


def test_the_closest_calls_turn_until_the_area_is_right():
    """A side 0.7 of a cell in, with a little slope: three of ten cells go back to the mold."""
    wedge = shapely.Polygon([(0, 0), (4.65, 0), (4.75, 10), (0, 10)])
    painted = paint(grid(6, 10), [wedge])
    assert painted[:, :4].all()
    assert painted[:, 4].tolist() == [0] * 3 + [1] * 7
    assert not painted[:, 5].any()


def test_mold_owns_a_cell_that_parts_cover_less_than_it():
    parts = [shapely.box(0, 0, 0.3, 1), shapely.box(0.7, 0, 1, 1)]
    assert paint(grid(1, 1), parts).tolist() == [[0]]
    parts = [shapely.box(0, 0, 0.46, 1), shapely.box(0.55, 0, 1, 1), shapely.box(0.46, 0, 0.5, 1)]
    assert paint(grid(1, 1), parts).tolist() == [[1]]


@pytest.mark.parametrize("legs", [4, 7, 20])
def test_a_side_at_45_degrees_keeps_its_area(legs):
    triangle = shapely.Polygon([(0, 0), (legs, 0), (0, legs)])
    painted = paint(grid(legs + 1, legs + 1), [triangle])
    assert abs(painted.sum() - triangle.area) <= 1.0


def test_a_thin_slot_through_a_cell_counts():
    comb = shapely.box(0, 0, 9, 3) - shapely.box(4.05, -1, 4.95, 2.95)
    painted = paint(grid(9, 3), [comb])
    assert painted.tolist() == [[1, 1, 1, 1, 0, 1, 1, 1, 1]] * 3


def test_nothing_visible_paints_nothing():
    assert not paint(grid(2, 2), [shapely.Polygon()]).any()
