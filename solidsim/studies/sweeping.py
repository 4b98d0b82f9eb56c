"""A sweep: the same case over a range of its values, one row a run.

In quick mode all variants run on coarse cells first; those of them where a finding is close to
turning over run again on the cells of the case.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from solidsim.case import read_case_text
from solidsim.model import build_model
from solidsim.results.tables import Column, write_columns, write_csv
from solidsim.studies.outcome import Figure
from solidsim.studies.planning import Values, planned_values
from solidsim.studies.running import THIS_PROCESS, Outcome, Watching, run_many
from solidsim.studies.shapes import length_text
from solidsim.studies.study_file import Study, shown_value
from solidsim.studies.workers import Hands, Workers, hired

COARSER = 3.0  # times the cells of the case, in quick mode
NEAR = 0.1  # of its limit: a margin below this is worth the cells of the case
MOST_PLOTTED = 6
CELL = ("section", "cell")


@dataclass(frozen=True)
class Row:
    """One variant: values of the inputs, what came of it, and whether on coarse cells."""

    values: Values
    outcome: Outcome
    coarse: bool = False

    @property
    def verdict(self) -> str:
        """Its worst verdict, or ``error``."""
        return "error" if self.outcome.error else self.outcome.computed.verdict

    def figure(self, name: str) -> float:
        """A number of the run [SI]; NaN where it has none of this name."""
        return self.outcome.computed.figures.get(name, Figure(math.nan, "number")).value


@dataclass(frozen=True)
class Sweep:
    """A study with one row a variant, in the order of the plan."""

    study: Study
    rows: tuple[Row, ...]

    def inputs(self) -> list[Column]:
        """Values of the inputs."""
        by_input = zip(*(row.values for row in self.rows), strict=True)
        return [
            Column(one.name, "word", tuple(map(shown_value, values)))
            if one.kind == "word"
            else Column(one.name, one.kind, tuple(map(one.number_of, values)))
            for one, values in zip(self.study.inputs, by_input, strict=True)
        ]

    def columns(self) -> list[Column]:
        """Inputs, cells, verdict, all numbers of the runs, errors and files."""
        outcomes = [row.outcome for row in self.rows]
        cells = ["coarse" if row.coarse else "as the case" for row in self.rows]
        verdicts = [row.verdict for row in self.rows]
        files = [one.path.name if one.path else "" for one in outcomes]
        errors = [one.error for one in outcomes]
        words = {"cells": cells, "verdict": verdicts}, {"error": errors, "file": files}
        before, after = (
            [Column(name, "word", tuple(own)) for name, own in table.items()] for table in words
        )
        return [*self.inputs(), *before, *self.results(), *after]

    def plotted(self) -> list[Column]:
        """Results to draw: those the study names, or else its limits, margins and weight."""
        known = {column.name: column for column in self.results()}
        asked = self.study.description.plot
        usual = [*(one.result for one in self.study.limits), *self.study.prices]
        usual += [name for name in known if name.endswith(".margin")] + ["freezing-time"]
        names = dict.fromkeys(name for name in asked or usual if name in known)
        return [known[name] for name in names][:MOST_PLOTTED]

    def results(self) -> list[Column]:
        """Every number that any of the runs has."""
        kinds = {
            name: figure.kind
            for row in self.rows
            for name, figure in row.outcome.computed.figures.items()
        }
        return [
            Column(name, kind, tuple(row.figure(name) for row in self.rows))
            for name, kind in kinds.items()
        ]


def sweep(
    study: Study,
    folder: str | Path,
    *,
    workers: Workers = THIS_PROCESS,
    quick: bool = False,
    progress: Watching | None = None,
) -> Sweep:
    """Run all variants of a study, each kept in a folder.

    Raises
    ------
    QuantityError
        If a shape cannot take a size.
    SolverError
        If there is nobody to compute.
    """
    values = planned_values(study)
    with hired(workers) as hands:
        if not quick:
            return Sweep(study, tuple(run_rows(study, values, folder, hands, progress)))
        coarse = run_rows(study, values, folder, hands, progress, cell=coarse_cell(study))
        again = [row.values for row in coarse if matters(row)]
        fine = {row.values: row for row in run_rows(study, again, folder, hands, progress)}
    return Sweep(study, tuple(fine.get(row.values, row) for row in coarse))


def run_rows(
    study: Study,
    values: Sequence[Values],
    folder: str | Path,
    hands: Hands,
    progress: Watching | None,
    cell: float = 0.0,
) -> list[Row]:
    """Run variants, on cells of their own or of the case."""
    extra = ((CELL, length_text(cell)),) if cell else ()
    texts = [study.text_of(own, extra) for own in values]
    outcomes = run_many(texts, folder, workers=hands, progress=progress)
    return [Row(*pair, coarse=bool(cell)) for pair in zip(values, outcomes, strict=True)]


def coarse_cell(study: Study) -> float:
    """Cells of quick mode, [m]: so many times those of the case itself."""
    middle = tuple(one.values[len(one.values) // 2] for one in study.inputs)
    model = build_model(read_case_text(study.text_of(middle)))
    return COARSER * model.section.metal_cell


def matters(row: Row) -> bool:
    """Whether a run on coarse cells is so close to turning over that finer ones may decide."""
    shares = [
        figure.value
        for name, figure in row.outcome.computed.figures.items()
        if name.endswith(".share")
    ]
    return any(abs(share) < NEAR for share in shares) or row.outcome.computed.verdict == "close"


def write_sweep(done: Sweep, path: Path) -> list[Path]:
    """Write the table of a sweep as ``PATH.csv`` and ``PATH.h5``."""
    columns, units = done.columns(), done.study.case.units
    about = {"title": done.study.title, "study": done.study.text}
    table = write_csv(columns, path.with_name(f"{path.name}.csv"), units)
    return [table, write_columns(columns, path.with_name(f"{path.name}.h5"), about)]
