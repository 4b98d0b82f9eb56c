"""Records beside cases: writing the form, finding it again, laying it beside a run."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from solidsim.case import Case, Record, read_record, record_form, record_path
from solidsim.cli.output import table
from solidsim.errors import SolidsimError
from solidsim.quantities import Units, difference_kind
from solidsim.report.against_record import Comparison, written
from solidsim.results.run import Run


def write_form(case: Case) -> Path:
    """Write the form for the record of a case beside it.

    Raises
    ------
    SolidsimError
        If there is a record already.
    """
    path = record_path(case.path or Path(f"{case.name}.toml"))
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(record_form(case))
    except FileExistsError:
        raise SolidsimError(f"{path} is there already; it is not written over") from None
    return path


def find_record(run: Run, given: Path | None) -> Record | None:
    """Read the record that is given, or that stands beside the case of a run, if there is one."""
    path = given
    if path is None:
        case = run.provenance.get("case_file")
        path = record_path(Path(case)) if case else None
        if path is None or not path.is_file():
            return None
    return read_record(path, [part.name for part in run.section.parts])


def write_comparison(record: Record, rows: Sequence[Comparison], units: Units) -> None:
    """Write prediction against record."""
    when = f" of {record.description.date_}" if record.description.date_ else ""
    click.echo(f"Prediction against record{when} ({record.path}):")
    if not rows:
        click.echo("nothing is filled in yet")
        return
    lines = [["what", "part", "predicted", "measured", "difference"]]
    for row in rows:
        kind = difference_kind(row.kind)
        apart = row.difference
        sign = "+" if apart is not None and apart > 0 else ""
        lines.append(
            [
                row.name.replace("_", " "),
                row.part or "",
                *(written(value, row.kind, units) for value in (row.predicted, row.measured)),
                "" if apart is None else sign + written(apart, kind, units),
            ]
        )
    click.echo(table(lines))


def comparison_document(rows: Sequence[Comparison]) -> list[dict[str, Any]]:
    """Prediction against record, in SI."""
    keys = ("name", "part", "kind", "predicted", "measured", "difference")
    return [{key: getattr(row, key) for key in keys} for row in rows]
