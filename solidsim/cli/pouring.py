"""One case from its file to its run, its pictures and its answer."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from solidsim.case import Case, read_case
from solidsim.cli.answers import changes_document, run_document
from solidsim.cli.filming import film_run
from solidsim.cli.margins import Margins, margins_document, margins_of
from solidsim.cli.output import tell
from solidsim.cli.progress import progress_bar, step_by_step, timed
from solidsim.criteria.finding import Finding
from solidsim.errors import ResultsError, SolverError
from solidsim.model import build_model
from solidsim.results.run import Run
from solidsim.results.writing import part_path
from solidsim.studies.confirming import Change, confirm
from solidsim.studies.pouring import pour_to_file


@dataclass(frozen=True)
class Outcome:
    """A run, its findings, the files written, what reruns changed, wall times [s]."""

    run: Run
    findings: Sequence[Finding]
    written: Mapping[str, Path]
    changes: Sequence[Change]
    margins: Margins | None
    timings: Mapping[str, float]


def pour_case(
    path: Path, folder: Path, *, pictures: bool, movie: bool, confirmed: bool, margins: bool
) -> Outcome:
    """Pour a case into a folder, which is made if missing."""
    timings: dict[str, float] = {}
    with timed(timings, "reading"):
        case = read_case(path)
        model = build_model(case)
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{run_name(case)}.h5"
    try:
        with (
            timed(timings, "computing"),
            progress_bar(model.title) as bar,
            step_by_step(bar) as progress,
        ):
            poured = pour_to_file(model, file, progress)
    except (KeyboardInterrupt, SolverError):
        tell(f"what was computed stands in {part_path(file)}")
        raise
    with timed(timings, "drawing"):
        drawn = _draw(poured.run, file, pictures=pictures, movie=movie)
    changes: tuple[Change, ...] = ()
    if confirmed:
        with timed(timings, "confirming"), progress_bar("on finer cells") as bar:
            changes = confirm(case, model.section, poured.findings, bar)
    found = None
    if margins:
        with timed(timings, "margins"), progress_bar("margins") as bar:
            found = margins_of(case, poured.findings, bar)
    return Outcome(poured.run, poured.findings, {"run": file, **drawn}, changes, found, timings)


def run_name(case: Case) -> str:
    """Name of a case's run: that of its file, for a case.toml that of its folder."""
    if case.name == "case" and case.path is not None:
        return case.path.resolve().parent.name or case.name
    return case.name


def _draw(run: Run, file: Path, *, pictures: bool, movie: bool) -> dict[str, Path]:
    """Draw what was asked for; what a run has no picture of is said."""
    wanted: dict[str, Callable[[], Path]] = {}
    if pictures:
        from solidsim.pictures import draw_edges, draw_feeding, draw_freezing, draw_niyama

        found = {finding["name"] for finding in run.findings}
        wanted["picture"] = lambda: draw_freezing(run, file.with_suffix(".png"))
        wanted["feeding"] = lambda: draw_feeding(run, file.with_name(f"{file.stem}_feeding.png"))
        if "niyama" in found:
            named = file.with_name(f"{file.stem}_niyama.png")
            wanted["niyama"] = lambda: draw_niyama(run, named)
        if "chilled-edge" in found:
            edged = file.with_name(f"{file.stem}_edges.png")
            wanted["edges"] = lambda: draw_edges(run, edged)
    if movie:
        wanted["movie"] = lambda: film_run(run, file.with_suffix(".mp4"))
    drawn = {}
    for name, draw in wanted.items():
        try:
            drawn[name] = draw()
        except ResultsError as error:
            tell(f"warning: {error}")
    return drawn


def pour_document(outcome: Outcome) -> dict[str, Any]:
    """What a pour came to, in SI."""
    return {
        **run_document(outcome.run, outcome.findings),
        "written": outcome.written,
        "on_finer_cells": changes_document(outcome.changes),
        "margins": margins_document(outcome.margins),
        "wall_times": outcome.timings,
    }
