"""The film shows the right metal at the right time, plays anywhere, and falls back aloud."""

import dataclasses
import sys
import time

import av
import matplotlib
import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from PIL import Image
from synthetic_run import synthetic_run

from solidsim.errors import ResultsError
from solidsim.pictures import encoding, make_film
from solidsim.pictures.film import end_of_film, film_pictures
from solidsim.pictures.film_sheet import lay_film_sheet
from solidsim.pictures.outlines import visible_shapes
from solidsim.pictures.style import LATE_MAP, settings


@pytest.fixture(scope="module")
def run():
    return synthetic_run(cell_mm=2.0, frames=16)


def warmth_at(run, moment):
    """Slow twin: every cell between its frames, one by one; the liquidus at 0.65."""
    hot = run.alloy.pour_temperature - run.alloy.liquidus
    above = np.clip((run.frames.temperature - run.alloy.liquidus) / hot, 0.0, 1.0)
    warmth = 0.65 * (1.0 - run.frames.solid_fraction) + 0.35 * above
    return np.array(
        [
            np.interp(moment, run.frames.times, history)
            for history in warmth.reshape(run.frames.times.size, -1).T
        ]
    ).reshape(run.section.grid.shape)


@pytest.mark.parametrize("share", [0.0, 0.31, 0.77, 1.0])
def test_metal_has_the_color_of_its_warmth(run, share):
    moment = share * end_of_film(run)
    pictures = film_pictures(run, np.array([moment, end_of_film(run)]))
    picture = next(pictures)
    with settings():
        sheet = lay_film_sheet(run, end_of_film(run))
    grid, warmth = run.section.grid, warmth_at(run, moment)
    inner = [(j, i) for j in range(20, 26) for i in range(46, 54)]  # of the hub, off its names
    inner += [(j, i) for j in range(55, 80) for i in range(42, 58)]  # of the feeder
    places = [(grid.x_centers[i], grid.y_centers[j]) for j, i in inner]
    x, y = sheet.axes.transData.transform(places).T
    seen = picture[(picture.shape[0] - y).astype(int), x.astype(int), :3].astype(int)
    values = np.array([warmth[cell] for cell in inner])
    expected = matplotlib.colormaps[LATE_MAP](values)[:, :3] * 255.0
    assert np.abs(seen - expected).max() <= 9  # half a pixel of the steepest front, in levels


def test_in_the_drawing_only_metal_moves(run):
    first, last = film_pictures(run, np.array([0.0, end_of_film(run)]))
    with settings():
        sheet = lay_film_sheet(run, end_of_film(run))
    rows, columns = np.nonzero((first != last).any(axis=-1))
    box = sheet.axes.bbox
    drawing = (columns < box.x1) & (first.shape[0] - rows > box.y0)
    x, y = sheet.places_of(rows[drawing] * first.shape[1] + columns[drawing])
    bodies = shapely.union_all(visible_shapes(run.section)).buffer(0.0005)
    assert shapely.contains_xy(bodies, x, y).all()
    scale = np.prod(box.size) / np.prod(
        [*np.ptp([sheet.axes.get_xlim(), sheet.axes.get_ylim()], 1)]
    )
    metal = run.section.grid.cell_areas[run.metal].sum() * scale
    assert 0.9 * metal < drawing.sum() <= 1.02 * metal


def test_the_film_ends_when_all_metal_is_solid(run):
    least = run.frames.solid_fraction[:, run.metal].min(axis=1)
    end = end_of_film(run)
    assert least[run.frames.times == end] >= 0.999
    assert (least[run.frames.times < end] < 0.999).all()
    frames = run.frames
    liquid = dataclasses.replace(frames, solid_fraction=np.zeros_like(frames.solid_fraction))
    assert end_of_film(dataclasses.replace(run, frames=liquid)) == frames.times[-1]


