"""A casting freezes alike however it lies on the paper: mirrored, turned, moved, run side by side.

The body is an ell of steel with a feeder and an iron chill in sand, so that every kind of joint
takes part; nothing in it is symmetric.
"""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from pouring import alloy_card, pour, sand_card

STEEL = alloy_card("steel", [(30.0, 700.0, 7300.0)] * 3, 270e3, ("linear", [1450.0, 1500.0], ""))
SAND = sand_card("sand", 0.6, 1170.0, 1500.0)
BODIES = [  # name, role, corners in mm on a grid of 2 mm
    ("arm", "casting", (20, 20, 60, 32)),
    ("leg", "casting", (20, 32, 36, 64)),
    ("feeder", "feeder", (22, 64, 38, 88)),
    ("chill", "chill", (44, 12, 60, 20)),
]
BOX = (0, 0, 84, 100)


def ell_case(place=lambda x, y: (x, y)):
    """The ell with its corners laid elsewhere by ``place`` (mm to mm)."""

    def corners(box):
        (x0, y0), (x1, y1) = place(*box[:2]), place(*box[2:])
        low, high = (min(x0, x1), min(y0, y1)), (max(x0, x1), max(y0, y1))
        low, high = ([f"{at!r} mm" for at in corner] for corner in (low, high))
        return f"{{ from = {low}, to = {high} }}".replace("'", '"')

    parts = "".join(
        f'[[part]]\nname = "{name}"\nrole = "{role}"\nrectangle = {corners(box)}\n'
        for name, role, box in BODIES
    )
    return f"""
title = "An ell with a feeder and a chill"
[section]
view = "plan"
cell = "2 mm"
[pour]
alloy = "steel"
temperature = "1580 °C"
[mold]
sand = "sand"
temperature = "20 °C"
box = {corners(BOX)}
{parts}
{STEEL}
{SAND}
"""


@pytest.fixture(scope="module")
def upright():
    return freezing_times(ell_case())


def freezing_times(case):
    return pour(case).fields["freezing_time"]


def test_mirror(upright):
    mirrored = freezing_times(ell_case(lambda x, y: (-x, y)))
    np.testing.assert_allclose(mirrored[:, ::-1], upright, rtol=1e-9)


def test_quarter_turn(upright):
    turned = freezing_times(ell_case(lambda x, y: (-y, x)))
    np.testing.assert_allclose(np.rot90(turned, -1, axes=(1, 0)), upright, rtol=1e-9)


@pytest.mark.parametrize("shift", [(2, 0), (0, -2), (500, 300)])
def test_translation(upright, shift):
    moved = freezing_times(ell_case(lambda x, y: (x + shift[0], y + shift[1])))
    np.testing.assert_allclose(moved, upright, rtol=1e-6)


def test_runs_side_by_side_in_threads_do_not_touch(upright):
    with ThreadPoolExecutor(2) as pool:
        both = list(pool.map(freezing_times, [ell_case()] * 2))
    for field in both:
        np.testing.assert_array_equal(field, upright)
