"""The datasets of a results file: making them all at the start, filling them in at the end."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

import h5py
import numpy as np
from numpy.typing import ArrayLike, NDArray

from solidsim.quantities import FIELDS
from solidsim.results import layout
from solidsim.results.run import Run
from solidsim.section.layout import Section

COLUMN_CHUNK = 128  # rows
PACKED: dict[str, Any] = {"compression": "gzip", "compression_opts": 1, "shuffle": True}


def make_datasets(
    file: h5py.File, title: str, head: dict[str, Any], section: Section, flowing: bool
) -> None:
    """Make every dataset of the layout and fill those known before the pour."""
    file.attrs.update(program=layout.PROGRAM, layout=layout.LAYOUT_VERSION, title=title)
    record = file.create_group("record")
    record["head"] = _json(head)
    record.create_dataset("status", data=b"running", dtype="S9")
    record.create_dataset("outcome", (0,), "u1", maxshape=(None,), chunks=(16384,))
    record["outcome"].make_scale("outcome")
    _make_section(file, section)
    _make_growing(file, section.grid.shape)
    for name in layout.FLOW_FIELDS if flowing else ():
        _make_frames(file, name, section.grid.shape, "f2")


def write_results(file: h5py.File, run: Run) -> None:
    """Fill in what stands at the end of a run, save its frames."""
    for name, values in run.fields.items():
        file[layout.stored_name(name)][...] = values
    account, steps = run.account, run.steps
    _fill(
        file["account"],
        account.times,
        account.released,
        account.stored,
        account.lost,
        account.through_faces,
        account.added,
    )
    _fill(file["steps"], steps.times, steps.lengths, steps.stages, steps.refused)
    for probe in run.probes:
        label = probe.name.encode()[: layout.NAME_BYTES]
        _fill(file["probes"], [label], [probe.x], [probe.y], [len(probe.times)])
        _fill(file["samples"], probe.times, probe.temperatures)


def append(dataset: h5py.Dataset, values: ArrayLike) -> None:
    """Add rows to a dataset that grows."""
    rows = np.asarray(values, dtype=dataset.dtype)
    end = len(dataset)
    dataset.resize(end + len(rows), axis=0)
    dataset[end:] = rows


def append_flow(file: h5py.File, count: int, flows: Sequence[NDArray[Any]] | None) -> None:
    """Add so many snapshots of the flow where the file keeps it; those not given are only room."""
    for place, name in enumerate(layout.FLOW_FIELDS if layout.FLOW_FIELDS[0] in file else ()):
        given = flows[place] if flows is not None else ()
        end = len(file[name])
        if len(given):
            append(file[name], given)
        file[name].resize(end + count, axis=0)


def write_json(dataset: h5py.Dataset, content: dict[str, Any]) -> None:
    """Write plain data as JSON text into a dataset of bytes that grows."""
    append(dataset, np.frombuffer(_json(content).encode(), dtype="u1"))


def _make_section(file: h5py.File, section: Section) -> None:
    grid = section.grid
    for name, values in (
        ("x", grid.x_centers),
        ("y", grid.y_centers),
        ("x_edge", grid.x_edges),
        ("y_edge", grid.y_edges),
    ):
        _describe(file.create_dataset(name, data=values), "m")
        file[name].make_scale(name)
    for name in layout.SECTION_FIELDS:
        _label(file.create_dataset(name, data=getattr(section, name), **PACKED), "y", "x")
    file["part_index"].attrs["flag_values"] = np.arange(len(section.parts) + 1, dtype="i2")
    file["part_index"].attrs["flag_meanings"] = ["mold", *(part.name for part in section.parts)]


def _make_growing(file: h5py.File, shape: tuple[int, int]) -> None:
    _make_table(file, {"time": ("f8", "s")})
    for name in layout.FRAME_FIELDS:
        _make_frames(file, name, shape, "f4")
    for name in layout.CELL_FIELDS:
        stored = layout.stored_name(name)
        field = file.create_dataset(stored, shape, "f8", fillvalue=np.nan, chunks=shape, **PACKED)
        _label(field, "y", "x")
    for name, columns in layout.TABLES.items():
        _make_table(file.create_group(name), columns)


def _make_frames(file: h5py.File, name: str, shape: tuple[int, int], dtype: str) -> None:
    frames = file.create_dataset(
        name, (0, *shape), dtype, maxshape=(None, *shape), chunks=(1, *shape), **PACKED
    )
    _label(frames, "time", "y", "x")


def _make_table(group: h5py.Group, columns: Mapping[str, tuple[Any, str]]) -> None:
    scale, *others = columns
    for name, (dtype, unit) in columns.items():
        column = group.create_dataset(name, (0,), dtype, maxshape=(None,), chunks=(COLUMN_CHUNK,))
        _describe(column, unit)
    group[scale].make_scale(scale)
    for name in others:
        group[name].dims[0].attach_scale(group[scale])


def _label(dataset: h5py.Dataset, *dims: str) -> None:
    field = FIELDS[dataset.name.lstrip("/").removeprefix("final_")]
    _describe(dataset, field.unit)
    dataset.attrs["long_name"] = field.meaning
    for axis, dim in enumerate(dims):
        dataset.dims[axis].attach_scale(dataset.file[dim])


def _describe(dataset: h5py.Dataset, unit: str) -> None:
    if unit:
        dataset.attrs["units"] = unit


def _fill(table: h5py.Group, *columns: Sequence[Any] | NDArray[Any]) -> None:
    for name, values in zip(layout.TABLES[table.name.strip("/")], columns, strict=True):
        append(table[name], values)


def _json(content: dict[str, Any]) -> str:
    return json.dumps(content, default=_plain, ensure_ascii=False)


def _plain(value: Any) -> Any:
    """Arrays and numbers of numpy for JSON."""
    if isinstance(value, np.ndarray | np.generic):
        return value.tolist()
    raise TypeError(f"{type(value).__name__} cannot be kept in a results file")
