"""The search: proposals on surfaces that are known, and the least feeder of a whole sweep."""

import numpy as np
import pytest

from solidsim.studies.outcome import Figure
from solidsim.studies.planning import planned_values
from solidsim.studies.proposing import first_shares, proposals, snapped
from solidsim.studies.running import Outcome, run_many
from solidsim.studies.searching import cheapest, front, keeps, price_of, search
from solidsim.studies.study_file import read_study
from solidsim.studies.sweeping import Row, sweep
from solidsim.studies.workers import Computed, Workers

LIMIT = """
[[limit]]
result = "last-metal-in-feeder.margin"
at_least = "30 s"
"""
WIDTHS = ", ".join(f'"{width} mm"' for width in range(14, 54, 4))
HEIGHTS = ", ".join(f'"{height} mm"' for height in range(20, 65, 5))


def searched(proposed_price, slack, levels, rounds=12):
    """The best of a search of a known price and slack over the unit square, and its runs."""
    tried = np.unique(first_shares(2, levels, 3), axis=0)
    for number in range(rounds):
        prices, slacks = proposed_price(*tried.T), slack(*tried.T)[:, None]
        tried = np.vstack([tried, proposals(tried, prices, slacks, levels, 2, number)])
    kept = slack(*tried.T) >= 0.0
    prices = np.where(kept, proposed_price(*tried.T), np.inf)
    return float(prices.min()), len(tried)


def test_a_known_constrained_minimum_is_found():
    """Price x + y with room x y - 0.09: least at x = y = 0.3, where it is 0.6."""
    price, runs = searched(lambda x, y: x + y, lambda x, y: x * y - 0.09, (0, 0))
    assert price == pytest.approx(0.6, rel=0.02)
    assert runs <= 31


def test_a_known_minimum_on_levels_is_found():
    """The same on tenths: 0.3 and 0.3 is just kept, and no pair of tenths is cheaper."""
    price, _ = searched(lambda x, y: x + y, lambda x, y: x * y - 0.09 + 1e-9, (11, 11))
    assert price == pytest.approx(0.6)


def test_levels_hold_proposals():
    shares = snapped(np.array([[0.13, 0.5], [0.9, 0.77]]), (5, 0))
    np.testing.assert_allclose(shares, [[0.25, 0.5], [1.0, 0.77]])


@pytest.fixture
def limited(study_file):
    text = study_file.read_text(encoding="utf-8")
    text = text.replace('range = ["20 mm", "40 mm"]\nsteps = 3', f"values = [{WIDTHS}]")
    text = text.replace('values = ["40 mm", "60 mm"]', f"values = [{HEIGHTS}]")
    text = text.replace("[[input]]", 'smallest = "melt-weight"\n[[input]]', 1)
    study_file.write_text(text.replace("set = {", "set = {") + LIMIT, encoding="utf-8")
    return read_study(study_file)


@pytest.mark.slow
def test_the_search_finds_what_a_fine_sweep_shows_in_a_quarter_of_its_runs(limited, tmp_path):
    found = search(limited, tmp_path)
    rows = sweep(limited, tmp_path).rows
    assert len(rows) == len(planned_values(limited)) == 90
    truth = cheapest(limited, rows)
    cheapest_tried = cheapest(limited, found.tried)
    assert truth.values == cheapest_tried.values
    assert len(found.tried) <= len(rows) / 4


def test_the_search_is_the_same_in_processes(limited, tmp_path):
    alone = search(limited, tmp_path / "alone", most_runs=9)
    together = search(limited, tmp_path / "together", most_runs=9, workers=Workers(2))
    assert [row.values for row in alone.tried] == [row.values for row in together.tried]
    assert [row.outcome.computed.figures for row in alone.tried] == [
        row.outcome.computed.figures for row in together.tried
    ]


def test_the_winner_stands_on_finer_cells(limited, tmp_path):
    found = search(limited, tmp_path, quick=True, most_runs=20)
    *refused, last = found.confirmed
    assert last.values == found.winner.values
    assert found.winner.coarse
    assert cheapest(limited, [last]) is last
    assert not any(cheapest(limited, [row]) for row in refused)
    again = run_many([limited.text_of(last.values)], tmp_path)[0]
    assert again.path == last.outcome.path
    assert not again.fresh


def row_of(limited, weight, margin):
    figures = {"melt-weight": Figure(weight, "mass")}
    if margin is not None:
        figures["last-metal-in-feeder.margin"] = Figure(margin, "time")
    return Row((weight,), Outcome(Computed("key", "holds", figures), None, True))


def test_the_front_is_what_none_surpasses(limited):
    rows = [row_of(limited, *own) for own in ((3, 10), (1, -5), (2, 40), (4, 60), (5, 50))]
    assert [price_of(limited, row) for row in front(limited, rows)] == [1, 2, 4]


def test_a_missing_result_keeps_only_an_upper_limit(limited):
    (at_least,) = limited.limits
    row = row_of(limited, 1, None)
    assert not keeps(at_least, row)
    assert keeps(type(at_least)(at_least.result, 0.0, -1, ""), row)


def test_no_winner_where_no_variant_will_do(limited, study_file, tmp_path):
    text = study_file.read_text(encoding="utf-8").replace('"30 s"', '"9 h"')
    study_file.write_text(text, encoding="utf-8")
    found = search(read_study(study_file), tmp_path, most_runs=7)
    assert found.winner is None
    assert found.confirmed == ()
    assert len(found.tried) <= 7
