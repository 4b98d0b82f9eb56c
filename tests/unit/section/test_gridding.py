"""Grid lines: even where asked, on every side, growing gently."""

import numpy as np
import pytest

from solidsim.section.gridding import (
    CLOSEST,
    COARSEST,
    grid_edges,
    join_intervals,
    keep_lines,
)


@pytest.mark.parametrize(
    ("length", "cell", "count"),
    [(0.1, 0.0005, 200), (0.1, 0.0003, 334), (0.001, 0.0005, 2), (0.001, 0.01, 1), (0.3, 0.1, 3)],
)
def test_a_box_that_is_all_fine_is_cut_evenly(length, cell, count):
    edges = grid_edges([0.0, length], [(0.0, length)], cell)
    np.testing.assert_allclose(edges, np.linspace(0.0, length, count + 1), atol=1e-15)


def test_two_fine_stretches_of_whole_cells_make_one_even_grid():
    edges = grid_edges([0.0, 0.1, 0.4], [(0.0, 0.4)], 0.0005)
    np.testing.assert_allclose(edges, np.linspace(0.0, 0.4, 801), atol=1e-14)


def test_cells_grow_away_from_the_parts():
    edges = grid_edges([-0.3, 0.0, 0.1, 0.4], [(0.0, 0.1)], 0.002)
    sizes = np.diff(edges)
    inside = (edges[:-1] >= 0.0) & (edges[1:] <= 0.1 + 1e-12)
    assert sizes[inside].max() <= 0.002 * (1 + 1e-9)
    assert inside.sum() == 50
    assert 0.5 * COARSEST * 0.002 < sizes.max() <= COARSEST * 0.002
    ratios = sizes[1:] / sizes[:-1]
    assert np.maximum(ratios, 1.0 / ratios).max() < 1.2
    np.testing.assert_allclose(sizes, sizes[::-1], rtol=1e-9)


def test_a_gap_between_parts_is_coarse_in_its_middle():
    edges = grid_edges([0.0, 0.05, 0.55, 0.6], [(0.0, 0.05), (0.55, 0.6)], 0.002)
    sizes = np.diff(edges)
    assert sizes[sizes.size // 2] == pytest.approx(sizes.max())
    assert sizes.max() > 4 * 0.002


def test_any_lines_are_met_and_neighbors_stay_alike(rng):
    worst = []
    for _ in range(60):
        lines = rng.uniform(0.05, 0.25, 8)
        kept, _ = keep_lines([0.0, 0.3], lines, CLOSEST * 0.003)
        edges = grid_edges(kept, [(lines.min(), lines.max())], 0.003)
        assert np.isin(kept, edges).all()
        sizes = np.diff(edges)
        assert sizes.min() > CLOSEST * 0.003 / 1.2
        ratios = sizes[1:] / sizes[:-1]
        worst.append(np.maximum(ratios, 1.0 / ratios).max())
    assert max(worst) < 1.7
    assert np.percentile(worst, 75) < 1.2


def test_lines_near_a_weightier_one_move_to_it():
    kept, moved = keep_lines([0.0, 0.1], [0.05, 0.0503, 0.051, 0.0999, -0.2], 0.0004)
    assert kept == [0.0, 0.05, 0.051, 0.1]
    assert moved == [(0.0503, 0.05), (0.0999, 0.1)]


def test_touching_intervals_join():
    assert join_intervals([(3.0, 4.0), (0.0, 1.0), (1.0, 2.0), (0.5, 1.5)]) == [(0, 2), (3, 4)]
