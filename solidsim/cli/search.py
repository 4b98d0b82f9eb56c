"""`solidsim search`: the cheapest variant of a case that keeps the limits asked for."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solidsim.cli.output import json_option, tell, write_json
from solidsim.cli.studying import chosen_workers, watched_runs, worker_options, write_rows

if TYPE_CHECKING:
    from solidsim.studies.searching import Search
    from solidsim.studies.sweeping import Row


@click.command(short_help="Look for the smallest that still does.")
@click.argument("study", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), default="runs", show_default=True,
              help="Folder for what is written; made if missing.")  # fmt: skip
@click.option("--quick", is_flag=True,
              help="Search on coarse cells, confirm on those of the case.")  # fmt: skip
@click.option("--most-runs", type=click.IntRange(2), default=40, show_default=True,
              help="Runs at the most, before those that confirm.")  # fmt: skip
@worker_options
@json_option
def search(
    study: Path, out: Path, quick: bool, most_runs: int, workers: int, scheduler: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Look for the variant of least weight or cost that keeps the limits of a study file.

    Says what was tried, what a little more would buy, and whether the winner stands on finer cells.
    Writes NAME.csv and NAME.h5 and keeps every run, as a sweep does.
    """
    from solidsim.studies.searching import search as run_search
    from solidsim.studies.study_file import read_study
    from solidsim.studies.sweeping import write_sweep

    asked = read_study(study)
    if not asked.limits:
        raise click.UsageError(f"{study} has no [[limit]]; without one nothing holds it back")
    with watched_runs(asked.title) as progress:
        done = run_search(
            asked, out / f"{study.stem}_runs", workers=chosen_workers(workers, scheduler),
            quick=quick, most_runs=most_runs, progress=progress,
        )  # fmt: skip
    written = write_sweep(done.table(), out / study.stem)
    if as_json:
        write_json(_document(done, written))
    else:
        _write(done)
        click.echo(f"wrote {', '.join(str(path) for path in written)}")


def _write(done: "Search") -> None:
    from solidsim.studies.sweeping import Sweep

    units = done.study.case.units
    asked = "; ".join(limit.text for limit in done.study.limits)
    prices = " + ".join(
        name if price == 1.0 else f"{price:g} x {name}" for name, price in done.study.prices.items()
    )
    click.echo(f"{done.study.title}\nsmallest {prices} with {asked}")
    tables = {"tried": done.tried, "what a little more buys": done.front}
    for title, rows in (tables | {"on finer cells": done.confirmed}).items():
        if rows:
            click.echo(f"{title}:")
            part = Sweep(done.study, rows)
            write_rows(rows, [*part.inputs(), *part.plotted()], units)
    if done.winner is None:
        tell("no variant that was tried keeps the limits, on finer cells too")
    else:
        click.echo(f"best of {len(done.tried)} runs: {_named(done, done.winner)}; "
                   "it keeps the limits on finer cells, too")  # fmt: skip


def _named(done: "Search", row: "Row") -> str:
    pairs = zip(done.study.inputs, row.values, strict=True)
    return ", ".join(f"{one.name} {value}" for one, value in pairs)


def _document(done: "Search", written: list[Path]) -> dict[str, Any]:
    return {
        "title": done.study.title,
        "limits": [limit.text for limit in done.study.limits],
        "prices": done.study.prices,
        "tried": [_row(done, row) for row in done.tried],
        "front": [_row(done, row) for row in done.front],
        "on_finer_cells": [_row(done, row) for row in done.confirmed],
        "winner": _row(done, done.winner) if done.winner else None,
        "written": written,
    }


def _row(done: "Search", row: "Row") -> dict[str, Any]:
    names = [one.name for one in done.study.inputs]
    figures = {name: figure.value for name, figure in row.outcome.computed.figures.items()}
    return {
        "inputs": dict(zip(names, row.values, strict=True)),
        "verdict": row.verdict,
        "coarse": row.coarse,
        "error": row.outcome.error,
        "results": figures,
    }
