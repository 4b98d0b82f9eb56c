"""Columns of numbers, one row a run: as CSV for a spreadsheet and HDF5 for everything else."""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import h5py
import numpy as np

from solidsim.errors import ResultsError
from solidsim.quantities import KINDS, Units, display_unit, in_unit


@dataclass(frozen=True)
class Column:
    """Numbers [SI] of a kind of quantity, NaN where there is none; or words, of kind ``word``."""

    name: str
    kind: str
    values: tuple[float, ...] | tuple[str, ...]


def write_csv(columns: Sequence[Column], path: str | Path, units: Units) -> Path:
    """Write columns in the units of the user, named in the first row.

    Raises
    ------
    ResultsError
        If the file cannot be written.
    """
    path = Path(path)
    titles, texts = zip(*(_texts(column, units) for column in columns), strict=True)
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([titles, *zip(*texts, strict=True)])
    except OSError as error:
        raise ResultsError(f"cannot write {path.name}: {error}") from error
    return path


def _texts(column: Column, units: Units) -> tuple[str, list[str]]:
    if column.kind == "word":
        return column.name, [str(value) for value in column.values]
    numbers = np.array(column.values, float)
    known = numbers[np.isfinite(numbers)]
    unit = display_unit(column.kind, units, float(np.max(np.abs(known), initial=0.0)))
    shown = in_unit(numbers, column.kind, unit)
    title = f"{column.name} ({unit})" if unit else column.name
    return title, [f"{value:.9g}" if np.isfinite(value) else "" for value in shown]


def write_columns(columns: Sequence[Column], path: str | Path, about: Mapping[str, str]) -> Path:
    """Write columns in SI as datasets along ``run``, with their units as attributes.

    Raises
    ------
    ResultsError
        If the file cannot be written.
    """
    path = Path(path)
    part = path.with_name(f"{path.name}.part")
    try:
        with h5py.File(part, "w") as file:
            file.attrs.update(about)
            file["run"] = np.arange(len(columns[0].values))
            file["run"].make_scale("run")
            for column in columns:
                _write_column(file, column)
        part.replace(path)
    except OSError as error:
        raise ResultsError(f"cannot write {path.name}: {error}") from error
    return path


def _write_column(file: h5py.File, column: Column) -> None:
    name = column.name.replace("/", " ")
    if column.kind == "word":
        file.create_dataset(name, data=list(column.values), dtype=h5py.string_dtype())
    else:
        file[name] = np.array(column.values, float)
        file[name].attrs["units"] = KINDS[column.kind].si
    file[name].dims[0].attach_scale(file["run"])
