"""The film of a fill shows metal where it is, air that is shut in, and the way metal moves."""

import dataclasses

import numpy as np
import pytest
from synthetic_run import synthetic_run

from solidsim.fill.record import fill_record
from solidsim.pictures.film import end_of_film, end_of_pour, film_clock, film_pictures
from solidsim.pictures.film_metal import FilmMetal
from solidsim.pictures.film_sheet import bar_place, lay_film_sheet
from solidsim.pictures.style import settings
from solidsim.results.run import FlowFrames, Frames

POURED = 4  # frames


@pytest.fixture(scope="module")
def run():
    """A bracket that fills from below in 4 s, with 32 cells of air shut in its hub."""
    plain = synthetic_run(cell_mm=2.0, frames=12)
    grid, metal = plain.section.grid, plain.metal
    times = np.concatenate([np.linspace(0.0, 4.0, POURED), 20.0 + plain.frames.times])
    levels = np.linspace(0.025, 0.18, POURED)
    filled = metal & (grid.y_centers[None, :, None] < levels[:, None, None])
    filled[1:3, 28:32, 46:54] = False  # in the hub, below the surface
    still, moving = np.zeros(filled.shape, "f2"), np.where(filled, 0.4, 0.0).astype("f2")
    first = np.where(filled, plain.alloy.pour_temperature, np.nan).astype("f4")
    hot = np.where(metal, first, plain.frames.temperature[0])
    solid = np.where(filled | ~metal, 0.0, np.nan).astype("f4")
    frames = Frames(
        times,
        np.concatenate([hot, plain.frames.temperature]),
        np.concatenate([solid, plain.frames.solid_fraction]),
        FlowFrames(filled.astype("f2"), still, moving),
    )
    return dataclasses.replace(plain, frames=frames, fill=record(), section=opened(plain.section))


def opened(section):
    """The section with the top of its feeder under air."""
    air = dataclasses.replace(section.parts[-1], name="open top", role="air")
    index = section.part_index.copy()
    index[86:90, 36:64] = len(section.parts) + 1
    return dataclasses.replace(section, parts=(*section.parts, air), part_index=index)


def record():
    alike = {"flows": [[2e-4], [1e-4]], "temperatures": [[1640.0], [1640.0]]}
    numbers = dict.fromkeys(("wanted_time", "trap_velocity", "heat_gap", "flow_stop"), 0.0)
    return fill_record(
        {
            "mouths": ["ingate"], "parts": ["hub"], "areas": [5e-4], "times": [0.0, 2.0],
            "basin_levels": [0.04, 0.04], "sprue_full": [True, True], "solved": True,
            "fill_time": 4.0, "volume": 1e-4, "filled": 1e-4, "poured_heat": 1.0, "places": [],
            **alike, **numbers,
        }
    )  # fmt: skip


@pytest.fixture(scope="module")
def metal(run):
    with settings():
        sheet = lay_film_sheet(run, end_of_film(run), end_of_pour(run))
        return sheet, FilmMetal(run, sheet)


def test_the_pour_is_drawn_out(run):
    clock = film_clock(end_of_film(run), end_of_pour(run), 40)
    assert end_of_pour(run) == 4.0
    assert (clock < 4.0).sum() == 20
    assert clock[0] == 0.0
    assert clock[-1] == end_of_film(run)
    assert (np.diff(clock) >= 0.0).all()
    places = [bar_place(time, clock[-1], 4.0) for time in (0.0, 2.0, 4.0, clock[-1])]
    assert places == [0.0, 0.25, 0.5, 1.0]


def test_what_has_come_and_what_is_shut_in(run, metal):
    moment = metal[1].at(run.frames.times[2] + 0.01)
    volumes = run.section.volumes[run.metal]
    there = run.frames.flow.filled[2][run.metal]
    assert moment.filled_share == pytest.approx((there * volumes).sum() / volumes.sum())
    assert moment.air == pytest.approx(32 * 2e-3**2 * 0.04)
    assert moment.solid_share == 0.0
    assert metal[1].at(10.0).velocity is None


def colors_at(run, sheet, picture, x, y):
    across, up = sheet.axes.transData.transform((x, y))
    return picture[int(picture.shape[0] - up), int(across), :3]


def test_metal_is_bright_empty_room_white_and_shut_in_air_gray(run, metal):
    sheet = metal[0]
    time = run.frames.times[2] + 0.01
    first, last = film_pictures(run, np.array([time, end_of_film(run)]))
    assert tuple(colors_at(run, sheet, first, 0.096, 0.0575)) == (214, 214, 214)
    assert tuple(colors_at(run, sheet, first, 0.1, 0.16)) == (255, 255, 255)
    hot = colors_at(run, sheet, first, 0.09, 0.045).astype(int)
    assert hot[0] > 230
    assert hot[2] < 90
    assert colors_at(run, sheet, last, 0.1, 0.16).max() < 110


def test_arrows_stand_in_moving_metal_and_go_with_it(run):
    with settings():
        sheet = lay_film_sheet(run, end_of_film(run))
        arrows = sheet.arrows
        flow = run.frames.flow
        arrows.set_velocity(flow.velocity_x[2], flow.velocity_y[2])
    u, v = arrows.quiver.U, arrows.quiver.V
    shown = ~arrows.quiver.Umask if np.ndim(arrows.quiver.Umask) else np.ones(u.size, bool)
    assert 10 < shown.sum() < 80
    np.testing.assert_allclose(u[shown], 0.0)
    np.testing.assert_allclose(v[shown], 0.4, rtol=1e-3)
    places = arrows.quiver.get_offsets()[shown]
    j = np.searchsorted(run.section.grid.y_edges, places[:, 1]) - 1
    i = np.searchsorted(run.section.grid.x_edges, places[:, 0]) - 1
    assert (flow.filled[2][j, i] == 1.0).all()


def test_metal_that_was_there_at_once_has_no_arrows():
    plain = synthetic_run(cell_mm=4.0, frames=6)
    with settings():
        assert lay_film_sheet(plain, 100.0).arrows is None
    assert end_of_pour(plain) == 0.0
