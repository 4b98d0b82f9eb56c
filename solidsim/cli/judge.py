"""`solidsim judge`: what a stored run means."""

from pathlib import Path

import click

from solidsim.cli.output import exit_on, fail_on_option, json_option, write_json
from solidsim.errors import ResultsError


@click.command(short_help="Print the findings of a stored run.")
@click.argument("run", type=click.Path(path_type=Path))
@click.option("--record", type=click.Path(path_type=Path),
              help="What happened; the record beside the case without it.")  # fmt: skip
@fail_on_option
@json_option
def judge(run: Path, record: Path | None, fail_on: str | None, as_json: bool) -> None:
    """Print all findings of a stored run, the worst first, and beside them what happened.

    The part file of a run that was stopped is not judged.
    """
    from solidsim.cli.answers import run_document, write_caution, write_run
    from solidsim.cli.recording import comparison_document, find_record, write_comparison
    from solidsim.judgment import judge as judge_run
    from solidsim.report.against_record import compare_record
    from solidsim.results.opening import open_run

    opened = open_run(run)
    if not opened.finished:
        raise ResultsError(f"{run} holds an unfinished run ({opened.stop_reason}); pour it again")
    findings = judge_run(opened)
    happened = find_record(opened, record)
    compared = compare_record(opened, findings, happened) if happened else ()
    if as_json:
        beside = {"against_record": comparison_document(compared)} if happened else {}
        write_json(run_document(opened, findings) | beside)
    else:
        write_run(opened, findings, most=len(findings))
        if happened:
            write_comparison(happened, compared, opened.units)
        write_caution()
    exit_on(findings, fail_on)