def test_an_mp4_plays_anywhere(run, tmp_path):
    told = []
    film = make_film(
        run, tmp_path / "b.mp4", seconds=2.0, progress=lambda *state: told.append(state)
    )
    assert str(film) == str(tmp_path / "b.mp4")
    assert film.warning is None
    assert [path.name for path in tmp_path.iterdir()] == ["b.mp4"]
    with av.open(str(film.path)) as container:
        stream = container.streams.video[0]
        assert (stream.codec_context.name, stream.pix_fmt) == ("h264", "yuv420p")
        pictures = [frame.to_ndarray(format="rgb24") for frame in container.decode(stream)]
    assert len(pictures) == film.frames == 30
    assert pictures[0].shape == (720, 960, 3)
    assert [share for _, share, _ in told] == pytest.approx(np.arange(1, 31) / 30)
    assert told[-1][0] == end_of_film(run)
    light = [picture[150:250, 330:420].mean() for picture in pictures]
    assert light[0] > light[15] > light[-1]


def test_without_an_encoder_it_is_a_webp_and_says_so(run, tmp_path, monkeypatch):
    monkeypatch.setattr(encoding, "has_encoder", lambda: False)
    film = make_film(run, tmp_path / "b.mp4", seconds=0.4)
    assert film.path == tmp_path / "b.webp"
    assert "no H.264 encoder found" in film.warning
    with Image.open(film.path) as picture:
        assert (picture.format, picture.n_frames, picture.size) == ("WEBP", 6, (960, 720))


def test_a_missing_library_is_a_missing_encoder(monkeypatch):
    assert encoding.has_encoder()
    monkeypatch.setitem(sys.modules, "av", None)
    assert not encoding.has_encoder()


def test_a_gif_on_request(run, tmp_path):
    film = make_film(run, tmp_path / "b.gif", seconds=0.4)
    assert film.warning is None
    with Image.open(film.path) as picture:
        assert (picture.format, picture.n_frames) == ("GIF", 6)


def test_what_cannot_be_filmed_is_said(run, tmp_path):
    frames = run.frames
    short = dataclasses.replace(
        frames,
        times=frames.times[:1],
        temperature=frames.temperature[:1],
        solid_fraction=frames.solid_fraction[:1],
    )
    with pytest.raises(ResultsError, match="fewer than two frames"):
        make_film(dataclasses.replace(run, frames=short), tmp_path / "b.mp4")
    with pytest.raises(ResultsError, match=r"name it \.mp4, \.webp or \.gif"):
        make_film(run, tmp_path / "b.avi")
    with pytest.raises(ResultsError, match=r"cannot write b\.mp4"):
        make_film(run, tmp_path / "nowhere" / "b.mp4", seconds=0.4)


def test_a_film_that_breaks_off_leaves_the_old_one(run, tmp_path):
    film = tmp_path / "b.mp4"
    film.write_bytes(b"the old film")

    def broken():
        yield np.zeros((64, 64, 4), dtype=np.uint8)
        raise OSError("the disk is full")

    with pytest.raises(ResultsError, match="the disk is full"):
        encoding.write_frames(broken(), film, 15)
    assert film.read_bytes() == b"the old film"


def test_pixels_beyond_the_cells_take_the_nearest_metal(run):
    """A shifted mask leaves pixels of the outline without a metal cell around them."""
    index = np.where(np.roll(run.metal, 3, axis=1) & run.metal, run.section.part_index, 0)
    bare = dataclasses.replace(
        run, section=dataclasses.replace(run.section, part_index=index.astype(np.int16))
    )
    picture = next(film_pictures(bare, np.array([0.0, end_of_film(run)])))
    assert_allclose(picture[..., 3], 255)
    bright = matplotlib.colormaps[LATE_MAP](1.0)[:3]
    with settings():
        sheet = lay_film_sheet(bare, 1.0)
    x, y = sheet.axes.transData.transform((0.0735, 0.14))  # just inside the drawn feeder
    seen = picture[int(picture.shape[0] - y), int(x), :3] / 255.0
    assert_allclose(seen, bright, atol=0.03)


@pytest.mark.slow
def test_a_film_of_120_frames_takes_under_4_s_of_one_core(tmp_path):
    whole = synthetic_run(cell_mm=1.0, frames=120)
    start = time.process_time()
    make_film(whole, tmp_path / "b.mp4", seconds=8.0)
    assert time.process_time() - start < 4.0
