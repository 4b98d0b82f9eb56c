"""The layout of a results file, version 1: what stands where, under which name.

::

    /                     attributes: program, layout (its version), title
      x, y                middles of the cells [m]; the dimension scales of all cell fields
      x_edge, y_edge      edges of the cells [m]
      part_index, depth, face_areas   (y, x)
      time                times of the frames [s], grows with the run
      temperature         (time, y, x) float32
      solid_fraction      (time, y, x) float32
      filled, velocity_x, velocity_y
                          (time, y, x) float16, only where metal flowed with a free surface; kept
                          in the first frames, until the last metal came
      freezing_time, ...  (y, x) float64, every cell field of ``quantities.FIELDS``; one that
                          shares its name with the frames is kept as ``final_NAME``
      probes/             by probe: name, at_x [m], at_y [m], count of its samples
      samples/            the curves of all probes, one after the other: moment [s],
                          temperature [K]
      account/            moment [s]; released, stored, lost, through_faces, added [J]
      steps/              start [s], length [s], stages, refused
      record/status       "running", "complete" or "abandoned"
      record/head         JSON text: title, units, view, parts, alloy, judging, provenance
      record/outcome      JSON text in bytes, empty until the end: stop reason, warnings,
                          findings, fields kept, provenance added during the run

Times, places and values are SI and kelvin, with their unit in the attribute ``units``.
"""

from pathlib import Path

import h5py

from solidsim.quantities import FIELDS

LAYOUT_VERSION = 1
PROGRAM = "solidsim"
PART_SUFFIX = ".part"

FRAME_FIELDS = ("temperature", "solid_fraction")
FLOW_FIELDS = ("filled", "velocity_x", "velocity_y")
SECTION_FIELDS = ("part_index", "depth", "face_areas")
CELL_FIELDS = tuple(name for name in FIELDS if name not in (*SECTION_FIELDS, *FLOW_FIELDS))

NAME_BYTES = 128  # longest name of a probe, in UTF-8
TABLES = {  # growing columns by group: type and unit; the first is the others' dimension scale
    "probes": {
        "name": (h5py.string_dtype("utf-8", NAME_BYTES), ""),
        "at_x": ("f8", "m"),
        "at_y": ("f8", "m"),
        "count": ("i8", "1"),
    },
    "samples": {"moment": ("f8", "s"), "temperature": ("f8", "K")},
    "account": {"moment": ("f8", "s")}
    | dict.fromkeys(("released", "stored", "lost", "through_faces", "added"), ("f8", "J")),
    "steps": {"start": ("f8", "s"), "length": ("f8", "s")}
    | dict.fromkeys(("stages", "refused"), ("i8", "1")),
}


def stored_name(field: str) -> str:
    """Name of a cell field in the file."""
    return f"final_{field}" if field in FRAME_FIELDS else field


def part_path(path: str | Path) -> Path:
    """Where the run of ``path`` stands until it is finished."""
    path = Path(path)
    return path.with_name(path.name + PART_SUFFIX)
