"""Shapes and their fillets against areas that can be worked out by hand."""

import numpy as np
import pytest
import shapely
from drawing import circle, drawing, part, polygon, rectangle, ring

from solidsim.section.shapes import drafted_sides, draw_shapes, part_shape, square_sides

CORNER = 1.0 - np.pi / 4.0  # area of a fillet in a square corner over the square of its radius


def drawn(*parts):
    description = drawing(*parts)
    plain = [part_shape(each) for each in description.part]
    return plain, *draw_shapes(description.part, plain)


def added(*parts):
    """Area that fillets add to the last part over the square of its radius, and what is tight."""
    plain, shapes, tight = drawn(*parts)
    radius = shapes[-1].part.fillet
    return (shapes[-1].whole.area - plain[-1].area) / radius**2, tight


WEB = part(rectangle(0, 0, 220, 20), "web")


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        (rectangle(30, 20, 0, 0), 600.0),
        (polygon((0, 0), (40, 0), (0, 30)), 600.0),
        (circle(5, 5, 20), np.pi * 400.0),
        (ring(0, 0, 20, 30), np.pi * 500.0),
    ],
)
def test_area_of_plain_shapes(shape, area):
    plain, _, _ = drawn(part(shape))
    assert plain[0].area * 1e6 == pytest.approx(area, rel=1e-4)


def test_fillet_fills_both_corners_of_a_tee():
    share, tight = added(WEB, part(rectangle(90, 20, 130, 80), "rib", fillet="8 mm"))
    assert share == pytest.approx(2.0 * CORNER, rel=2e-4)
    assert not tight


def test_fillet_does_not_mind_how_the_tee_lies():
    def turned(*corners):
        c, s = np.cos(0.6), np.sin(0.6)
        return polygon(*[(c * x - s * y, s * x + c * y) for x, y in corners])

    web = part(turned((0, 0), (220, 0), (220, 20), (0, 20)), "web")
    rib = part(turned((90, 20), (130, 20), (130, 80), (90, 80)), "rib", fillet="8 mm")
    share, tight = added(web, rib)
    assert share == pytest.approx(2.0 * CORNER, rel=2e-4)
    assert not tight


def test_fillet_rounds_own_hollow_corner_only():
    ell = polygon((0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100))
    share, _ = added(part(ell, fillet="8 mm"))
    assert share == pytest.approx(CORNER, rel=2e-4)


@pytest.mark.parametrize("degrees", [30.0, 60.0, 120.0, 170.0])
def test_fillet_in_a_corner_of_any_angle(degrees):
    """Area between two tangents and their circle: cot(a / 2) - (pi - a) / 2 for radius 1."""
    half = np.radians(degrees) / 2.0
    x = 50.0 * np.sin(half) / max(np.sin(half), np.cos(half))
    y = 50.0 * np.cos(half) / max(np.sin(half), np.cos(half))
    corners = [(-80, -40), (80, -40), (80, y), (x, y), (0, 0), (-x, y), (-80, y)]
    share, tight = added(part(polygon(*corners), fillet="5 mm"))
    assert share == pytest.approx(1.0 / np.tan(half) - (np.pi / 2.0 - half), rel=1e-4, abs=2e-5)
    assert not tight


def test_fillet_leaves_corners_of_other_parts_alone():
    lug = part(rectangle(190, 20, 220, 50), "lug")
    share, _ = added(WEB, lug, part(rectangle(90, 20, 130, 80), "rib", fillet="8 mm"))
    assert share == pytest.approx(2.0 * CORNER, rel=2e-4)


def test_fillet_does_not_grow_out_of_a_core_or_a_chill():
    chill = part(rectangle(0, 0, 220, 20), "chill", "chill")
    share, _ = added(chill, part(rectangle(90, 20, 130, 80), "rib", fillet="8 mm"))
    assert share == pytest.approx(0.0, abs=1e-9)


def test_fillet_of_a_boss_that_a_web_runs_into():
    share, tight = added(WEB, part(circle(110, 10, 40), "boss", fillet="8 mm"))
    assert share > 0.1
    assert not tight


@pytest.mark.parametrize(
    "hollow",
    [
        polygon(
            *[(0, 0), (100, 0), (100, 100), (55, 100), (55, 50), (45, 50), (45, 100), (0, 100)]
        ),
        ring(0, 0, 5, 60),
    ],
    ids=["slot", "bore"],
)
def test_fillet_never_closes_a_gap(hollow):
    share, tight = added(part(hollow, fillet="8 mm"))
    assert share == pytest.approx(0.0, abs=1e-9)
    assert [place.part.name for place in tight] == ["block"]


def test_fillet_never_bridges_two_walls():
    share, tight = added(
        part(rectangle(0, 10, 10, 60), "left wall"),
        part(rectangle(20, 10, 30, 60), "right wall"),
        part(rectangle(0, 0, 100, 10), "floor", fillet="8 mm"),
    )
    assert share == pytest.approx(CORNER, rel=2e-4)
    assert len(tight) == 1
    assert 0.010 < tight[0].x < 0.020


def test_later_parts_hide_earlier_ones():
    _, shapes, _ = drawn(part(rectangle(0, 0, 30, 30)), part(circle(15, 15, 10), "core", "core"))
    assert shapes[0].visible.area == pytest.approx(shapes[0].whole.area - shapes[1].whole.area)


def test_square_sides_are_the_visible_ones_longest_first():
    _, shapes, _ = drawn(
        part(rectangle(0, 0, 100, 20), "web"),
        part(rectangle(40, 5, 60, 80), "rib"),
        part(circle(20, 10, 5), "pin", "core"),
    )
    visible = [shape.visible for shape in shapes]
    sides = square_sides(visible, axis=0)
    assert set(sides[:2]) == {0.04, 0.06}
    assert set(sides[2:]) == {0.0, 0.1}
    assert set(square_sides(visible, axis=1)) == {0.0, 0.005, 0.02, 0.08}


def test_drafted_sides_count_by_their_middle():
    _, shapes, _ = drawn(part(polygon((0, 0), (40, 0), (39, 60), (5, 60))))
    visible = [shape.visible for shape in shapes]
    assert drafted_sides(visible, axis=0, cell=0.002) == pytest.approx([0.0395])
    assert drafted_sides(visible, axis=0, cell=0.0009) == []
    assert square_sides(visible, axis=0) == []


def test_coordinates_are_whole_nanometers():
    plain, _, _ = drawn(part(rectangle(0, 0, 25.4 / 3.0, 10)))
    corners = shapely.get_coordinates(plain[0])
    assert np.array_equal(corners, np.round(corners, 9))
