"""One case from its file to its run, its pictures and its answer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from solidsim.case import Case, read_case
from solidsim.cli.drawing import Picture, Pictures
from solidsim.cli.output import loading, tell
from solidsim.cli.progress import progress_bar, step_by_step, timed
from solidsim.errors import ResultsError, SolverError
from solidsim.model import Model, build_model

if TYPE_CHECKING:
    from solidsim.cli.margins import Margins
    from solidsim.criteria.finding import Finding
    from solidsim.fill.record import Inlet
    from solidsim.results.run import Run
    from solidsim.studies.confirming import Change
    from solidsim.studies.pouring import Poured


@dataclass(frozen=True)
class Outcome:
    """A run, its findings, the files written, what reruns changed, wall times [s]."""

    run: "Run"
    findings: Sequence["Finding"]
    written: Mapping[str, Path]
    changes: Sequence["Change"]
    margins: "Margins | None"
    timings: Mapping[str, float]


def pour_case(
    path: Path, folder: Path, pictures: Pictures | None, *, movie: bool, confirmed: bool,
    margins: bool,
) -> Outcome:  # fmt: skip
    """Pour a case into a folder, which is made if missing."""
    timings: dict[str, float] = {}
    with timed(timings, "reading"):
        case = read_case(path)
        model = build_model(case)
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{run_name(case)}.h5"
    if pictures:
        words = {"title": model.title, "units": model.units, "inlets": inlets_of(model)}
        pictures.ask([Picture("section", _beside(file, "section"), model.section, words)])
    with timed(timings, "computing"):
        poured = _compute(model, file)
    with timed(timings, "drawing"):
        drawn = _draw(poured, pictures, movie=movie)
    changes: tuple[Change, ...] = ()
    found = None
    if confirmed or margins:
        from solidsim.cli.margins import margins_of
        from solidsim.studies.confirming import confirm

    if confirmed:
        with timed(timings, "confirming"), progress_bar("on finer cells") as bar:
            changes = confirm(case, model.section, poured.findings, bar)
    if margins:
        with timed(timings, "margins"), progress_bar("margins") as bar:
            found = margins_of(case, poured.findings, bar)
    return Outcome(poured.run, poured.findings, {"run": file, **drawn}, changes, found, timings)


def inlets_of(model: Model) -> "tuple[Inlet, ...]":
    """Where the metal comes in; a mold that is full at once has no mouth."""
    if model.pour.fill == "at-once":
        return ()
    with loading():
        from solidsim.fill.inlets import find_inlets
    return find_inlets(model)


def _compute(model: Model, file: Path) -> "Poured":
    """Compute a model into its file; where that is stopped, what there is is named."""
    with loading():
        from solidsim.results.writing import part_path
        from solidsim.studies.pouring import pour_to_file
    try:
        with progress_bar(model.title) as bar, step_by_step(bar) as progress:
            return pour_to_file(model, file, progress)
    except (KeyboardInterrupt, SolverError):
        tell(f"what was computed stands in {part_path(file)}")
        raise


def run_name(case: Case) -> str:
    """Name of a case's run: that of its file, for a case.toml that of its folder."""
    if case.name == "case" and case.path is not None:
        return case.path.resolve().parent.name or case.name
    return case.name


def _draw(poured: "Poured", pictures: Pictures | None, *, movie: bool) -> dict[str, Path]:
    """Draw what was asked for; what a run has no picture of is said."""
    run, file, drawn = poured.run, poured.path, {}
    if pictures:
        found = {finding.name for finding in poured.findings}
        asked = {"picture": file.with_suffix(".png")}
        if "niyama" in found:
            asked["niyama"] = _beside(file, "niyama")
        if "chilled-edge" in found:
            asked["edges"] = _beside(file, "edges")
        asked["feeding"] = _beside(file, "feeding")  # the longest, for this process
        still = _without_frames(run)
        pictures.ask(Picture(name, path, still) for name, path in asked.items())
    if movie:
        from solidsim.cli.filming import film_run

        try:
            drawn["movie"] = film_run(run, file.with_suffix(".mp4"))
        except ResultsError as error:
            tell(f"warning: {error}")
    return {**pictures.finish(), **drawn} if pictures else drawn


def _without_frames(run: "Run") -> "Run":
    """A run as pictures need it, small enough to be handed over."""
    fields = ("times", "temperature", "solid_fraction")
    none = {name: getattr(run.frames, name)[:0] for name in fields}
    return replace(run, frames=replace(run.frames, **none, flow=None))


def _beside(file: Path, what: str) -> Path:
    return file.with_name(f"{file.stem}_{what}.png")


def pour_document(outcome: Outcome) -> dict[str, Any]:
    """What a pour came to, in SI."""
    from solidsim.cli.answers import changes_document, run_document
    from solidsim.cli.margins import margins_document

    return {
        **run_document(outcome.run, outcome.findings),
        "written": outcome.written,
        "on_finer_cells": changes_document(outcome.changes),
        "margins": margins_document(outcome.margins),
        "wall_times": outcome.timings,
    }
