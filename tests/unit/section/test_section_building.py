"""Sections of whole cases: textbook strips, defaults, faults with their keys, warnings."""

import numpy as np
import pytest
import shapely
from drawing import bracket, circle, drawing, part, polygon, rectangle

from solidsim.errors import SectionError
from solidsim.section.building import CELL_BUDGET, build_section
from solidsim.section.checking import TOLERANCE


@pytest.mark.parametrize(("cell", "shape"), [(0.5, (2, 200)), (1, (1, 100)), (2, (1, 50))])
def test_a_strip_filled_by_one_part_is_even(cell, shape):
    section = build_section(drawing(part(rectangle(0, 0, 100, 1)), box=(0, 0, 100, 1), cell=cell))
    assert section.grid.shape == shape
    np.testing.assert_allclose(section.grid.dx, 0.1 / shape[1], rtol=1e-12)
    assert section.metal.all()
    assert section.warnings == ()


def test_metal_against_a_core_makes_one_even_strip():
    metal, sand = part(rectangle(0, 0, 100, 1)), part(rectangle(100, 0, 400, 1), "sand", "core")
    section = build_section(drawing(metal, sand, box=(0, 0, 400, 1), cell=1))
    np.testing.assert_allclose(section.grid.x_edges, np.linspace(0.0, 0.4, 401), atol=1e-14)
    assert section.metal.sum() == 100


def test_axis_aligned_parts_are_exact():
    section = build_section(
        drawing(
            part(rectangle(0, 0, 101.3, 17.9), "web"),
            part(rectangle(33.1, 17.9, 47.7, 60.2), "rib"),
            part(rectangle(35, 20, 40, 60.2), "slot", "core"),
            cell=2,
        )
    )
    for made in section.parts:
        assert made.gridded_area == pytest.approx(made.drawn_area, rel=1e-10)
    assert section.warnings == ()


def test_parts_and_mold_fill_the_box():
    section = build_section(bracket(cell=2))
    grid = section.grid
    box = np.ptp(grid.x_edges) * np.ptp(grid.y_edges)
    mold = grid.cell_areas[section.part_index == 0].sum()
    assert mold + sum(p.gridded_area for p in section.parts) == pytest.approx(box, rel=1e-12)


def test_standard_cell_is_a_tenth_of_the_thinnest_metal():
    section = build_section(
        drawing(part(rectangle(0, 0, 100, 20), "web"), part(rectangle(40, 20, 60, 80), "rib"))
    )
    web = (section.grid.y_edges > -1e-9) & (section.grid.y_edges < 0.020 + 1e-9)
    assert web.sum() - 1 in (10, 11)


def test_standard_cell_keeps_the_budget():
    section = build_section(
        drawing(part(rectangle(0, 0, 1000, 900), "slab"), part(rectangle(1000, 0, 1100, 2), "fin"))
    )
    assert 0.5 * CELL_BUDGET < section.part_index.size <= CELL_BUDGET


def test_standard_cover_is_counted_in_half_thicknesses():
    edges = build_section(drawing(part(rectangle(0, 0, 200, 20)))).grid.x_edges
    assert -edges[0] == pytest.approx(3.5 * 0.010, rel=0.02)
    assert edges[-1] - 0.2 == pytest.approx(-edges[0], rel=1e-9)


def test_cover_and_box_as_given():
    block = part(rectangle(0, 0, 200, 20))
    assert build_section(drawing(block, cover=50)).grid.x_edges[0] == pytest.approx(-0.05)
    grid = build_section(drawing(block, box=(-30, -40, 250, 60))).grid
    assert grid.x_edges[[0, -1]].tolist() == [-0.03, 0.25]
    assert grid.y_edges[[0, -1]].tolist() == [-0.04, 0.06]


BLOCK = part(rectangle(0, 0, 20, 20))
LINER = part(rectangle(5, 5, 5.1, 15), "liner", "sleeve")


@pytest.mark.parametrize(
    ("parts", "cell", "key", "words"),
    [
        ([BLOCK, part(rectangle(500, 0, 520, 20), "far")], 2, ("part", 1), '"far" lies outside'),
        ([BLOCK, part(rectangle(0, 0, 20, 20), "c", "core")], 2, ("part",), "no metal shows"),
        ([BLOCK, LINER], 2, ("section", "cell"), 'too coarse for "liner"'),
        ([BLOCK], 0.001, ("section", "cell"), "makes 900,000,000 cells"),
        (
            [part(polygon((0, 0), (20, 20), (20, 0), (0, 20)))],
            2,
            ("part", 0),
            "an outline that crosses itself",
        ),
    ],
)
def test_faults_come_with_their_key(parts, cell, key, words):
    reported = []
    case = drawing(*parts, box=(-40, -40, 60, 60), cell=cell)
    with pytest.raises(SectionError, match=words):
        build_section(case, report=lambda *fault: reported.append(fault))
    assert [fault[0] for fault in reported] == [key]
    assert all(reported[0][1:])


def test_no_metal_is_a_fault_before_any_default_is_sought():
    with pytest.raises(SectionError, match="no metal shows"):
        build_section(drawing(BLOCK, part(rectangle(-1, -1, 21, 21), "core", "core")))


def test_the_cell_to_write_is_one_that_works():
    reported = []
    case = drawing(BLOCK, LINER, cell=2)
    with pytest.raises(SectionError):
        build_section(case, report=lambda *fault: reported.append(fault))
    assert reported[0][3] == '"0.099 mm"'
    assert build_section(drawing(BLOCK, LINER, cell=0.099)).part_cells("liner").any()


def test_too_coarse_a_disk_is_warned_of_with_its_error():
    section = build_section(drawing(part(circle(0, 0, 12)), cell=5))
    made = section.parts[0]
    error = made.gridded_area / made.drawn_area - 1.0
    assert abs(error) > TOLERANCE
    assert section.warnings == (
        f'part "block": its cells have {abs(error):.1%} {"more" if error > 0 else "less"} area '
        "than the drawing; a finer cell comes nearer",
    )


def test_what_was_painted_over_or_left_sharp_or_moved_is_said():
    comb = polygon(*[(0, 0), (100, 0), (100, 60), (55, 60), (55, 20), (45, 20), (45, 60), (0, 60)])
    section = build_section(
        drawing(
            part(rectangle(10, 10, 20, 20), "pin"),
            part(comb, "comb", fillet="8 mm"),
            part(rectangle(0, 60.1, 45, 80), "cap", "chill"),
            cell=2,
        ),
        units="inch",
    )
    said = "\n".join(section.warnings)
    assert 'part "pin" is painted over by later parts' in said
    assert 'part "comb": no room for the fillet of 0.315 in' in said
    assert "the side at y = " in said
    assert "mm" not in said


def test_only_cells_along_an_outline_are_cut(monkeypatch):
    """The cost of painting 40,000 cells is that of the few cells that an outline meets."""
    cut, intersection = [], shapely.intersection

    def counted(shape, others):
        cut.append(np.size(others))
        return intersection(shape, others)

    monkeypatch.setattr(shapely, "intersection", counted)
    section = build_section(bracket(cell=1.25, depth=40))
    cells = section.part_index.size
    assert cells > 40_000
    assert sum(cut) < 0.15 * cells
