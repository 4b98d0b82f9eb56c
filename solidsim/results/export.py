"""Taking a run elsewhere: tables for a spreadsheet and VTKHDF for a general 3-D viewer."""

import csv
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import ArrayLike, NDArray

from solidsim.errors import ResultsError
from solidsim.quantities import FIELDS, display_unit, in_unit
from solidsim.results import layout
from solidsim.results.run import Run

VTKHDF_VERSION = (2, 0)  # the first with time steps; every later 2.x reader takes it
VTK_QUAD = 9


def export_cells(run: Run, path: str | Path) -> Path:
    """Write one row a cell, row by row from below: place, part and fields, in the run's units.

    Raises
    ------
    ResultsError
        If the file cannot be written.
    """
    section = run.section
    x, y = np.meshgrid(section.grid.x_centers, section.grid.y_centers)
    names = np.array(["mold", *(part.name for part in section.parts)])
    columns = {
        _titled(run, "x", "length"): _texts(run, x, "length"),
        _titled(run, "y", "length"): _texts(run, y, "length"),
        "part": names[section.part_index].ravel().tolist(),
    }
    for name, values in run.fields.items():
        kind = FIELDS[name].kind
        columns[_titled(run, name.replace("_", " "), kind)] = _texts(run, values, kind)
    return _write_table(path, columns)


def export_probes(run: Run, path: str | Path) -> Path:
    """Write the cooling curves as one table in the run's units: time, then a column a probe.

    Raises
    ------
    ResultsError
        If the run has no probes or the file cannot be written.
    """
    if not run.probes:
        raise ResultsError("the run has no probes; add a [[probe]] to its case and pour again")
    times = np.unique(np.concatenate([probe.times for probe in run.probes]))
    columns = {_titled(run, "time", "time"): _texts(run, times, "time")}
    for probe in run.probes:
        curve = np.interp(times, probe.times, probe.temperatures, left=np.nan, right=np.nan)
        columns[_titled(run, probe.name, "temperature")] = _texts(run, curve, "temperature")
    return _write_table(path, columns)


def export_vtkhdf(run: Run, path: str | Path) -> Path:
    """Write the section and its frames as VTKHDF, in SI.

    The grid is written as quadrilaterals in the plane z = 0: graded rectilinear grids are read
    only since version 2.7 of the format.

    Raises
    ------
    ResultsError
        If the file cannot be written.

    References
    ----------
    VTKHDF format specification, sections "Unstructured grid" and "Temporal data",
    https://docs.vtk.org/en/latest/vtk_file_formats/vtkhdf_file_format/
    """
    path = Path(path)
    cells = {name: getattr(run.section, name) for name in layout.SECTION_FIELDS}
    cells |= {layout.stored_name(name): values for name, values in run.fields.items()}
    try:
        with h5py.File(path, "w", libver=("earliest", "v110")) as file:
            root = file.create_group("VTKHDF")
            root.attrs["Version"] = np.array(VTKHDF_VERSION)
            root.attrs["Type"] = np.bytes_("UnstructuredGrid")
            _write_quads(root, run.section.grid.x_edges, run.section.grid.y_edges)
            for name, values in cells.items():
                root[f"CellData/{name}"] = values.ravel()
            if run.frames.times.size:
                _write_steps(root, run)
    except OSError as error:
        raise ResultsError(f"cannot write {path.name}: {error}") from error
    return path


def _write_quads(root: h5py.Group, x_edges: NDArray[Any], y_edges: NDArray[Any]) -> None:
    x, y = np.meshgrid(x_edges, y_edges)
    corners = np.arange(x.size).reshape(x.shape)
    around = (corners[:-1, :-1], corners[:-1, 1:], corners[1:, 1:], corners[1:, :-1])
    quads = np.stack(around, axis=-1).reshape(-1, 4)
    root["NumberOfPoints"], root["NumberOfCells"] = [x.size], [len(quads)]
    root["NumberOfConnectivityIds"] = [quads.size]
    root["Points"] = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    root["Connectivity"] = quads.ravel()
    root["Offsets"] = np.arange(len(quads) + 1) * 4
    root["Types"] = np.full(len(quads), VTK_QUAD, dtype=np.uint8)


def _write_steps(root: h5py.Group, run: Run) -> None:
    """One mesh for all times; only the two frame fields move on through their arrays."""
    count, still = run.frames.times.size, np.zeros(run.frames.times.size, dtype=np.int64)
    steps = root.create_group("Steps")
    steps.attrs["NSteps"] = count
    steps["Values"] = run.frames.times
    steps["PartOffsets"], steps["PointOffsets"] = still, still
    steps["NumberOfParts"] = still + 1
    steps["CellOffsets"], steps["ConnectivityIdOffsets"] = still[:, None], still[:, None]
    for name in root["CellData"]:
        steps[f"CellDataOffsets/{name}"] = still
    for name in layout.FRAME_FIELDS:
        values = getattr(run.frames, name)
        root.create_dataset(f"CellData/{name}", data=values.ravel(), compression=1, shuffle=True)
        steps[f"CellDataOffsets/{name}"] = np.arange(count) * values[0].size


def _titled(run: Run, name: str, kind: str) -> str:
    unit = display_unit(kind, run.units)
    return f"{name} ({unit})" if unit else name


def _texts(run: Run, values: ArrayLike, kind: str) -> list[str]:
    """Values [SI] in the unit of the column's title to nine digits, empty where unknown."""
    numbers = in_unit(np.asarray(values, dtype=float), kind, display_unit(kind, run.units))
    return ["" if number != number else f"{number:.9g}" for number in numbers.ravel().tolist()]


def _write_table(path: str | Path, columns: dict[str, list[str]]) -> Path:
    path = Path(path)
    try:
        with path.open("w", newline="", encoding="utf-8-sig") as file:
            writer = csv.writer(file)
            writer.writerow(columns)
            writer.writerows(zip(*columns.values(), strict=True))
    except OSError as error:
        raise ResultsError(f"cannot write {path.name}: {error.strerror}") from error
    return path
