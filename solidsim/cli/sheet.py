"""`solidsim sheet`: the one page that goes to the floor."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from solidsim.cli.output import json_option, tell, write_json

if TYPE_CHECKING:
    from solidsim.model import Model
    from solidsim.pictures.sheet_page import Paper
    from solidsim.results.run import Run


@click.command(short_help="Print the pour sheet: one page for the floor.")
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--run", type=click.Path(path_type=Path),
              help="The run of the case; runs/NAME.h5 without it.")  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path), help="The file; NAME-sheet.pdf without it.")
@click.option("--paper", type=click.Choice(["letter", "a4"]),
              help="Letter for cases in inches, else A4.")  # fmt: skip
@click.option("--record", is_flag=True, help="Write the form for the record, too.")
@json_option
def sheet(
    case: Path, run: Path | None, out: Path | None, paper: str | None, record: bool, as_json: bool
) -> None:
    """Print the pour sheet of a case: charge, temperatures, cope weight, clocks, cautions.

    With a run it also knows when to shake out and what to watch.
    """
    from solidsim.case import read_case
    from solidsim.cli.pouring import run_name
    from solidsim.cli.recording import write_form
    from solidsim.judgment import judge
    from solidsim.model import build_model
    from solidsim.pictures.sheet_page import draw_sheet
    from solidsim.report.pour_sheet import compose_sheet

    read = read_case(case)
    model = build_model(read)
    name = run_name(read)
    opened = _run_of(model, run, Path("runs") / f"{name}.h5")
    findings = judge(opened) if opened else ()
    size: Paper = "letter" if paper == "letter" or (not paper and model.units == "inch") else "a4"
    composed = compose_sheet(read, name, model, opened, findings)
    files = {"sheet": draw_sheet(composed, out or Path(f"{name}-sheet.pdf"), size)}
    if record:
        files["record"] = write_form(read)
    if as_json:
        write_json({"title": model.title, "paper": size, "with_run": opened is not None} | files)
    else:
        click.echo(f"wrote {', '.join(str(path) for path in files.values())}")


def _run_of(model: "Model", given: Path | None, usual: Path) -> "Run | None":
    """Open the run that is given, or the usual one where it is there and of this very case."""
    from solidsim.errors import ResultsError
    from solidsim.report.same_case import same_case
    from solidsim.results.opening import open_run

    if given is None and not usual.is_file():
        return None
    path = given or usual
    run = open_run(path)
    if not run.finished:
        raise ResultsError(f"{path} holds an unfinished run ({run.stop_reason}); pour it again")
    if same_case(run, model):
        return run
    if given:
        raise ResultsError(f"{given} is the run of another case, or of this one before a change")
    tell(f"{usual} is of the case before a change, and is left out; pour it again")
    return None
