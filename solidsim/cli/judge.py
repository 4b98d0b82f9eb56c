"""`solidsim judge`: what a stored run means."""

from pathlib import Path

import click

from solidsim.cli.output import exit_on, fail_on_option, json_option, write_json
from solidsim.errors import ResultsError


@click.command(short_help="Print the findings of a stored run.")
@click.argument("run", type=click.Path(path_type=Path))
@fail_on_option
@json_option
def judge(run: Path, fail_on: str | None, as_json: bool) -> None:
    """Print all findings of a stored run, the worst first.

    The part file of a run that was stopped is not judged.
    """
    from solidsim.cli.answers import run_document, write_caution, write_run
    from solidsim.judgment import judge as judge_run
    from solidsim.results.opening import open_run

    opened = open_run(run)
    if not opened.finished:
        raise ResultsError(f"{run} holds an unfinished run ({opened.stop_reason}); pour it again")
    findings = judge_run(opened)
    if as_json:
        write_json(run_document(opened, findings))
    else:
        write_run(opened, findings, most=len(findings))
        write_caution()
    exit_on(findings, fail_on)
