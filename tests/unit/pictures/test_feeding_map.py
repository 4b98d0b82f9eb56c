"""The feeding map shows what the findings say."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from synthetic_run import synthetic_run, unfinished

from solidsim.case import read_case
from solidsim.criteria.feeding import Feeding
from solidsim.errors import ResultsError
from solidsim.judgment import feeding_of
from solidsim.judgment.feeding import hot_spots, parts_fed
from solidsim.model import build_model
from solidsim.pictures import draw_feeding
from solidsim.pictures import feeding as module
from solidsim.simulation import simulate
from solidsim.studies.confirming import with_cell

BOLLARD = Path(__file__).parents[3] / "cases" / "bollard_base" / "case.toml"


@pytest.fixture(scope="module")
def run():
    made = synthetic_run()
    feeding = feeding_of(made)
    findings = [*hot_spots(made, feeding), *parts_fed(made, feeding)]
    return replace(made, findings=tuple(finding.as_dict() for finding in findings))


@pytest.fixture
def sheet(run, tmp_path, monkeypatch):
    """The figure as drawn, kept from being closed."""
    kept = {}

    def keep(figure, path):
        figure.savefig(path)
        kept["figure"] = figure
        return path

    monkeypatch.setattr(module, "save_figure", keep)
    draw_feeding(run, tmp_path / "feeding.png")
    return kept["figure"]


def words_of(figure):
    return [text.get_text() for axes in figure.axes for text in axes.texts] + [
        text.get_text() for text in figure.texts
    ]


def test_it_writes_a_picture(run, tmp_path):
    path = draw_feeding(run, tmp_path / "feeding.png")
    assert path.stat().st_size > 10_000


def test_necks_carry_their_closing_time_and_parts_their_names(run, sheet):
    feeding: Feeding = feeding_of(run)
    words = words_of(sheet)
    necks = sum(pool.neck is not None for pool in feeding.cut_off)
    assert sum(word.startswith("✕ ") and "min" in word for word in words) == necks > 0
    assert {"web", "hub", "feeder"} <= set(words)
    assert "fed by feeder" in words
    assert "cut off" in words


def test_a_plan_promises_no_feeding(tmp_path, monkeypatch):
    """A feeder that stands on the casting is one lump with it in plan."""
    kept = []
    monkeypatch.setattr(module, "save_figure", lambda figure, path: kept.append(figure))
    run = simulate(build_model(with_cell(read_case(BOLLARD), 0.01)))
    draw_feeding(run, tmp_path / "plan.png")
    words = words_of(kept[0])
    assert "open to feeder" in words
    assert not any("fed" in word or "what feeds" in word for word in words)
    assert "fed" not in kept[0].axes[-1].get_xlabel()


def test_a_bar_for_each_hot_spot_ends_where_it_does(run, sheet):
    feeding = feeding_of(run)
    bars = sheet.axes[-1].patches
    ends = sorted({round(bar.get_x() + bar.get_width(), 6) for bar in bars})
    expected = {round(float(feeding.tree.ended[leaf]), 6) for leaf in feeding.tree.leaves}
    assert expected <= set(ends)


def test_pipes_are_drawn_where_the_balance_leaves_them(run, sheet):
    """The synthetic metal does not shrink: no void is drawn."""
    assert not feeding_of(run).pipe.any()
    hatched = [patch for patch in sheet.axes[0].patches if patch.get_hatch() == "xxxx"]
    assert not hatched


def test_nothing_is_drawn_of_an_unfinished_run(run, tmp_path):
    nothing = {"freezing_time": np.full(run.section.grid.shape, np.nan)}
    with pytest.raises(ResultsError, match="filled and solid at the end"):
        draw_feeding(replace(unfinished(run), fields=nothing), tmp_path / "x.png")
