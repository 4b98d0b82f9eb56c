"""Writing a run while it is computed, so that being killed at any moment costs only the rest.

The file grows as ``NAME.h5.part`` in the single-writer multiple-reader mode of HDF5, whose
order of writes keeps it readable at every instant; all datasets are made before that mode
begins, as it demands. Only a whole run takes the name ``NAME.h5``, in one step.
"""

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self

import h5py
from h5py import h5f, h5p
from numpy.typing import ArrayLike, NDArray

from solidsim.criteria.finding import Finding
from solidsim.errors import ResultsError
from solidsim.results import layout
from solidsim.results.datasets import (
    append,
    append_flow,
    make_datasets,
    write_json,
    write_results,
)
from solidsim.results.layout import part_path
from solidsim.results.run import AlloyFacts, JudgingRules, Run
from solidsim.section.layout import Section

HDF5_FORMAT = ("v110", "v110")  # the oldest one that has the single-writer mode


def start_run(
    path: str | Path,
    *,
    title: str,
    units: Literal["metric", "inch"],
    section: Section,
    alloy: AlloyFacts,
    judging: JudgingRules,
    provenance: Mapping[str, Any],
    flowing: bool = False,
) -> "RunWriter":
    """Start the results file of a run; it stands at ``path`` only when the run is finished.

    With ``flowing`` it keeps how full the cells are and how fast their metal moves.

    Raises
    ------
    ResultsError
        If the folder is missing or cannot be written.
    """
    head = {
        "title": title,
        "units": units,
        "view": section.grid.view,
        "section_warnings": section.warnings,
        "parts": [asdict(part) for part in section.parts],
        "alloy": asdict(alloy),
        "judging": asdict(judging),
        "provenance": dict(provenance),
    }
    path = Path(path)
    if not path.parent.is_dir():
        raise ResultsError(f"no folder {path.parent} to write {path.name} in; make it first")
    fresh, part = path.with_name(f"{path.name}.new"), part_path(path)
    with _told(path):
        with h5py.File(fresh, "w", libver=HDF5_FORMAT) as file:
            make_datasets(file, title, head, section, flowing)
        fresh.replace(part)
        return RunWriter(path, _open_for_appending(part), dict(provenance))


def write_run(path: str | Path, run: Run) -> Path:
    """Write a run that is already whole, and return its path."""
    head = ("title", "units", "section", "alloy", "judging", "provenance")
    frames, flow = run.frames, run.frames.flow
    with start_run(
        path, **{name: getattr(run, name) for name in head}, flowing=flow is not None
    ) as writer:
        moving = (flow.filled, flow.velocity_x, flow.velocity_y) if flow else None
        writer.frames(frames.times, frames.temperature, frames.solid_fraction, moving)
        return writer.finish(run)


class RunWriter:
    """The open results file of one run; made by :func:`start_run`.

    As a context manager it abandons the run when the block is left before :meth:`finish`.
    """

    def __init__(self, path: Path, file: h5py.File, provenance: dict[str, Any]):
        self.path = path
        self._part = part_path(path)
        self._file = file
        self._provenance = provenance
        self._identity = _identity(self._part)

    def frame(
        self,
        time: float,
        temperature: NDArray[Any],
        solid_fraction: NDArray[Any],
        flow: Sequence[NDArray[Any]] | None = None,
    ) -> None:
        """Append a snapshot: time [s]; temperature [K] and solid fraction [1], shape (ny, nx).

        ``flow`` is the filled share [1] and the velocity along x and y [m/s] of all cells.
        """
        moving = [field[None] for field in flow] if flow is not None else None
        self.frames([time], temperature[None], solid_fraction[None], moving)

    def frames(
        self,
        times: ArrayLike,
        temperatures: NDArray[Any],
        solid_fractions: NDArray[Any],
        flows: Sequence[NDArray[Any]] | None = None,
    ) -> None:
        """Append snapshots as ``frame`` does, shapes (nt,), (nt, ny, nx); of flows the first."""
        with _told(self.path):
            append_flow(self._file, len(temperatures), flows)
            append(self._file["temperature"], temperatures)
            append(self._file["solid_fraction"], solid_fractions)
            self._file.flush()
            append(self._file["time"], times)  # last: a frame counts when it has its time
            self._file.flush()

    def finish(self, run: Run, findings: Sequence[Finding] = ()) -> Path:
        """Write what stands at the end of a run and give the file its final name.

        Parameters
        ----------
        run : Run
            Its frames are not written; they went through :meth:`frame`.
        findings : sequence of Finding
            In place of those of the run, when there are any.

        Raises
        ------
        ResultsError
            If a field is not of the FIELDS table, or another pour has taken over the file.
        """
        unknown = sorted(set(run.fields) - set(layout.CELL_FIELDS))
        if unknown:
            raise ResultsError(f"no such cell field in the FIELDS table: {', '.join(unknown)}")
        outcome = {
            "stop_reason": run.stop_reason,
            "warnings": run.warnings,
            "fields": list(run.fields),
            "fill": run.fill.as_dict() if run.fill else None,
            "findings": [finding.as_dict() for finding in findings] or run.findings,
            "provenance": {
                key: value
                for key, value in run.provenance.items()
                if key not in self._provenance or self._provenance[key] != value
            },
        }
        with _told(self.path):
            write_results(self._file, run)
            self._close("complete", outcome)
            if _identity(self._part) != self._identity:
                raise ResultsError(f"another pour is writing {self.path.name}; this one is lost")
            self._part.replace(self.path)
            _sync(self.path.parent)
        return self.path

    def abandon(self, reason: str) -> Path:
        """Close an unfinished run with the reason why; it stays under its part name."""
        with _told(self.path):
            self._close("abandoned", {"stop_reason": reason})
        return self._part

    def __enter__(self) -> Self:
        """Give the writer to a block."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Abandon the run unless the block has finished it."""
        if self._file:
            reason = (str(error) or kind.__name__) if kind else "left before it was finished"
            self.abandon(reason)

    def _close(self, status: str, outcome: dict[str, Any]) -> None:
        write_json(self._file["record/outcome"], outcome)
        self._file.flush()
        self._file["record/status"][()] = status.encode()
        self._file.close()
        _sync(self._part)


def _open_for_appending(path: Path) -> h5py.File:
    """Open in the single-writer mode at once: h5py's own way has a moment without it."""
    access = h5p.create(h5p.FILE_ACCESS)
    access.set_libver_bounds(h5f.LIBVER_V110, h5f.LIBVER_V110)
    flags = h5f.ACC_RDWR | h5f.ACC_SWMR_WRITE
    return h5py.File(h5f.open(os.fsencode(path), flags, access))


def _identity(path: Path) -> tuple[int, int]:
    status = path.stat()
    return status.st_dev, status.st_ino


def _sync(path: Path) -> None:
    if path.is_dir() and os.name == "nt":
        return  # Windows has no handle for a folder
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Say in one line what failed; HDF5 raises RuntimeError where a disk is full."""
    try:
        yield
    except (OSError, RuntimeError) as error:
        raise ResultsError(f"cannot write {path.name}: {error}") from error
