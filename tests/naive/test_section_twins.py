"""Painting and depth against their naive twins on small random drawings."""

import numpy as np
import pytest
import shapely
from drawing import drawing, part, polygon, rectangle
from naive_section import mean_chord_naively, nearest_depth_naively, paint_naively

from solidsim.section.building import build_section
from solidsim.section.depth import SIDE_WIDENING, mean_chords
from solidsim.section.grid import Grid
from solidsim.section.painting import paint


def random_drawing(rng):
    """A graded grid, and shapes that do not overlap."""
    grid = Grid(np.cumsum(rng.uniform(0.5, 1.5, 13)), np.cumsum(rng.uniform(0.5, 1.5, 11)))
    visible, over = [], shapely.Polygon()
    for _ in range(4):
        corners = shapely.MultiPoint(rng.uniform(0.0, 13.0, (6, 2))).convex_hull
        x, y = rng.uniform(3.0, 9.0, 2)
        shape = corners - shapely.Point(x, y).buffer(rng.uniform(0.3, 2.0))
        visible.append(shape - over)
        over = over | shape
    return grid, visible


@pytest.mark.parametrize("draw", range(8))
def test_painting(draw):
    grid, visible = random_drawing(np.random.default_rng(draw))
    assert paint(grid, visible).tolist() == paint_naively(grid, visible)


def test_painting_where_every_cell_is_a_tie():
    grid = Grid(np.arange(9.0), np.arange(9.0))
    halves = [
        shapely.Polygon([(1, 1), (7, 7), (1, 7)]),
        shapely.Polygon([(1, 1), (7, 1), (7, 7)]),
    ]
    assert paint(grid, halves).tolist() == paint_naively(grid, halves)
    assert paint(grid, halves[:1]).tolist() == paint_naively(grid, halves[:1])


def test_mean_chords(rng):
    grid = Grid(np.cumsum(rng.uniform(0.5, 1.5, 13)), np.array([0.0, 1.0, 2.0]))
    chords = mean_chords(grid, shapely.box(3.3, 0.0, 9.1, 2.0))
    for i, (x0, x1) in enumerate(zip(grid.x_edges[:-1], grid.x_edges[1:], strict=True)):
        expected = mean_chord_naively(x0, x1, axis=6.2, radius=2.9)
        expected = max(expected, 0.01 * (x1 - x0))
        assert chords[:, i] == pytest.approx(expected, rel=1e-5)


def test_depth_of_the_mold():
    section = build_section(
        drawing(
            part(rectangle(0, 0, 20, 8), "web", depth="30 mm"),
            part(polygon((6, 8), (14, 8), (16, 24), (4, 24)), "feeder", "feeder", depth="round"),
            part(rectangle(0, -6, 20, 0), "chill", "chill"),
            cell=2,
            cover=14,
        )
    )
    round_part = section.part_cells("feeder")
    widening = np.where(round_part, SIDE_WIDENING * np.pi / 2.0, SIDE_WIDENING)
    for j, i in np.argwhere(~section.metal):
        expected = nearest_depth_naively(
            section.grid,
            section.depth,
            section.metal,
            j,
            i,
            widening * (section.part_index[j, i] == 0),
        )
        assert section.depth[j, i] == pytest.approx(expected, rel=1e-12)
