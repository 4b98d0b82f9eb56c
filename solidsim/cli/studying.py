"""What the commands for many runs have in common: who computes, and how far it has come."""

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from solidsim.cli.output import table, tell
from solidsim.quantities import Units, write_quantity

if TYPE_CHECKING:
    from solidsim.results.tables import Column
    from solidsim.studies.running import Standing
    from solidsim.studies.sweeping import Row
    from solidsim.studies.workers import Workers

MOST_ROWS = 30


def worker_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options that say who computes."""
    for option in (
        click.option("--scheduler", metavar="ADDRESS",
                     help="Compute on a dask cluster, e.g. tcp://localhost:8786."),
        click.option("--workers", type=click.IntRange(1), default=1, show_default=True,
                     help="Processes to compute in, each of one thread."),
    ):  # fmt: skip
        command = option(command)
    return command


def chosen_workers(workers: int, scheduler: str | None) -> "Workers":
    """Who computes, by the options."""
    from solidsim.studies.workers import Workers

    return Workers(workers, scheduler)


@contextmanager
def watched_runs(title: str) -> Iterator[Callable[["Standing"], None]]:
    """Show how far many runs have come, as a bar on a terminal, and say the rate at the end."""
    from solidsim.cli.progress import progress_bar

    start, standings = time.monotonic(), []
    with progress_bar(title) as bar:

        def show(standing: "Standing") -> None:
            standings.append(standing)
            left = write_quantity(standing.remaining, "time", "metric")
            words = f"{standing.done} of {standing.total} runs, {standing.rate:.1f} a minute"
            bar(standing.remaining, standing.done / standing.total, f"{words}; {left} to go; time")

        yield show
    if not standings:
        tell(f"{title}: all runs were there already")
        return
    count, last = len(standings), standings[-1]
    rate = 60.0 * count / (time.monotonic() - start)
    failed = f"; {last.failed} could not be computed" if last.failed else ""
    tell(f"{title}: computed {count} runs, {rate:.1f} a minute{failed}")


def write_rows(rows: Sequence["Row"], columns: Sequence["Column"], units: Units) -> None:
    """Write one line a run: its numbers, its worst verdict, its error."""
    lines = [[*(column.name for column in columns), "worst verdict"]]
    for number, row in enumerate(rows[:MOST_ROWS]):
        cells = [_said(column, number, units) for column in columns]
        verdict = row.verdict + (" (coarse)" if row.coarse else "")
        lines.append([*cells, f"{verdict}: {row.outcome.error}" if row.outcome.error else verdict])
    click.echo(table(lines))
    if len(rows) > MOST_ROWS:
        click.echo(f"and {len(rows) - MOST_ROWS} more in the table")


def _said(column: "Column", number: int, units: Units) -> str:
    value = column.values[number]
    if isinstance(value, str):
        return value
    return write_quantity(value, column.kind, units) if value == value else "-"
