"""What must hold for any drawing: mirrors, shifts, whole areas, and finer grids being nearer."""

import numpy as np
import pytest
from drawing import bracket, circle, drawing, part, polygon, rectangle
from hypothesis import given, settings
from hypothesis import strategies as st

from solidsim.section.building import build_section

millimeters = st.integers(0, 40)
sizes = st.integers(3, 25)
quick = settings(max_examples=25, deadline=None, derandomize=True)


@st.composite
def parts(draw):
    """Two to five parts on whole millimeters as (kind, numbers, depth), the first a plate."""
    made = [("rectangle", (0, 0, draw(sizes) + 20, draw(sizes)), None)]
    for _ in range(draw(st.integers(1, 4))):
        x, y, a, b = draw(millimeters), draw(millimeters), draw(sizes), draw(sizes)
        kind = draw(st.sampled_from(["rectangle", "triangle", "circle"]))
        numbers = (x, y, a) if kind == "circle" else (x, y, x + a, y + b)
        made.append((kind, numbers, draw(st.sampled_from([None, "20 mm", "round"]))))
    return made


def lay(made, x_sign=1, y_sign=1, shift=(0, 0), cell=2.3):
    """Section of these parts, mirrored and shifted."""

    def at(x, y):
        return x_sign * x + shift[0], y_sign * y + shift[1]

    drawn = []
    for number, (kind, numbers, depth) in enumerate(made):
        if kind == "circle":
            shape = circle(*at(*numbers[:2]), numbers[2])
        elif kind == "triangle":
            x0, y0, x1, y1 = numbers
            shape = polygon(at(x0, y0), at(x1, y0), at(x0, y1))
        else:
            shape = rectangle(*at(*numbers[:2]), *at(*numbers[2:]))
        keys = {"depth": depth} if depth else {}
        drawn.append(part(shape, f"part {number}", **keys))
    return build_section(drawing(*drawn, cell=cell, cover=20, depth=30))


@quick
@given(parts())
def test_a_mirrored_drawing_gives_a_mirrored_section(made):
    section = lay(made)
    for signs, flip in [((-1, 1), np.s_[:, ::-1]), ((1, -1), np.s_[::-1])]:
        mirrored = lay(made, *signs)
        np.testing.assert_array_equal(mirrored.part_index[flip], section.part_index)
        np.testing.assert_allclose(mirrored.depth[flip], section.depth, rtol=1e-6)


@quick
@given(parts(), st.integers(-500, 500), st.integers(-500, 500))
def test_a_shifted_drawing_gives_the_same_section(made, x, y):
    section, shifted = lay(made), lay(made, shift=(x, y))
    np.testing.assert_array_equal(shifted.part_index, section.part_index)
    np.testing.assert_allclose(shifted.depth, section.depth, rtol=1e-6)


@quick
@given(parts())
def test_cells_of_all_parts_and_the_mold_are_the_box(made):
    section = lay(made)
    areas = np.bincount(section.part_index.ravel(), section.grid.cell_areas.ravel())
    box = np.ptp(section.grid.x_edges) * np.ptp(section.grid.y_edges)
    assert areas.sum() == pytest.approx(box, rel=1e-12)
    assert sum(p.drawn_area for p in section.parts) < box
    for number, made_part in enumerate(section.parts, start=1):
        assert made_part.gridded_area == pytest.approx(
            areas[number] if number < areas.size else 0.0, abs=1e-15
        )


@quick
@given(st.integers(0, 20), st.integers(0, 12), st.integers(-6, 6), st.integers(-6, 6))
def test_a_part_moved_by_whole_cells_paints_the_same_cells_there(x, y, right, up):
    def place(x, y):
        sand = part(rectangle(0, 0, 60, 50), "sand", "core")
        block = part(polygon((x, y), (x + 11, y + 2), (x + 7, y + 13)))
        return build_section(drawing(sand, block, box=(0, 0, 60, 50), cell=1)).metal

    moved = np.roll(place(x + 6, y + 6), (up, right), axis=(0, 1))
    np.testing.assert_array_equal(place(x + 6 + right, y + 6 + up), moved)


@quick
@given(st.floats(0.0, 180.0))
def test_a_turned_bar_keeps_its_area(degrees):
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    corners = [(c * x - s * y, s * x + c * y) for x, y in [(0, 0), (60, 0), (60, 20), (0, 20)]]
    made = build_section(drawing(part(polygon(*corners)), cell=1, cover=20)).parts[0]
    assert made.drawn_area == pytest.approx(0.0012, rel=1e-6)
    assert made.gridded_area == pytest.approx(made.drawn_area, rel=0.01)


def test_finer_cells_come_nearer_to_the_drawing():
    """Root mean square over 12 places of a disk; halving the cell more than halves the error."""
    errors = []
    for cell in (4.0, 2.0, 1.0):
        found = []
        for k in range(12):
            sand = part(rectangle(0, 0, 80, 80), "sand", "core")
            disk = part(circle(38 + 0.31 * k, 41 + 0.17 * k, 25))
            made = build_section(drawing(sand, disk, box=(0, 0, 80, 80), cell=cell)).parts[1]
            found.append(made.gridded_area / made.drawn_area - 1.0)
        errors.append(np.sqrt(np.mean(np.square(found))))
    assert errors[1] < 0.5 * errors[0]
    assert errors[2] < 0.5 * errors[1]
    assert errors[2] < 2e-3


def test_finer_cells_of_a_bracket_leave_no_warning():
    coarse, fine = build_section(bracket(cell=3, depth=40)), build_section(bracket(cell=0.5))
    assert len(coarse.warnings) > len(fine.warnings)
    assert fine.warnings == ()
