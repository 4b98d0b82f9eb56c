"""`solidsim check`: is the case whole, and is it the section that was meant?"""

from pathlib import Path

import click

from solidsim.cli.output import json_option, write_json


@click.command(short_help="Read a case and show its section, without computing it.")
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--picture", type=click.Path(path_type=Path), help="Draw the section to this PNG.")
@json_option
def check(case: Path, picture: Path | None, as_json: bool) -> None:
    """Read a case and show its section: parts as drawn and on the grid, warnings, assumptions.

    Nothing is computed. With no fault in the case the exit code is 0, else 3.
    """
    from solidsim.case import read_case
    from solidsim.cli.answers import model_document, write_model
    from solidsim.model import build_model

    model = build_model(read_case(case))
    if picture:
        from solidsim.cli.pouring import inlets_of
        from solidsim.pictures.section import draw_section

        draw_section(model.section, picture, model.title, model.units, inlets_of(model))
    if as_json:
        write_json(model_document(model) | {"picture": picture})
    else:
        write_model(model)
