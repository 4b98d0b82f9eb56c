"""A search: the cheapest variant that keeps all limits, in few runs.

Runs are proposed two at a time, whoever computes them, until those that ought to be cheaper have
failed twice in a row. The winner is then poured on finer cells; where it does not stand there,
the next cheapest is tried.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from solidsim.case import read_case_text
from solidsim.model import build_model
from solidsim.studies.planning import Values
from solidsim.studies.proposing import first_shares, proposals
from solidsim.studies.running import THIS_PROCESS, Watching
from solidsim.studies.study_file import Limit, Study
from solidsim.studies.sweeping import Row, Sweep, coarse_cell, run_rows
from solidsim.studies.workers import Workers, hired

Array = NDArray[np.float64]

AT_ONCE = 2  # runs proposed together
IN_VAIN = 2  # rounds in a row without a cheaper variant, after which the search ends
MOST_CONFIRMED = 4
ROOM = 0.25  # of the largest slack: taken where a finding that is to be small is not there
GAIN = 1e-3  # of the price: less is no progress


@dataclass(frozen=True)
class Search:
    """What a search came to.

    Parameters
    ----------
    tried : tuple of Row
        In the order of the runs.
    front : tuple of Row
        For each price the most room to the limits: what a little more buys. Cheapest first.
    winner : Row or None
        On the cells it was found on; None where no variant keeps the limits on finer cells, too.
    confirmed : tuple of Row
        Winners on finer cells, in the order of trying; of the last one the limits are kept, where
        there is a winner.
    """

    study: Study
    tried: tuple[Row, ...]
    front: tuple[Row, ...]
    winner: Row | None
    confirmed: tuple[Row, ...]

    def table(self) -> Sweep:
        """Everything that was tried and confirmed, as a sweep with its columns."""
        return Sweep(self.study, (*self.tried, *self.confirmed))


def search(
    study: Study,
    folder: str | Path,
    *,
    workers: Workers = THIS_PROCESS,
    quick: bool = False,
    most_runs: int = 40,
    progress: Watching | None = None,
) -> Search:
    """Look for the variant with the smallest price that keeps all limits of a study.

    Parameters
    ----------
    quick : bool
        Search on coarse cells and confirm on those of the case; else confirm on half of those.
    most_runs : int
        Runs before those that confirm.

    Raises
    ------
    QuantityError
        If a shape cannot take a size.
    SolverError
        If there is nobody to compute.
    """
    cell = coarse_cell(study) if quick else 0.0
    with hired(workers) as hands:

        def run(values: list[Values], cell: float) -> list[Row]:
            return run_rows(study, values, folder, hands, progress, cell)

        rows = _try(study, lambda values: run(values, cell), most_runs)
        winner, confirmed = _confirm(study, rows, run, quick)
    return Search(study, tuple(rows), tuple(front(study, rows)), winner, tuple(confirmed))


def _try(study: Study, run: Callable[[list[Values]], list[Row]], most_runs: int) -> list[Row]:
    """Run what is proposed until nothing cheaper is, or has come of it for some rounds."""
    levels = [len(one.values) if one.is_list else 0 for one in study.inputs]
    seed = study.description.seed
    shares = np.unique(first_shares(len(study.inputs), levels, seed), axis=0)
    tried, rows, vain = np.empty((0, len(study.inputs))), list[Row](), 0
    while len(shares) and vain < IN_VAIN and len(rows) < most_runs:
        before = cheapest(study, rows)
        shares = shares[: most_runs - len(rows)]
        rows += run([_values(study, own) for own in shares])
        tried = np.vstack([tried, shares])
        vain = 0 if before is None or _gained(study, before, rows) else vain + 1
        prices, slacks = _measured(study, rows)
        shares = proposals(tried, prices, slacks, levels, AT_ONCE, seed + len(rows))
    return rows


def _gained(study: Study, before: Row, rows: Sequence[Row]) -> bool:
    after = cheapest(study, rows)
    return after is not None and price_of(study, after) < (1.0 - GAIN) * price_of(study, before)


def _values(study: Study, shares: Array) -> Values:
    """Values of the inputs at shares of their ranges, or at the nearest of listed ones."""
    return tuple(
        one.values[round(float(share) * (len(one.values) - 1))]
        if one.is_list
        else one.at(float(share))
        for one, share in zip(study.inputs, shares, strict=True)
    )


def price_of(study: Study, row: Row) -> float:
    """Sum of the results at their prices; NaN for a run that could not be computed."""
    return sum(price * row.figure(name) for name, price in study.prices.items())


def slack_of(limit: Limit, row: Row) -> float:
    """Room left to a limit, [SI]; negative where it is not kept, NaN where there is no result."""
    return limit.sense * (row.figure(limit.result) - limit.bound)


def keeps(limit: Limit, row: Row) -> bool:
    """Whether a limit is kept: a result that was not found is at most anything."""
    slack = slack_of(limit, row)
    if math.isnan(slack):
        return limit.sense < 0 and not row.outcome.error
    return slack >= 0.0


def cheapest(study: Study, rows: Sequence[Row]) -> Row | None:
    """The row with the smallest price of those that keep all limits."""
    kept = [row for row in rows if all(keeps(limit, row) for limit in study.limits)]
    kept = [row for row in kept if not row.outcome.error]
    return min(kept, key=lambda row: price_of(study, row), default=None)


def front(study: Study, rows: Sequence[Row]) -> list[Row]:
    """Rows that none surpasses both in price and in the room left to the tightest limit."""
    prices, slacks = _measured(study, rows)
    tightest = slacks.min(axis=1)
    order = sorted(range(len(rows)), key=lambda n: (prices[n], -tightest[n]))
    best, kept = -math.inf, []
    for number in order:
        if tightest[number] > best and not rows[number].outcome.error:
            best = float(tightest[number])
            kept.append(rows[number])
    return kept


def _measured(study: Study, rows: Sequence[Row]) -> tuple[Array, Array]:
    """Prices (n,), and slacks (n, limits) as shares of how far they spread over the runs.

    What could not be computed counts as dear and far from all limits.
    """
    prices = np.array([price_of(study, row) for row in rows])
    known = prices[np.isfinite(prices)]
    prices = np.where(np.isfinite(prices), prices, known.max() if known.size else 1.0)
    columns = [_scaled([slack_of(limit, row) for row in rows],
                       [keeps(limit, row) for row in rows]) for limit in study.limits]  # fmt: skip
    return prices, np.array(columns or [np.ones(len(rows))]).T


def _scaled(slacks: Sequence[float], kept: Sequence[bool]) -> Array:
    """Slacks over the largest; where there is no number, a little room, or that of the worst run.

    A finding that is not there has no margin: without some room the surface would lie on zero.
    """
    values = np.array(slacks)
    known = values[np.isfinite(values)]
    scale = float(np.max(np.abs(known), initial=0.0)) or 1.0
    high, low = ROOM * scale, float(np.min(known, initial=-scale))
    return np.where(np.isfinite(values), values, np.where(kept, high, low)) / scale


def _confirm(
    study: Study, rows: Sequence[Row], run: Callable[[list[Values], float], list[Row]], quick: bool
) -> tuple[Row | None, list[Row]]:
    """Pour the cheapest on finer cells, then the next, until one keeps the limits there, too."""
    left = list(rows)
    confirmed: list[Row] = []
    while (best := cheapest(study, left)) is not None and len(confirmed) < MOST_CONFIRMED:
        (finer,) = run([best.values], 0.0 if quick else _half_cell(study, best.values))
        confirmed.append(replace(finer, coarse=False))
        if cheapest(study, [finer]) is not None:
            return best, confirmed
        left.remove(best)
    return None, confirmed


def _half_cell(study: Study, values: Values) -> float:
    return build_model(read_case_text(study.text_of(values))).section.metal_cell / 2.0
