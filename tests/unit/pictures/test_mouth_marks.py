"""Marks of mouths: outside the metal, with their tip on its wall, and named."""

import dataclasses

import numpy as np
import pytest
from matplotlib.patches import Polygon
from matplotlib.text import Text
from synthetic_run import synthetic_run

from solidsim.fill.record import Inlet
from solidsim.pictures import section
from solidsim.pictures.mouth_marks import LENGTH, mark_mouths
from solidsim.pictures.style import bare, new_figure, save_figure, settings

LEFT = Inlet("side gate", 0.02, 0.05, 1.0, 0.0)
BELOW = Inlet("", 0.05, 0.0, 0.0, 1.0)
PLAN = Inlet("", 0.05, 0.05, 0.0, 0.0)


@pytest.fixture
def axes():
    figure = new_figure(4.0, 4.0)
    axes = bare(figure.add_axes((0.0, 0.0, 1.0, 1.0)))
    axes.set(xlim=(-0.02, 0.12), ylim=(-0.02, 0.12))
    return axes


def test_a_triangle_stands_outside_with_its_tip_on_the_wall(axes):
    mark_mouths(axes, [LEFT])
    tip, *foot = axes.patches[0].get_xy()[:3]
    assert tuple(tip) == pytest.approx((0.02, 0.05))
    assert np.mean(foot, axis=0) == pytest.approx((0.02 - LENGTH * 0.14 / 4.0, 0.05))


def test_only_ingates_have_names(axes):
    names, taken = mark_mouths(axes, [LEFT, BELOW, PLAN])
    assert [name.text for name in names] == ["side gate"]
    assert len(taken) == 3


def test_a_stream_without_direction_is_a_ring(axes):
    mark_mouths(axes, [PLAN])
    corners = axes.patches[0].get_xy()
    away = np.hypot(*(corners - [PLAN.x, PLAN.y]).T)
    assert np.ptp(away) < 1e-9 * away[0]


def test_the_section_shows_them(monkeypatch, tmp_path):
    kept = []
    monkeypatch.setattr(
        section,
        "save_figure",
        lambda figure, path: [kept.append(figure), save_figure(figure, path)],
    )
    run = synthetic_run(cell_mm=5.0, frames=3)
    inlet = dataclasses.replace(
        LEFT, x=float(run.section.grid.x_edges[:-1][run.metal.any(axis=0)].min())
    )
    with settings():
        section.draw_section(run.section, tmp_path / "s.png", run.title, run.units, [inlet])
    (axes, *_) = kept[0].axes
    assert sum(isinstance(one, Polygon) for one in axes.patches) == 1
    assert "side gate" in {text.get_text().replace("\n", " ") for text in axes.findobj(Text)}
