"""Cells and those beside them, against scipy's morphology."""

import numpy as np
import pytest
from scipy.ndimage import binary_dilation, binary_erosion

from solidsim.section.neighbors import grown, skin_of


@pytest.mark.parametrize("share", [0.02, 0.5, 0.98])
@pytest.mark.parametrize("shape", [(1, 7), (9, 1), (12, 17)])
def test_against_morphology(shape, share):
    cells = np.random.default_rng(7).random(shape) < share
    assert np.array_equal(grown(cells), binary_dilation(cells))
    assert np.array_equal(skin_of(cells), cells & ~binary_erosion(cells))


def test_corners_do_not_count():
    cells = np.zeros((3, 3), bool)
    cells[1, 1] = True
    assert grown(cells).sum() == 5
