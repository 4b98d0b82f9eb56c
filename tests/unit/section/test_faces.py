"""Out-of-plane faces: areas by hand, and how the mold widens behind them."""

import numpy as np
import pytest
from drawing import circle, drawing, part, polygon, rectangle

from solidsim.section.building import build_section
from solidsim.section.faces import STEP_SHARE


def faces_of(section, name):
    return section.face_areas[section.part_cells(name)].sum()


def test_flat_part_shows_its_drawing_on_each_side():
    section = build_section(drawing(part(rectangle(0, 0, 60, 20), "web", depth="30 mm"), cell=2))
    assert faces_of(section, "web") == pytest.approx(0.06 * 0.02, rel=1e-12)
    assert (section.face_areas[~section.metal] == 0.0).all()


def test_wall_of_a_part_beyond_its_shallower_neighbor_is_surface():
    """A block 40 mm deep on a plate of 10 mm: the block's wall stands 15 mm out on each side."""
    plate = part(rectangle(0, 0, 60, 20), "plate", depth="10 mm")
    boss = part(rectangle(20, 0, 40, 20), "boss", depth="40 mm")
    section = build_section(drawing(plate, boss, cell=2))
    walls = 2 * 0.015 * 0.02 * STEP_SHARE
    assert faces_of(section, "boss") == pytest.approx(0.02 * 0.02 + walls, rel=1e-9)
    assert faces_of(section, "plate") == pytest.approx(0.04 * 0.02, rel=1e-9)


def test_through_parts_and_the_round_view_have_no_faces():
    assert build_section(drawing(part(rectangle(0, 0, 60, 20)), cell=2)).face_areas.max() == 0.0
    ring = drawing(part(rectangle(30, 0, 50, 80)), view="round")
    assert build_section(ring).face_areas.max() == 0.0


@pytest.mark.parametrize("cell", [1.0, 2.5, 7.0])
def test_round_part_shows_half_its_mantle_on_each_side(cell):
    feeder = part(rectangle(0, 0, 60, 90), "feeder", "feeder", depth="round")
    section = build_section(drawing(feeder, cell=cell))
    assert faces_of(section, "feeder") == pytest.approx(np.pi * 0.03 * 0.09, rel=1e-9)


def test_ball_shows_half_its_surface_but_for_its_slope():
    """Slices of a ball seen as short cylinders: integral of pi R(y) dy, not of pi R0 dy."""
    ball = part(circle(0, 0, 30), "ball", depth="round")
    section = build_section(drawing(ball, cell=1))
    assert faces_of(section, "ball") == pytest.approx(np.pi * np.pi / 2 * 0.03**2, rel=5e-3)


def test_flanks_of_a_round_part_pass_no_heat_in_the_section():
    feeder = part(rectangle(0, 0, 60, 90), "feeder", "feeder", depth="round")
    section = build_section(drawing(feeder, part(rectangle(-40, 0, 0, 20), "web"), cell=2))
    x, y = section.grid.x_edges, section.grid.y_centers
    right = section.areas_x[:, np.argmin(np.abs(x - 0.06))]
    left = section.areas_x[:, np.argmin(np.abs(x))]
    inside = (y > 0.0) & (y < 0.09)
    assert (right[inside] == 0.0).all()
    assert (left[inside & (y < 0.02)] > 0.0).all()
    assert (left[inside & (y > 0.02)] == 0.0).all()
    assert (section.areas_y[np.argmin(np.abs(section.grid.y_edges - 0.09))] > 0.0).any()


def test_spread_follows_the_outline_of_all_metal_that_touches():
    halves = [
        part(rectangle(0, 0, 30, 20), "one", depth="30 mm"),
        part(rectangle(30, 0, 60, 20), "two", depth="30 mm"),
    ]
    one, two = build_section(drawing(*halves, cell=2)).parts
    outline_over_area = 2 * (0.06 + 0.02) / (0.06 * 0.02)
    assert one.spread == pytest.approx(0.766 * np.pi / 4 * outline_over_area, rel=1e-3)
    assert two.spread == pytest.approx(one.spread, rel=1e-9)
    assert one.modulus_in_plane == pytest.approx(0.03 * 0.02 / (0.03 + 0.02 + 0.03), rel=1e-4)


def test_spread_behind_a_round_part_is_that_of_a_ring():
    feeder = part(polygon((0, 0), (60, 0), (60, 90), (0, 90)), "feeder", "feeder", depth="round")
    (made,) = build_section(drawing(feeder, cell=2)).parts
    assert made.spread == pytest.approx(1 / 0.03 + 0.766 * np.pi / 4 * 2 / 0.09, rel=1e-3)
