"""`solidsim compare`: two or more layouts side by side."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solidsim.cli.output import json_option, symbol, table, write_json
from solidsim.cli.studying import chosen_workers, watched_runs, worker_options

if TYPE_CHECKING:
    from solidsim.results.run import Run
    from solidsim.studies.comparing import Comparison, Line
    from solidsim.studies.workers import Workers


@click.command(short_help="Set two or more layouts side by side.")
@click.argument("layouts", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), default="runs", show_default=True,
              help="Folder for what is written; made if missing.")  # fmt: skip
@click.option("--name", default="comparison", show_default=True,
              help="Name of the files that are written.")  # fmt: skip
@click.option("--movie", is_flag=True, help="Make the film of all of them on one clock, too.")
@worker_options
@json_option
def compare(
    layouts: tuple[Path, ...], out: Path, name: str, movie: bool, workers: int,
    scheduler: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Set cases or stored runs side by side: findings, what differs, and which is best.

    Cases are computed, each once. Writes NAME.png with all freezing maps at one scale, and
    NAME.html with everything in it.
    """
    from solidsim.errors import ResultsError
    from solidsim.pictures.comparison import draw_comparison
    from solidsim.studies.comparing import compare as compare_runs
    from solidsim.studies.comparison_page import write_page

    if len(layouts) < 2:
        raise click.UsageError("name two layouts or more")
    runs = _runs(layouts, out / f"{name}_runs", chosen_workers(workers, scheduler))
    if faulty := [path for path, run in zip(layouts, runs, strict=True) if not run.finished]:
        raise ResultsError(f"{faulty[0]} holds an unfinished run; pour it again")
    comparison = compare_runs([chr(ord("A") + n) for n in range(len(runs))], runs)
    headings = _headings(comparison)
    files = [draw_comparison(runs, headings, out / f"{name}.png", title="Freezing side by side")]
    if movie:
        files.append(_film(runs, headings, out / f"{name}.mp4"))
    files.append(write_page(comparison, out / f"{name}.html", pictures=files))
    if as_json:
        write_json(_document(comparison, layouts, files))
    else:
        _write(comparison)
        click.echo(f"wrote {', '.join(str(file) for file in files)}")


def _runs(layouts: Sequence[Path], folder: Path, workers: "Workers") -> list["Run"]:
    """Open the stored runs and compute the cases."""
    from solidsim.case import read_case
    from solidsim.errors import SolverError
    from solidsim.results.opening import open_run
    from solidsim.studies.running import run_many
    from solidsim.studies.variants import variant_text

    stored = {path for path in layouts if path.suffix == ".h5"}
    cases = [path for path in layouts if path not in stored]
    texts = [variant_text(read_case(path), []) for path in cases]
    found = {path: path for path in stored}
    folder.parent.mkdir(parents=True, exist_ok=True)
    if texts:
        with watched_runs("comparison") as progress:
            outcomes = run_many(texts, folder, workers=workers, progress=progress)
        for path, outcome in zip(cases, outcomes, strict=True):
            if outcome.path is None:
                raise SolverError(f"{path}: {outcome.error}")
            found[path] = outcome.path
    return [open_run(found[path]) for path in layouts]


def _film(runs: Sequence["Run"], headings: Sequence[str], path: Path) -> Path:
    from solidsim.cli.progress import progress_bar
    from solidsim.pictures.comparison_film import make_comparison_film

    with progress_bar("film") as progress:
        title = "Freezing side by side"
        return make_comparison_film(runs, headings, path, title=title, progress=progress).path


def _headings(comparison: "Comparison") -> list[str]:
    return [f"{name}: {run.title}" for name, run in
            zip(comparison.names, comparison.runs, strict=True)]  # fmt: skip


def _write(comparison: "Comparison") -> None:
    for heading in _headings(comparison):
        click.echo(heading)
    click.echo(table([["", *comparison.names], *map(_cells, comparison.lines)]))
    click.echo("* best of the line; of several findings of one name the worst")
    rows = [["what differs", *comparison.names]]
    rows += [[key, *map(_short, texts)] for key, texts in comparison.differences]
    click.echo(table(rows))
    click.echo(comparison.judgment)


def _cells(line: "Line") -> list[str]:
    cells = [line.name]
    for number, (text, verdict) in enumerate(zip(line.texts, line.verdicts, strict=True)):
        sign = f"{symbol(verdict)} " if verdict else ""
        cells.append(f"{sign}{text}{' *' if number in line.winners else ''}")
    return cells


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:37]}..."


def _document(
    comparison: "Comparison", layouts: Sequence[Path], files: Sequence[Path]
) -> dict[str, Any]:
    names = comparison.names
    lines = [
        {
            "name": line.name,
            "kind": line.kind,
            "values": dict(zip(names, line.values, strict=True)),
            "verdicts": dict(zip(names, line.verdicts, strict=True)),
            "best": [names[n] for n in line.winners],
        }
        for line in comparison.lines
    ]
    return {
        "layouts": dict(zip(names, layouts, strict=True)),
        "titles": {name: run.title for name, run in zip(names, comparison.runs, strict=True)},
        "findings": {name: run.findings for name, run in zip(names, comparison.runs, strict=True)},
        "lines": lines,
        "differences": [
            {"key": key, "values": dict(zip(names, texts, strict=True))}
            for key, texts in comparison.differences
        ],
        "verdicts": dict(zip(names, comparison.verdicts, strict=True)),
        "best": None if comparison.winner is None else names[comparison.winner],
        "rule": comparison.judgment,
        "written": files,
    }
