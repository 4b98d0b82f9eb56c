"""Moduli of the parts of a drawn section, from the drawing itself and not from the cells."""

from dataclasses import dataclass
from functools import reduce

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.section.depth import THROUGH
from solidsim.section.fillets import TOUCH, close_seams
from solidsim.section.layout import METAL_ROLES, Part, Section

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PartModulus:
    """A metal part by its volume [m3] and the surface [m2] it shares with no other metal."""

    name: str
    role: str
    volume: float
    cooling_area: float

    @property
    def modulus(self) -> float:
        """Volume over cooling surface, [m]; endless where nothing cools."""
        return self.volume / self.cooling_area if self.cooling_area > 0.0 else np.inf


def part_moduli(section: Section) -> tuple[PartModulus, ...]:
    """Moduli of the metal parts that show, in the order of the drawing.

    Add volumes and areas for the modulus of parts taken together. Metal at the edge of the
    box does not cool there. A part drawn ``through`` has no ends; one with a depth has two; a
    round one is a body of revolution about the upright through its middle.

    Parameters
    ----------
    section : Section
    """
    visible = _visible(section)
    poured = [shape for part, shape in visible if part.role in METAL_ROLES]
    edges = section.grid.x_edges, section.grid.y_edges
    left, right, low, high = (edge[end] for edge in edges for end in (0, -1))
    inside = shapely.box(left, low, right, high).buffer(-TOUCH, join_style="mitre")
    skin = close_seams(shapely.union_all(poured)).boundary & inside
    return tuple(
        PartModulus(
            part.name,
            part.role,
            part.drawn_volume,
            _cooling_area(section, part.name, shape, skin & shape.buffer(2.0 * TOUCH)),
        )
        for part, shape in visible
        if part.role in METAL_ROLES
    )


def _visible(section: Section) -> list[tuple[Part, BaseGeometry]]:
    """Parts that show, each with what the later ones leave of it."""
    found: list[tuple[Part, BaseGeometry]] = []
    over: BaseGeometry = shapely.Polygon()
    for part in reversed(section.parts):
        outline = reduce(shapely.symmetric_difference, map(shapely.Polygon, part.outlines))
        if part.drawn_area > 0.0:
            found.insert(0, (part, outline - over))
        over = over | outline
    return found


def _cooling_area(section: Section, name: str, shape: BaseGeometry, skin: BaseGeometry) -> float:
    """Surface over the lines of the skin, and the ends of a part that has some, [m2]."""
    starts, ends = _segments(skin)
    lengths = np.hypot(*(ends - starts).T)
    if section.grid.view == "round":
        return float(2.0 * np.pi * (lengths * _mean_size(starts[:, 0], ends[:, 0])).sum())
    depth = section.depth[section.part_cells(name)]
    if np.ptp(depth) > 0.0:
        axis = shape.centroid.x
        radii = _mean_size(starts[:, 0] - axis, ends[:, 0] - axis)
        return float(np.pi * (lengths * radii).sum())
    faces = 0.0 if depth[0] == THROUGH else 2.0 * shape.area
    return float(lengths.sum() * depth[0]) + faces


def _segments(lines: BaseGeometry) -> tuple[Array, Array]:
    """Starts and ends of the straight pieces, each shape (n, 2), [m]."""
    pieces = [shapely.get_coordinates(line) for line in shapely.get_parts(lines)]
    return (
        np.concatenate([np.zeros((0, 2)), *(piece[:-1] for piece in pieces)]),
        np.concatenate([np.zeros((0, 2)), *(piece[1:] for piece in pieces)]),
    )


def _mean_size(start: Array, end: Array) -> Array:
    """Mean of the size of a number that runs evenly from start to end, through zero or not."""
    total = np.maximum(np.abs(start) + np.abs(end), np.finfo(float).tiny)
    crossing = 0.5 * (start**2 + end**2) / total
    return np.where(start * end < 0.0, crossing, 0.5 * total)
