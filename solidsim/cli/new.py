"""`solidsim new`: a commented case to start from."""

from importlib.resources import files
from pathlib import Path

import click

from solidsim.cli.output import json_option, write_json
from solidsim.errors import SolidsimError


@click.command(short_help="Write a commented case to start from.")
@click.argument("name", type=click.Path(path_type=Path))
@click.option(
    "--units",
    type=click.Choice(["metric", "inch"]),
    default="metric",
    show_default=True,
    help="Units that the case is written in, and answered in.",
)
@json_option
def new(name: Path, units: str, as_json: bool) -> None:
    """Write a commented case to start from: NAME.toml, or the folder NAME with its case.toml.

    An existing file is never written over.
    """
    path = name if name.suffix == ".toml" else name / "case.toml"
    starter = files("solidsim.cli").joinpath(f"starter-{units}.toml").read_text(encoding="utf-8")
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(starter)
    except FileExistsError:
        raise SolidsimError(f"{path} is there already; choose another name") from None
    if as_json:
        write_json({"case": path, "units": units})
    else:
        click.echo(f"wrote {path}; look at it, then: solidsim check {path}")
