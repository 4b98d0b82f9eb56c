"""The feeding tree against labelling every level: same pools, same closing times."""

from pathlib import Path

import numpy as np
import pytest
from naive_merge_tree import closing_times, pools_by_level
from pouring import pour

from solidsim.case import read_case
from solidsim.criteria.feeding_tree import feeding_tree
from solidsim.model import build_model
from solidsim.simulation import simulate
from solidsim.studies.changing import until_solid
from solidsim.studies.confirming import with_cell

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*/*.toml"))
COARSER = 4.0


def random_field(rng, shape, holes, levels=None):
    values = rng.permutation(float(np.prod(shape)) + np.arange(np.prod(shape))).reshape(shape)
    if levels:
        values = np.floor(values * levels / values.max())
    values[rng.random(shape) < holes] = np.nan
    return values


def pools_of(tree, cutoff_time, level):
    holder = tree.at(level)[tree.pool]
    open_still = np.nan_to_num(cutoff_time, nan=-np.inf) >= level
    return {
        frozenset(np.flatnonzero((holder == pool) & open_still).tolist())
        for pool in np.unique(holder[open_still])
    }


def closings_of(tree):
    pieces = np.bincount(tree.parent[tree.parent >= 0], minlength=tree.index.size)
    return sorted(np.repeat(tree.ended, np.maximum(pieces - 1, 0)).tolist())


def assert_same(cutoff_time):
    tree = feeding_tree(cutoff_time, least_share=1e-15)  # equal neighbors are one peak
    for level, expected in pools_by_level(cutoff_time).items():
        assert pools_of(tree, cutoff_time, level) == expected
    assert closings_of(tree) == closing_times(cutoff_time)


@pytest.mark.parametrize("shape", [(1, 12), (12, 1), (9, 7), (16, 16)])
@pytest.mark.parametrize("holes", [0.0, 0.3, 0.6])
def test_same_pools_as_labelling_every_level(rng, shape, holes):
    assert_same(random_field(rng, shape, holes))


@pytest.mark.parametrize("levels", [3, 9])
def test_ties_hold_the_same_pools(rng, levels):
    """Equal neighbors are swept one after the other: pools agree, and plateaus leave no splits."""
    field = random_field(rng, (14, 14), 0.3, levels)
    tree = feeding_tree(field, least_share=1e-12)
    for level, expected in pools_by_level(field).items():
        assert pools_of(tree, field, level) == expected
    assert closings_of(tree) == closing_times(field)


TEE = """
title = "Three bosses on a bar"
[section]
cell = "4 mm"
[pour]
alloy = "carbon-steel-0.25"
temperature = "1580 °C"
[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["260 mm", "12 mm"] }
[[part]]
name = "left"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["40 mm", "44 mm"] }
[[part]]
name = "middle"
role = "casting"
rectangle = { from = ["108 mm", "-20 mm"], to = ["156 mm", "40 mm"] }
[[part]]
name = "right"
role = "casting"
rectangle = { from = ["220 mm", "0 mm"], to = ["260 mm", "36 mm"] }
"""


def test_same_pools_in_a_casting():
    times = pour(TEE).fields["cutoff_time"]
    assert_same(np.round(times, 9))  # cells that are alike by symmetry differ by round-off
    assert feeding_tree(times).leaves.size == 3


@pytest.mark.parametrize("path", CASES, ids=[f"{p.parent.name}/{p.stem}" for p in CASES])
def test_same_pools_in_every_case(path):
    case = until_solid(read_case(path))
    cell = COARSER * build_model(case).section.metal_cell
    times = simulate(build_model(with_cell(case, cell))).fields.get("cutoff_time")
    assert_same(np.round(times, 9))  # cells that are alike by symmetry differ by round-off


def test_ripples_are_taken_as_part_of_their_neighbor():
    times = np.array([[10.0, 100.0, 50.0, 51.0, 20.0, 90.0]])
    tree = feeding_tree(times, least_share=0.03)
    assert tree.hot_spot.tolist() == [1, 5, 1]
    assert tree.parent.tolist() == [2, 2, -1]
    assert tree.cut_off.tolist() == [20.0, 20.0, -np.inf]
    assert tree.neck.tolist() == [4, 4, -1]
    assert tree.pool.tolist() == [[2, 0, 0, 0, 2, 1]]
    assert tree.at(20.0).tolist() == [2, 2, 2]
    assert tree.at(20.1).tolist() == [0, 1, -1]


def test_one_cell_closes_three_pools_at_once():
    times = np.array([[1.0, 30.0, 1.0], [20.0, 5.0, 40.0], [2.0, 3.0, 2.0]])
    tree = feeding_tree(times, least_share=0.0)
    assert tree.parent.tolist() == [3, 3, 3, -1]
    assert sorted(tree.hot_spot[:3].tolist()) == [1, 3, 5]
    assert set(tree.cut_off[:3]) == {5.0}


def test_sums_gather_what_came_of_a_pool():
    tree = feeding_tree(np.array([[10.0, 100.0, 50.0, 20.0, 90.0]]), least_share=0.0)
    own = np.bincount(tree.pool.ravel(), minlength=tree.index.size)
    assert own.tolist() == [2, 1, 2]
    assert tree.sums(own).tolist() == [2, 1, 5]
    assert tree.holds(np.array([1, 4, 0])).tolist() == [[1, 0, 0], [0, 1, 0], [1, 1, 1]]


def test_nothing_frozen_makes_no_pools():
    assert feeding_tree(np.full((3, 3), np.nan)).hot_spot.size == 0
