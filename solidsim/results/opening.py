"""Opening a results file, finished or not."""

import json
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from solidsim.errors import ResultsError
from solidsim.fill.record import fill_record
from solidsim.materials.irons import Iron
from solidsim.materials.material import VolumeLaw
from solidsim.results import layout
from solidsim.results.layout import part_path
from solidsim.results.run import (
    AlloyFacts,
    EnergyAccount,
    FlowFrames,
    Frames,
    JudgingRules,
    ProbeCurve,
    Run,
    StepHistory,
)
from solidsim.results.unfinished import closed_copy
from solidsim.section.grid import Grid
from solidsim.section.layout import Part, Section

LIVE_TRIES = 3  # a file that is just being written may be caught between two blocks


def open_run(path: str | Path) -> Run:
    """Read a run from a results file.

    A part file left by a pour that was stopped, or is still going on, gives the frames it has,
    no fields, and ``finished`` false.

    Raises
    ------
    ResultsError
        If there is no such file, or it is not one this version can read.
    """
    path = Path(path)
    if not path.is_file():
        part = part_path(path)
        hint = f"; an unfinished run stands at {part.name}" if part.is_file() else ""
        raise ResultsError(f"no results file {path}{hint}")
    tries = 0
    while True:
        try:
            with _opened(path) as file:
                _check_layout(file, path)
                return _read_run(file)
        except (OSError, RuntimeError, KeyError, json.JSONDecodeError) as error:
            tries += 1
            if tries == LIVE_TRIES:
                message = f"{path} is cut short, damaged or no results file: {error}"
                raise ResultsError(message) from error


def _opened(path: Path) -> h5py.File:
    try:
        return h5py.File(path, "r")
    except OSError:  # so it is when the writer was killed or is still at work
        return h5py.File(closed_copy(path), "r")


def _check_layout(file: h5py.File, path: Path) -> None:
    if file.attrs.get("program") != layout.PROGRAM:
        raise ResultsError(f"{path} is an HDF5 file, but not one of {layout.PROGRAM}")
    if file.attrs["layout"] > layout.LAYOUT_VERSION:
        raise ResultsError(
            f"{path} has results layout {file.attrs['layout']}, this version reads up to "
            f"{layout.LAYOUT_VERSION}; update {layout.PROGRAM}"
        )


def _read_run(file: h5py.File) -> Run:
    status = file["record/status"][()].decode()
    head = json.loads(file["record/head"].asstr()[()])
    outcome = json.loads(file["record/outcome"][:].tobytes()) if status != "running" else {}
    return Run(
        title=head["title"],
        units=head["units"],
        section=_read_section(file, head),
        alloy=_read_alloy(head["alloy"]),
        judging=_read_judging(head["judging"]),
        fields={name: file[layout.stored_name(name)][:] for name in outcome.get("fields", ())},
        frames=_read_frames(file),
        probes=_read_probes(file),
        account=EnergyAccount(*_columns(file, "account")),
        steps=StepHistory(*_columns(file, "steps")),
        stop_reason=outcome.get("stop_reason", "stopped before it was finished"),
        finished=status == "complete",
        warnings=tuple(outcome.get("warnings", ())),
        provenance=head["provenance"] | outcome.get("provenance", {}),
        findings=tuple(_with_place(finding) for finding in outcome.get("findings", ())),
        fill=fill_record(outcome["fill"]) if outcome.get("fill") else None,
    )


def _read_alloy(facts: dict[str, Any]) -> AlloyFacts:
    facts = dict(facts)
    law, iron = facts.get("volume"), facts.get("iron")
    if law is not None:
        arrays = {name: np.array(values) for name, values in law.items()}
        facts["volume"] = VolumeLaw(**arrays | {"liquid_contraction": law["liquid_contraction"]})
    if iron is not None:
        facts["iron"] = Iron(**iron)
    return AlloyFacts(**facts)


def _read_judging(rules: dict[str, Any]) -> JudgingRules:
    return JudgingRules(**rules | {"open_parts": tuple(rules.get("open_parts", ()))})


def _read_section(file: h5py.File, head: dict[str, Any]) -> Section:
    parts = (
        part | {"outlines": tuple(np.array(outline) for outline in part["outlines"])}
        for part in head["parts"]
    )
    return Section(
        grid=Grid(file["x_edge"][:], file["y_edge"][:], head["view"]),
        parts=tuple(Part(**part) for part in parts),
        part_index=file["part_index"][:],
        depth=file["depth"][:],
        face_areas=file["face_areas"][:],
        warnings=tuple(head["section_warnings"]),
    )


def _read_frames(file: h5py.File) -> Frames:
    """All frames; of the flow those up to the last one that was kept."""
    times, flow = file["time"][:], None
    if layout.FLOW_FIELDS[0] in file:
        filled = file[layout.FLOW_FIELDS[0]][: times.size]
        count = np.max(np.flatnonzero(filled.any(axis=(1, 2))), initial=-1) + 1
        moving = (file[name][:count] for name in layout.FLOW_FIELDS[1:])
        flow = FlowFrames(filled[:count], *moving)
    temperature, solid_fraction = (file[name][: times.size] for name in layout.FRAME_FIELDS)
    return Frames(times, temperature, solid_fraction, flow)


def _read_probes(file: h5py.File) -> tuple[ProbeCurve, ...]:
    times, temperatures = _columns(file, "samples")
    probes, start = [], 0
    for name, x, y, count in zip(*_columns(file, "probes"), strict=True):
        own = slice(start, start + count)
        probes.append(
            ProbeCurve(
                name.decode(errors="ignore"), float(x), float(y), times[own], temperatures[own]
            )
        )
        start += count
    return tuple(probes)


def _columns(file: h5py.File, table: str) -> list[np.ndarray]:
    return [file[table][name][:] for name in layout.TABLES[table]]


def _with_place(finding: dict[str, Any]) -> dict[str, Any]:
    place = finding.get("place")
    return finding | {"place": tuple(place)} if place is not None else finding
