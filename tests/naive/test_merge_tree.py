import numpy as np
import pytest
from naive_merge_tree import hot_spots as naive_hot_spots

from solidsim.criteria.hot_spots import hot_spots


@pytest.mark.parametrize("shape", [(1, 12), (9, 7), (16, 16)])
@pytest.mark.parametrize("holes", [0.0, 0.3])
def test_same_peaks_and_passes_as_labelling_every_level(rng, shape, holes):
    values = rng.permutation(float(np.prod(shape)) + np.arange(np.prod(shape))).reshape(shape)
    values[rng.random(shape) < holes] = np.nan
    found = [(spot.time, spot.cut_off) for spot in hot_spots(values, least_share=0.0)]
    assert found == naive_hot_spots(values)


def test_ripples_are_left_out():
    values = np.array([[10.0, 100.0, 50.0, 51.0, 20.0, 90.0]])
    found = hot_spots(values, least_share=0.03)
    assert [(spot.cell, spot.cut_off) for spot in found] == [((0, 1), None), ((0, 5), 20.0)]


def test_nothing_frozen_gives_no_spots():
    assert hot_spots(np.full((3, 3), np.nan)) == []
