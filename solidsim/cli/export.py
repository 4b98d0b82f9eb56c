"""`solidsim export`: a stored run for a spreadsheet or a viewer."""

from pathlib import Path

import click

from solidsim.cli.output import json_option, tell, write_json

ENDINGS = {"cells": "-cells.csv", "curves": "-curves.csv", "vtkhdf": ".vtkhdf"}


@click.command(short_help="Write a stored run as CSV or VTKHDF.")
@click.argument("run", type=click.Path(path_type=Path))
@click.argument("what", type=click.Choice(list(ENDINGS)))
@click.option("--out", type=click.Path(path_type=Path), help="The file; beside RUN without it.")
@json_option
def export(run: Path, what: str, out: Path | None, as_json: bool) -> None:
    """Write a stored run for other programs.

    cells: CSV, a row a cell. curves: CSV, the cooling curves of the probes. vtkhdf: the section
    and its frames for a 3-D viewer.
    """
    from solidsim.results import export as exporting
    from solidsim.results.opening import open_run

    writers = {
        "cells": exporting.export_cells,
        "curves": exporting.export_probes,
        "vtkhdf": exporting.export_vtkhdf,
    }
    opened = open_run(run)
    if not opened.finished:
        tell(f"{run} holds an unfinished run; only what there is of it is written")
    path = writers[what](opened, out or run.with_name(run.stem + ENDINGS[what]))
    if as_json:
        write_json({"title": opened.title, "finished": opened.finished, what: path})
    else:
        click.echo(f"wrote {path}")
