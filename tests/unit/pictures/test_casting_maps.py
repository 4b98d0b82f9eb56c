"""The maps of the Niyama value and of chilled edges show what the findings say."""

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.colors import to_rgb, to_rgba
from synthetic_run import freezing_time, synthetic_run

from solidsim.errors import ResultsError
from solidsim.judgment.freezing import niyama_share
from solidsim.judgment.irons import chilled_edge, skin_of
from solidsim.materials.irons import Iron
from solidsim.pictures import draw_edges, draw_niyama, edges, niyama
from solidsim.pictures.style import MOLD
from solidsim.quantities import write_quantity


@pytest.fixture(scope="module")
def run():
    """The synthetic bracket in gray iron: low values in the web, a skin that freezes in seconds."""
    made = synthetic_run()
    x = made.section.grid.x_centers * np.ones(made.section.grid.shape)
    values = np.where(made.metal, made.judging.niyama_limit * np.where(x < 0.1, 0.3, 5.0), np.nan)
    solid = freezing_time(made.section)
    fields = {**made.fields, "niyama": values, "cutoff_time": solid * np.where(x < 0.1, 0.2, 0.999)}
    iron = replace(made.alloy, iron=Iron(carbon=0.034, silicon=0.02))
    made = replace(made, fields=fields, alloy=iron)
    found = [*niyama_share(made), *chilled_edge(made)]
    return replace(made, findings=tuple(finding.as_dict() for finding in found))


@pytest.fixture
def kept(monkeypatch):
    """The figure as drawn, kept from being closed."""
    figures = []
    for module in (niyama, edges):
        monkeypatch.setattr(module, "save_figure", lambda figure, path: figures.append(figure))
    return figures


def words_of(figure):
    return [text.get_text() for axes in figure.axes for text in axes.texts] + [
        text.get_text() for text in figure.texts
    ]


def test_they_write_pictures(run, tmp_path):
    for draw in (draw_niyama, draw_edges):
        assert draw(run, tmp_path / f"{draw.__name__}.png").stat().st_size > 10_000


def test_niyama_tells_its_limit_and_hatches_only_what_lies_below(run, tmp_path, kept):
    draw_niyama(run, tmp_path / "x.png")
    (figure,) = kept
    said = write_quantity(run.judging.niyama_limit, "niyama", "metric")
    assert any(f"below the limit of {said}" in word for word in words_of(figure))
    assert {"web", "hub", "feeder"} <= set(words_of(figure))
    bands = figure.axes[0].collections[0]
    filled = [path for path in bands.get_paths() if path.vertices.size]
    assert len(filled) >= 2
    for path, hatch in zip(bands.get_paths(), bands.hatches, strict=True):
        if path.vertices.size and hatch:
            assert path.vertices[:, 0].max() < 0.105
    labels = [tick.get_text() for tick in figure.axes[1].get_yticklabels()]
    assert [label for label in labels if label.endswith("limit")] == [f"{said.split()[0]} limit"]


def test_the_skin_is_colored_by_what_the_finding_counts(run, tmp_path, kept):
    skin = skin_of(run)
    gray, near, white = edges._classes(skin)
    assert (gray | near | white == skin.cells).all()
    assert not (gray & near).any()
    assert white.any()
    assert gray.any()
    assert np.nanmin(skin.tendency[white]) >= 1.0
    assert np.nanmax(skin.tendency[gray]) < 0.8
    draw_edges(run, tmp_path / "x.png")
    (figure,) = kept
    faces = {patch.get_facecolor() for patch in figure.axes[0].patches}
    assert {to_rgba(edges.LOOKS[number][0]) for number in (0, 2)} <= faces
    assert {"★", "may freeze white"} <= set(words_of(figure))


def test_looks_of_the_skin_read_in_black_and_white():
    """Each face is a tenth darker than sand and the one before, and hatched in its own way."""
    weights = np.array([0.299, 0.587, 0.114])  # of the eye, ITU-R BT.601
    grays = [weights @ to_rgb(face) for face in (MOLD, *(look for look, _ in edges.LOOKS))]
    assert (np.diff(grays) <= -0.1).all()
    hatches = [hatch for _, hatch in edges.LOOKS]
    assert len(set(hatches)) == 3


def test_what_cannot_be_mapped_says_so(run, tmp_path):
    steel = replace(run, alloy=replace(run.alloy, iron=None))
    with pytest.raises(ResultsError, match="no skin of gray iron"):
        draw_edges(steel, tmp_path / "x.png")
    bare = replace(run, fields={"freezing_time": run.fields["freezing_time"]})
    with pytest.raises(ResultsError, match="no Niyama map"):
        draw_niyama(bare, tmp_path / "x.png")
