"""The bones of a drawing: outlines, names beside parts, scales and round numbers."""

import dataclasses
import itertools

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from synthetic_run import synthetic_run, synthetic_section

from solidsim.pictures.labels import Name, place_names
from solidsim.pictures.outlines import close_up, metal_shape, spread_field, visible_shapes
from solidsim.pictures.scale import bar_length, round_times
from solidsim.pictures.style import bare, new_figure
from solidsim.section.layout import Part


def ring(x0, y0, x1, y1):
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]])


def test_later_parts_cover_earlier_ones_and_holes_stay_open():
    section = synthetic_section(5.0)
    parts = (
        Part("plate", "casting", (ring(0, 0, 4, 4), ring(1, 1, 3, 3)), 0, 0, 0, 0),
        Part("pin", "core", (ring(0, 0, 1, 4),), 0, 0, 0, 0),
    )
    section = dataclasses.replace(section, parts=parts)
    plate, pin = visible_shapes(section)
    assert plate.area == pytest.approx(16 - 4 - 4)
    assert pin.area == pytest.approx(4)
    assert not plate.contains(shapely.Point(2, 2))
    assert metal_shape(section, [plate, pin]).equals(plate)


@pytest.mark.parametrize("aspect", [0.5, 1.2, 4.0])
def test_a_close_up_holds_all_parts_and_stays_in_the_mold(aspect):
    section = synthetic_section(5.0)
    left, bottom, right, top = close_up(section, aspect)
    assert 0 <= left < 0.02
    assert 0.18 < right <= 0.2
    assert 0 <= bottom < 0.014
    assert 0.172 < top <= 0.2


def test_a_field_spreads_to_the_outline_and_stays_as_it_was_inside():
    run = synthetic_run(cell_mm=4.0, frames=3)
    times = run.fields["freezing_time"]
    x, y, spread = spread_field(run.section, times)
    assert spread.shape == (y.size, x.size)
    assert (x[0], x[-1]) == (run.section.grid.x_edges[0], run.section.grid.x_edges[-1])
    inside = spread[1:-1, 1:-1]
    np.testing.assert_array_equal(inside[run.metal], times[run.metal])
    rows, columns = np.nonzero(run.metal)
    for row, column in itertools.product((-1, 0, 1), (-1, 0, 1)):
        assert np.isfinite(inside[rows + row, columns + column]).all()
    known = inside[np.isfinite(inside)]
    assert known.min() >= np.nanmin(times)
    assert known.max() <= np.nanmax(times)


def test_metal_without_a_value_stays_without_one():
    run = synthetic_run(cell_mm=4.0, frames=3)
    times = run.fields["freezing_time"].copy()
    feeder = run.section.part_cells("feeder")
    times[feeder] = np.nan
    spread = spread_field(run.section, times)[2][1:-1, 1:-1]
    assert np.isnan(spread[feeder]).all()


@pytest.mark.parametrize("seed", range(6))
def test_names_cover_neither_parts_nor_each_other(seed):
    """Seven small parts at random: every name beside its part, all names apart."""
    rng = np.random.default_rng(seed)
    figure = new_figure(6.0, 6.0)
    axes = bare(figure.add_axes((0, 0, 1, 1)))
    axes.set(xlim=(0, 1), ylim=(0, 1))
    corners = rng.uniform(0.15, 0.8, (7, 2))
    shapes = [shapely.box(x, y, x + 0.04, y + 0.04) for x, y in corners]
    names = [Name(f"part {number}", shape) for number, shape in enumerate(shapes)]
    placed = place_names(axes, names, shapes)
    assert len(placed) == len(names) == len(axes.texts)
    boxes = [shapely.box(*text.get_window_extent().extents) for text in axes.texts]
    on_sheet = [shapely.transform(shape, axes.transData.transform) for shape in shapes]
    for box in boxes:
        assert not any(box.intersects(shape) for shape in on_sheet)
    assert not any(one.intersects(other) for one, other in itertools.combinations(boxes, 2))


def test_a_name_goes_inside_in_lines_or_upright_where_it_fits():
    figure = new_figure(6.0, 6.0)
    axes = bare(figure.add_axes((0, 0, 1, 1)))
    axes.set(xlim=(0, 1), ylim=(0, 1))
    shapes = {
        "wide": shapely.box(0.05, 0.05, 0.45, 0.15),
        "two lines": shapely.box(0.55, 0.05, 0.65, 0.25),
        "upright": shapely.box(0.75, 0.05, 0.8, 0.45),
    }
    place_names(axes, [Name(name, shape) for name, shape in shapes.items()], list(shapes.values()))
    found = [(text.get_text(), text.get_rotation()) for text in axes.texts]
    assert found == [("wide", 0.0), ("two\nlines", 0.0), ("upright", 90.0)]


def test_a_name_without_room_is_left_out():
    figure = new_figure(2.0, 2.0)
    axes = bare(figure.add_axes((0, 0, 1, 1)))
    shape = shapely.box(0.2, 0.2, 0.8, 0.8)
    axes.set(xlim=(0, 1), ylim=(0, 1))
    assert (
        place_names(axes, [Name("a part with a name as long as a rainy day", shape)], [shape]) == []
    )
    assert not axes.texts


@pytest.mark.parametrize(
    ("most", "units", "expected"),
    [
        (0.0561, "metric", 0.05),
        (0.02, "metric", 0.02),
        (0.0019, "metric", 0.001),
        (0.056, "inch", 2 * 0.0254),
        (0.02, "inch", 0.5 * 0.0254),
        (0.30, "inch", 10 * 0.0254),
    ],
)
def test_scale_bars_are_round(most, units, expected):
    assert_allclose(bar_length(most, units), expected)


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (0.0, 0.75, 8, [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8]),
        (15.0, 900.0, 9, [0, 120, 240, 360, 480, 600, 720, 840, 960]),
        (500.0, 503.0, 8, [500, 500.5, 501, 501.5, 502, 502.5, 503]),
        (0.0, 4 * 3600.0, 8, [0, 1800, 3600, 5400, 7200, 9000, 10800, 12600, 14400]),
        (60.0, 60.0, 8, [60.0, 60.1]),
    ],
)
def test_times_are_round_and_hold_the_range(low, high, most, expected):
    assert_allclose(round_times(low, high, most), expected)
