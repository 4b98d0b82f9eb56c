"""`solidsim pour`: from a case to findings, pictures and a results file."""

from contextlib import nullcontext
from pathlib import Path

import click

from solidsim.cli.output import exit_on, fail_on_option, json_option, loading, write_json


@click.command(short_help="Compute a case: findings, pictures, results file.")
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), default="runs", show_default=True,
              help="Folder for what is written; made if missing.")  # fmt: skip
@click.option("--movie", is_flag=True, help="Make the film, too.")
@click.option("--no-pictures", is_flag=True, help="Write the results file alone.")
@click.option("--confirm", is_flag=True, help="Repeat on cells half as wide; say what changes.")
@click.option("--margins", is_flag=True,
              help="Coarse reruns: how far may pour, feeder, neck change?")  # fmt: skip
@click.option("-v", "--verbose", is_flag=True, help="Accounts, steps, wall time, assumptions.")
@fail_on_option
@json_option
def pour(
    case: Path,
    out: Path,
    movie: bool,
    no_pictures: bool,
    confirm: bool,
    margins: bool,
    verbose: bool,
    fail_on: str | None,
    as_json: bool,
) -> None:
    """Compute a case from the pour to its stop and say what it means, the worst first.

    Writes the section as drawn, NAME_section.png, before anything is computed; then NAME.h5, the
    freezing picture NAME.png, the feeding map NAME_feeding.png, the Niyama map NAME_niyama.png,
    for gray iron NAME_edges.png (chilled edges) and with --movie the film NAME.mp4; NAME is that
    of the case file, or of the folder of a case.toml.
    """
    from solidsim.cli.drawing import pictures_begun

    with nullcontext() if no_pictures else pictures_begun() as pictures:
        with loading():
            from solidsim.cli.pouring import pour_case, pour_document

        poured = pour_case(case, out, pictures, movie=movie, confirmed=confirm, margins=margins)
    from solidsim.cli import answers
    from solidsim.cli.margins import write_margins

    if as_json:
        write_json(pour_document(poured))
    else:
        rest = f"solidsim judge {poured.written['run']}"
        answers.write_run(poured.run, poured.findings, answers.MOST_FINDINGS, rest)
        if poured.changes:
            answers.write_changes(poured.changes, poured.run.units)
        if poured.margins:
            write_margins(poured.margins, poured.run.units)
        if verbose:
            answers.write_details(poured.run, poured.timings)
        click.echo(f"wrote {', '.join(str(path) for path in poured.written.values())}")
        answers.write_caution()
    exit_on(poured.findings, fail_on)
