"""Pictures are whole, legible and true: sizes, overlaps, colors, units, findings."""

import dataclasses
import subprocess
import sys
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.text import Text
from PIL import Image
from synthetic_run import synthetic_run, unfinished

from solidsim.errors import ResultsError
from solidsim.pictures import curves, draw_curves, draw_freezing, draw_section, freezing, section
from solidsim.pictures.film_sheet import lay_film_sheet
from solidsim.pictures.style import LATE_MAP, ROLE_LOOKS, save_figure, settings

TESTS = Path(__file__).parents[2]
DRAWN = {"freezing": (freezing, draw_freezing), "curves": (curves, draw_curves)}


@pytest.fixture(params=["metric", "inch"])
def run(request):
    return synthetic_run(cell_mm=2.0, frames=8, units=request.param)


@pytest.fixture
def keep(monkeypatch):
    """Give the last figure that a module saved."""
    kept = {}

    def watch(module):
        def save(figure, path):
            kept["figure"] = figure
            return save_figure(figure, path)

        monkeypatch.setattr(module, "save_figure", save)
        return lambda: kept["figure"]

    return watch


def draw(name, run, keep, path):
    """The figure of a picture by its name."""
    if name == "film":
        with settings():
            sheet = lay_film_sheet(run, float(run.frames.times[-1]))
            ground = sheet.draw_ground("#000000")
            sheet.set_clock(float(run.frames.times[-1]) / 2)
            sheet.set_share(0.5)
            sheet.draw_moving(ground)
        return sheet.axes.figure
    if name == "section":
        figure = keep(section)
        draw_section(run.section, path, run.title, run.units)
        return figure()
    module, function = DRAWN[name]
    figure = keep(module)
    function(run, path)
    return figure()


def texts_of(figure):
    """All texts that are drawn, the moving ones of the film included."""
    drawn = []
    plain_draw = Text.draw
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            Text, "draw", lambda text, *rest: drawn.append(text) or plain_draw(text, *rest)
        )
        figure.canvas.draw()
    moving = [text for text in figure.findobj(Text) if text.get_animated()]
    texts = dict.fromkeys([*drawn, *moving])
    return [text for text in texts if text.get_visible() and text.get_text().strip()]


def luminance(color):
    """Relative luminance of sRGB (IEC 61966-2-1), shape (..., 3)."""
    color = np.asarray(color, dtype=float)
    linear = np.where(color <= 0.04045, color / 12.92, ((color + 0.055) / 1.055) ** 2.4)
    return linear @ [0.2126, 0.7152, 0.0722]


@pytest.mark.parametrize("name", ["section", "freezing", "curves", "film"])
def test_all_words_are_large_enough_on_the_sheet_and_clear_of_each_other(name, run, keep, tmp_path):
    figure = draw(name, run, keep, tmp_path / "picture.png")
    texts = texts_of(figure)
    boxes = [Text.get_window_extent(text) for text in texts]
    assert len(texts) > 8
    for text, box in zip(texts, boxes, strict=True):
        assert text.get_fontsize() >= 9.0, text.get_text()
        assert box.x0 >= 0, text.get_text()
        assert box.y0 >= 0, text.get_text()
        assert box.x1 <= figure.bbox.x1, text.get_text()
        assert box.y1 <= figure.bbox.y1, text.get_text()
    for one in range(len(texts)):
        for other in range(one):
            words = (texts[one].get_text(), texts[other].get_text())
            assert not boxes[one].overlaps(boxes[other]), words


@pytest.mark.parametrize("name", ["section", "freezing", "curves", "film"])
def test_words_are_in_the_units_of_the_user(name, run, keep, tmp_path):
    said = " ".join(text.get_text() for text in texts_of(draw(name, run, keep, tmp_path / "p.png")))
    own, other = (("mm", " in"), ("°C", "°F"))
    for metric, inch in [other] if name == "curves" else [own]:
        expected, foreign = (metric, inch) if run.units == "metric" else (inch, metric)
        assert expected in said
        assert foreign not in said.replace(" in ", " ")


def test_the_section_names_every_part_with_its_size(run, keep, tmp_path):
    said = [text.get_text() for text in texts_of(draw("section", run, keep, tmp_path / "s.png"))]
    for part in run.section.parts:
        assert any(part.name == text.replace("\n", " ") for text in said), part.name
    if run.units == "metric":
        assert "metal 160 mm" in said
        assert "mold 200 mm" in said
        assert "56 mm × 76 mm, 40 mm deep" in said


def test_the_freezing_map_numbers_and_spells_out_its_findings(run, keep, tmp_path):
    said = [text.get_text() for text in texts_of(draw("freezing", run, keep, tmp_path / "f.png"))]
    assert "1" in said
    assert "★" in said
    assert any(text.startswith("1: 8 min 5") for text in said)
    assert "last of all: 15 min" in said
    assert any(text.startswith("1  ✗ fails: hot spot in hub") for text in said)
    assert any(text.startswith("1  ✓ holds: feeder freezes last") for text in said)


