"""Depth of cells and volumes of round parts against bodies whose volume is known."""

import numpy as np
import pytest
from drawing import bracket, circle, drawing, part, polygon, rectangle

from solidsim.section.building import build_section


def only(section):
    (made,) = section.parts
    return made


@pytest.mark.parametrize("cell", [1.0, 1.7, 3.0, 6.0])
def test_round_rectangle_is_a_cylinder(cell):
    made = only(build_section(drawing(part(rectangle(5, 0, 65, 90), depth="round"), cell=cell)))
    exact = np.pi * 0.06**2 / 4.0 * 0.09
    assert made.drawn_volume == pytest.approx(exact, rel=1e-12)
    assert made.gridded_volume == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize("cell", [1.0, 1.7, 3.0])
def test_round_taper_is_a_cone_frustum(cell):
    taper = polygon((10, 0), (50, 0), (60, 90), (0, 90))
    made = only(build_section(drawing(part(taper, depth="round"), cell=cell)))
    exact = np.pi * 0.09 / 3.0 * (0.02**2 + 0.02 * 0.03 + 0.03**2)
    assert made.drawn_volume == pytest.approx(exact, rel=1e-12)
    assert made.gridded_volume == pytest.approx(exact, rel=5e-3)


def test_round_part_may_lean():
    leaning = polygon((0, 0), (40, 0), (70, 60), (30, 60))
    made = only(build_section(drawing(part(leaning, depth="round"), cell=1)))
    assert made.drawn_volume == pytest.approx(np.pi * 0.02**2 * 0.06, rel=1e-12)
    assert made.gridded_volume == pytest.approx(made.drawn_volume, rel=5e-3)


@pytest.mark.parametrize("view", ["upright", "round"])
def test_a_disk_becomes_a_ball(view):
    box = (0, 0, 120, 120) if view == "round" else None
    shape = circle(0 if view == "round" else 60, 60, 30)
    made = only(build_section(drawing(part(shape, depth="round"), box=box, view=view, cell=1)))
    exact = 4.0 / 3.0 * np.pi * 0.03**3
    assert made.drawn_volume == pytest.approx(exact, rel=1e-4)
    assert made.gridded_volume == pytest.approx(exact, rel=5e-3)


def test_half_a_round_part_at_the_side_of_the_box_keeps_its_axis():
    whole = part(rectangle(-30, 0, 30, 90), depth="round")
    made = only(build_section(drawing(whole, box=(0, -50, 100, 140), cell=1.5)))
    half = np.pi * 0.03**2 * 0.09 / 2.0
    assert made.drawn_volume == pytest.approx(half, rel=1e-12)
    assert made.gridded_volume == pytest.approx(half, rel=1e-12)


def test_what_is_painted_over_a_round_part_is_missing_from_its_volume():
    """A bore of 20 mm square through a cylinder of 60 mm, out of the page."""
    core = part(rectangle(20, 40, 40, 60), "core", "core")
    section = build_section(drawing(part(rectangle(0, 0, 60, 90), depth="round"), core, cell=2))
    u = 0.01
    chords = 2.0 * (u * np.sqrt(0.03**2 - u**2) + 0.03**2 * np.arcsin(u / 0.03))
    exact = np.pi * 0.03**2 * 0.09 - chords * 0.02
    assert section.parts[0].drawn_volume == pytest.approx(exact, rel=1e-12)
    assert section.parts[0].gridded_volume == pytest.approx(exact, rel=1e-12)


def test_bushing_in_the_round_view_is_turned_about_the_left_edge():
    section = build_section(drawing(part(rectangle(30, 0, 50, 80)), view="round"))
    exact = np.pi * (0.05**2 - 0.03**2) * 0.08
    assert only(section).drawn_volume == pytest.approx(exact, rel=1e-12)
    assert only(section).gridded_volume == pytest.approx(exact, rel=1e-12)
    assert section.grid.x_edges[0] == 0.0
    assert (section.depth == 1.0).all()


def test_mold_is_as_deep_as_the_nearest_metal_and_widens_from_it():
    section = build_section(
        drawing(
            part(rectangle(0, 0, 20, 20), "thin", depth="15 mm"),
            part(rectangle(60, 0, 80, 20), "deep", depth="45 mm"),
            part(rectangle(0, -10, 20, 0), "chill", "chill"),
            part(rectangle(60, -10, 80, 0), "deep chill", "chill", depth="30 mm"),
            cell=2,
        )
    )
    x, y = section.grid.x_centers, section.grid.y_centers
    above = y > 0.02
    over_thin = section.depth[np.ix_(above, (x > 0.0) & (x < 0.02))]
    over_deep = section.depth[np.ix_(above, (x > 0.06) & (x < 0.08))]
    skin = y[y < 0.02].max()
    widened = 0.766 * np.pi / 2.0 * (y[above] - skin)[:, None]
    np.testing.assert_allclose(
        over_thin, 0.015 + np.broadcast_to(widened, over_thin.shape), rtol=1e-3
    )
    np.testing.assert_allclose(
        over_deep, 0.045 + np.broadcast_to(widened, over_deep.shape), rtol=1e-3
    )
    assert (section.depth[section.part_cells("chill")] == 0.015).all()
    assert (section.depth[section.part_cells("deep chill")] == 0.030).all()


def test_standard_depth_is_for_metal_and_a_part_may_differ():
    section = build_section(bracket(depth=40, cell=2))
    assert (section.depth[section.part_cells("web")] == 0.040).all()
    assert section.depth[section.part_cells("feeder")].max() == pytest.approx(0.060, rel=0.01)
    through = build_section(bracket(cell=2))
    assert (through.depth[through.part_cells("web")] == 1.0).all()
    assert np.isfinite(section.depth).all()
    assert (section.depth > 0.0).all()
