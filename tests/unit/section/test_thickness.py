"""Thickness of metal of known shape."""

import pytest
import shapely

from solidsim.section.thickness import half_thickness, thinnest

WEB = shapely.box(0, 0, 0.22, 0.02)
RIB = shapely.box(0.09, 0.02, 0.13, 0.08)


def test_half_thickness_of_a_plate_and_of_a_disk():
    assert half_thickness([WEB]) == pytest.approx(0.010, rel=0.01)
    assert half_thickness([shapely.Point(0, 0).buffer(0.03)]) == pytest.approx(0.03, rel=0.01)


def test_half_thickness_at_a_tee_is_more_than_that_of_either_arm():
    """The disk touches the bottom and both corners: h = (20^2 + 20^2) / (2 * 20) mm."""
    assert half_thickness([WEB, RIB]) == pytest.approx(0.020, rel=0.01)


def test_the_thin_arm_of_one_outline_counts():
    ell = shapely.Polygon([(0, 0), (0.1, 0), (0.1, 0.006), (0.04, 0.006), (0.04, 0.1), (0, 0.1)])
    arm = shapely.box(0.04, 0, 0.1, 0.006)
    assert thinnest([ell - arm, arm]) == pytest.approx(0.006, rel=0.02)


def test_a_block_drawn_in_slices_is_thick():
    slices = [shapely.box(0, 0.01 * k, 0.1, 0.01 * (k + 1)) for k in range(5)]
    assert thinnest(slices) == pytest.approx(0.05, rel=0.02)


def test_a_wall_around_a_core_is_thin():
    wall = shapely.Point(0, 0).buffer(0.05, 64) - shapely.Point(0, 0).buffer(0.045, 64)
    assert thinnest([wall]) == pytest.approx(0.005, rel=0.02)
