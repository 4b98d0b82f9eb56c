"""What may be wrong with a drawing on its grid: faults stop the case, warnings go with the run."""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.errors import SectionError
from solidsim.quantities import Units, write_quantity
from solidsim.section.layout import Part
from solidsim.section.shapes import Shape, TightFillet

Key = tuple[str | int, ...]
Report = Callable[[Key, str, str, str], None]

MOST_CELLS = 2_000_000
"""More cells than this are taken for a slip of the pen."""
TOLERANCE = 0.005
"""A part whose cells differ more than this from the drawing gets a warning."""

_HIDDEN = 0.01  # a part of which less than this shows counts as painted over


class Fault(NamedTuple):
    """A fault and the key of the case it belongs to."""

    key: Key
    given: str
    allowed: str
    write: str


class MovedLine(NamedTuple):
    """A side that lies too near to another one for a grid line of its own, [m]."""

    axis: str
    drawn: float
    gridded: float


def stop_at(faults: Iterable[Fault], report: Report | None) -> None:
    """Report every fault; raise SectionError if there was one."""
    said = []
    for fault in faults:
        if report:
            report(*fault)
        dotted = ".".join(map(str, fault.key))
        said.append(f"{dotted}: {fault.given}; {fault.allowed}; write {fault.write}")
    if said:
        raise SectionError("\n".join(said))


def drawing_faults(plain: Sequence[BaseGeometry]) -> list[Fault]:
    """Shapes that enclose nothing or cross themselves."""
    return [
        Fault(
            ("part", index),
            "an outline that crosses itself or encloses nothing",
            "a simple outline around some area",
            "the corners in their order around the part, each once",
        )
        for index, shape in enumerate(plain)
        if not shape.is_valid or shape.area == 0.0
    ]


def showing_faults(shapes: Sequence[Shape]) -> list[Fault]:
    """Parts outside the box, or no metal that shows."""
    faults = [
        Fault(
            ("part", index),
            f'"{shape.part.name}" lies outside the box',
            "parts inside mold.box",
            "a larger box, or leave the box out",
        )
        for index, shape in enumerate(shapes)
        if shape.outline.is_empty
    ]
    if not faults and not any(shape.metal and shape.visible.area > 0.0 for shape in shapes):
        return [
            Fault(
                ("part",),
                "no metal shows",
                "at least one metal part that is not painted over by later parts",
                'a part with role = "casting" after the parts that hide it',
            )
        ]
    return faults


def size_faults(count: float, cell: float, units: Units) -> list[Fault]:
    """A cell so fine that the run would not fit the machine; count is the cells it makes."""
    if count <= MOST_CELLS:
        return []
    coarser = cell * 1.1 * (count / MOST_CELLS) ** 0.5
    return [
        Fault(
            ("section", "cell"),
            f"{write_quantity(cell, 'length', units)} makes {count:,.0f} cells",
            f"at most {MOST_CELLS:,}",
            _cell_to_write(coarser, units),
        )
    ]


def painting_faults(
    shapes: Sequence[Shape], part_index: NDArray[np.int16], units: Units
) -> list[Fault]:
    """Parts too thin to get a cell."""
    thin = [
        shape
        for number, shape in enumerate(shapes, start=1)
        if not _painted_over(shape) and not (part_index == number).any()
    ]
    if not thin:
        return []
    thickness = min(2.0 * shape.visible.area / shape.visible.length for shape in thin)
    names = ", ".join(f'"{shape.part.name}"' for shape in thin)
    return [
        Fault(
            ("section", "cell"),
            f"too coarse for {names}, which would get no cell",
            "a cell no wider than the thinnest part",
            _cell_to_write(thickness, units),
        )
    ]


def fillet_warnings(tight: Sequence[TightFillet], units: Units) -> list[str]:
    """Fillets left out."""
    return [
        f'part "{place.part.name}": no room for the fillet of '
        f"{write_quantity(place.part.fillet, 'length', units)} at "
        f"({_point(place.x, place.y, units)}), where two sides face each other nearer than twice "
        "that; left as drawn"
        for place in tight
    ]


def line_warnings(moved: Sequence[MovedLine], units: Units) -> list[str]:
    """Sides too near to each other for the cell."""
    return [
        f"the side at {line.axis} = {write_quantity(line.drawn, 'length', units)} was moved to "
        f"{write_quantity(line.gridded, 'length', units)}, a neighbor nearer than a fifth of a cell"
        for line in moved
    ]


def part_warnings(parts: Sequence[Part], shapes: Sequence[Shape]) -> list[str]:
    """Parts painted over, and parts whose cells are not quite the drawing."""
    warnings = []
    for part, shape in zip(parts, shapes, strict=True):
        if _painted_over(shape):
            warnings.append(f'part "{part.name}" is painted over by later parts')
            continue
        area = part.gridded_area / part.drawn_area - 1.0
        volume = part.gridded_volume / part.drawn_volume - 1.0
        kind, error = ("volume", volume) if abs(volume) > abs(area) + 1e-6 else ("area", area)
        if abs(error) > TOLERANCE:
            warnings.append(
                f'part "{part.name}": its cells have {abs(error):.1%} '
                f"{'more' if error > 0 else 'less'} {kind} than the drawing; "
                "a finer cell comes nearer"
            )
    return warnings


def _painted_over(shape: Shape) -> bool:
    return shape.visible.area < _HIDDEN * shape.outline.area


def _cell_to_write(cell: float, units: Units) -> str:
    return f'"{write_quantity(float(f"{cell:.1e}"), "length", units)}"'


def _point(x: float, y: float, units: Units) -> str:
    return ", ".join(write_quantity(value, "length", units) for value in (x, y))
