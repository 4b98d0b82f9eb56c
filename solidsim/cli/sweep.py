"""`solidsim sweep`: one case over a range of its values."""

from pathlib import Path

import click

from solidsim.cli.output import json_option, tell, write_json
from solidsim.cli.studying import chosen_workers, watched_runs, worker_options, write_rows


@click.command(short_help="Run a case over a range of its values.")
@click.argument("study", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), default="runs", show_default=True,
              help="Folder for what is written; made if missing.")  # fmt: skip
@click.option("--quick", is_flag=True,
              help="Coarse cells first; those of the case where a finding is close.")  # fmt: skip
@worker_options
@json_option
def sweep(
    study: Path, out: Path, quick: bool, workers: int, scheduler: str | None, as_json: bool
) -> None:
    """Run the variants that a study file asks for: a table, and plots of results against inputs.

    Writes NAME.csv, NAME.h5 and NAME.png, and each run into the folder NAME_runs under a hash of
    its case. A sweep that was stopped goes on where it was; one that is repeated computes nothing.
    """
    from solidsim.pictures.study import draw_study
    from solidsim.studies.study_file import read_study
    from solidsim.studies.sweeping import sweep as run_sweep
    from solidsim.studies.sweeping import write_sweep

    asked = read_study(study)
    runs = out / f"{study.stem}_runs"
    with watched_runs(asked.title) as progress:
        done = run_sweep(
            asked, runs, workers=chosen_workers(workers, scheduler), quick=quick, progress=progress
        )
    written = write_sweep(done, out / study.stem)
    verdicts = [row.verdict for row in done.rows]
    if done.plotted():
        written.append(
            draw_study(done.inputs(), done.plotted(), verdicts, out / f"{study.stem}.png",
                       title=asked.title, units=asked.case.units)
        )  # fmt: skip
    columns = done.columns()
    if as_json:
        rows = zip(*(column.values for column in columns), strict=True)
        names = [column.name for column in columns]
        document = [dict(zip(names, row, strict=True)) for row in rows]
        write_json({"title": asked.title, "rows": document, "written": written, "runs": runs})
        return
    if quick:
        coarse = sum(row.coarse for row in done.rows)
        tell(f"quick: {coarse} runs on coarse cells alone, {len(done.rows) - coarse} again on "
             "those of the case")  # fmt: skip
    click.echo(asked.title)
    write_rows(done.rows, [*done.inputs(), *done.plotted()], asked.case.units)
    click.echo(f"wrote {', '.join(str(path) for path in written)}")