def colors_at_cells(figure, path, run, cells):
    """Colors of a picture at the middles of some cells of its drawing, shape (n, 3)."""
    picture = np.asarray(Image.open(path).convert("RGB")) / 255.0
    rows, columns = np.nonzero(cells)
    grid = run.section.grid
    places = np.column_stack([grid.x_centers[columns], grid.y_centers[rows]])
    x, y = figure.axes[0].transData.transform(places).astype(int).T
    return picture[picture.shape[0] - 1 - y, x]


def test_the_freezing_map_is_brighter_the_later_metal_freezes(run, keep, tmp_path):
    figure = draw("freezing", run, keep, tmp_path / "f.png")
    light = luminance(colors_at_cells(figure, tmp_path / "f.png", run, run.metal))
    order = np.argsort(run.fields["freezing_time"][run.metal])
    groups = [np.median(group) for group in np.array_split(light[order], 6)]
    assert groups == sorted(groups)
    assert groups[-1] > 5 * groups[0]


def test_metal_that_never_froze_is_hatched_not_colored(run, keep, tmp_path):
    times, feeder = run.fields["freezing_time"].copy(), run.section.part_cells("feeder")
    times[feeder] = np.nan
    some = dataclasses.replace(run, fields={"freezing_time": times}, findings=())
    figure = draw("freezing", some, keep, tmp_path / "f.png")
    colored = {}
    for name in ("feeder", "hub"):
        colors = colors_at_cells(figure, tmp_path / "f.png", some, run.section.part_cells(name))
        colored[name] = np.mean(np.ptp(colors, axis=1) > 0.15)
    assert colored["feeder"] < 0.02
    assert colored["hub"] > 0.4


def test_what_cannot_be_drawn_is_said(run, tmp_path):
    with pytest.raises(ResultsError, match="before any metal was solid"):
        draw_freezing(unfinished(run), tmp_path / "f.png")
    with pytest.raises(ResultsError, match=r"add a \[\[probe\]\]"):
        draw_curves(unfinished(run), tmp_path / "c.png")
    with pytest.raises(ResultsError, match=r"cannot draw s\.odd"):
        draw_section(run.section, tmp_path / "s.odd", run.title, run.units)
    with pytest.raises(ResultsError, match=r"cannot draw s\.png"):
        draw_section(run.section, tmp_path / "nowhere" / "s.png", run.title, run.units)


def test_long_runs_get_a_close_look_at_the_freezing(run, keep, tmp_path):
    long = dataclasses.replace(
        run,
        probes=tuple(
            dataclasses.replace(
                probe,
                times=np.append(probe.times, 4 * 3600.0),
                temperatures=np.append(probe.temperatures, 600.0),
            )
            for probe in run.probes
        ),
    )
    figure = draw("curves", long, keep, tmp_path / "c.png")
    assert [axes.get_xlim()[1] for axes in figure.axes] == [1080.0, 4 * 3600.0]
    assert [axes.get_xlabel() for axes in figure.axes] == [
        "time after the pour (min)",
        "time after the pour (h)",
    ]


@pytest.mark.parametrize("seed", range(5))
def test_labels_at_the_ends_of_curves_are_spaced(seed):
    places = np.random.default_rng(seed).uniform(0.0, 100.0, 8)
    moved = curves.spaced(places, 9.0)
    order = np.argsort(places)
    assert (np.diff(moved[order]) >= 9.0 - 1e-9).all()
    far = np.arange(5) * 20.0
    np.testing.assert_array_equal(curves.spaced(far, 9.0), far)


def test_color_maps_rise_in_lightness():
    shades = matplotlib.colormaps[LATE_MAP](np.linspace(0.0, 1.0, 64))[:, :3]
    assert (np.diff(luminance(shades)) > 0.0).all()


@pytest.mark.parametrize("role", ROLE_LOOKS)
def test_no_part_wears_a_hot_color(role):
    red, green, blue = to_rgb(ROLE_LOOKS[role][0])
    assert red <= max(green, blue) + 0.01


def test_pictures_need_no_display_and_leave_matplotlib_as_it_was(tmp_path):
    program = (
        "import sys, matplotlib; before = dict(matplotlib.rcParams)\n"
        "from solidsim.pictures import draw_section\n"
        "from synthetic_run import synthetic_section\n"
        "draw_section(synthetic_section(5.0), sys.argv[1], 'bracket', 'metric')\n"
        "assert dict(matplotlib.rcParams) == before\n"
        "assert 'matplotlib.pyplot' not in sys.modules\n"
    )
    path = tmp_path / "section.png"
    environment = {"PYTHONPATH": f"{TESTS}:{TESTS.parent}", "MPLBACKEND": "tkagg"}
    command = [sys.executable, "-c", program, path]
    subprocess.run(command, env=environment, check=True, capture_output=True)
    assert Image.open(path).width > 1000
