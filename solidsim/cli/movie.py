"""`solidsim movie`: a stored run as a film."""

from pathlib import Path

import click

from solidsim.cli.output import json_option, tell, write_json


@click.command(short_help="Make the film of a stored run.")
@click.argument("run", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="The file; RUN.mp4 without it.")
@json_option
def movie(run: Path, out: Path | None, as_json: bool) -> None:
    """Make the film of a stored run: metal as it comes, cools and freezes, with a clock."""
    from solidsim.cli.filming import film_run
    from solidsim.results.opening import open_run

    opened = open_run(run)
    if not opened.finished:
        tell(f"{run} holds an unfinished run; the film shows what there is of it")
    film = film_run(opened, out or run.with_suffix(".mp4"))
    if as_json:
        write_json({"title": opened.title, "finished": opened.finished, "movie": film})
    else:
        click.echo(f"wrote {film}")
