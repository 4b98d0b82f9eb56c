"""`solidsim record`: a form for what happened, beside the case."""

from pathlib import Path

import click

from solidsim.cli.output import json_option, write_json


@click.command(short_help="Write the form for what happened, beside the case.")
@click.argument("case", type=click.Path(path_type=Path))
@json_option
def record(case: Path, as_json: bool) -> None:
    """Write the form for what happened: record.toml beside a case.toml, else NAME.record.toml.

    Fill it in, and judge lays it beside the prediction. An existing record is never written over.
    """
    from solidsim.case import read_case
    from solidsim.cli.recording import write_form

    path = write_form(read_case(case))
    if as_json:
        write_json({"record": path})
    else:
        click.echo(f"wrote {path}; fill it in, then: solidsim judge RUN")
