"""The drawing as polygons: rectangles, polygons, circles and rings, and what shows of them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.case.description import Circle, PartTable, Rectangle, Ring
from solidsim.section.fillets import ARC, TOUCH, close_seams, fillet_pieces
from solidsim.section.layout import METAL_ROLES, Array


@dataclass(frozen=True)
class Shape:
    """A part as drawn.

    Parameters
    ----------
    part : PartTable
    whole : shapely geometry
        With its fillets.
    outline : shapely geometry
        What of it lies in the box.
    visible : shapely geometry
        What the later parts leave of that.
    """

    part: PartTable
    whole: BaseGeometry
    outline: BaseGeometry
    visible: BaseGeometry

    @property
    def metal(self) -> bool:
        """Whether the part is poured."""
        return is_metal(self.part)

    def trimmed(self, box: BaseGeometry) -> "Shape":
        """What of the part lies in the box."""
        outline, visible = areas_only(self.outline & box), areas_only(self.visible & box)
        return Shape(self.part, self.whole, outline, visible)


@dataclass(frozen=True)
class TightFillet:
    """A place too narrow for the fillet that a part asks for; it stays as drawn."""

    part: PartTable
    x: float
    y: float


def is_metal(part: PartTable) -> bool:
    """Whether a part is poured."""
    return part.role in METAL_ROLES


def part_shape(part: PartTable) -> BaseGeometry:
    """The plain shape of a part, without fillets, coordinates in m rounded to the nanometer."""
    shape: BaseGeometry
    match part.shape:
        case Rectangle() as rectangle:
            shape = shapely.box(*rectangle.bounds)
        case Circle() as circle:
            shape = _disk(circle.center, circle.radius)
        case Ring() as ring:
            shape = _disk(ring.center, ring.outer) - _disk(ring.center, ring.inner)
        case corners:
            shape = shapely.Polygon(corners)
    return shapely.transform(shape, lambda places: np.round(places, 9))


def draw_shapes(
    parts: Sequence[PartTable], plain: Sequence[BaseGeometry]
) -> tuple[list[Shape], list[TightFillet]]:
    """Add the fillets and paint the later parts over the earlier ones.

    Parameters
    ----------
    parts : sequence of PartTable
    plain : sequence of shapely geometry
        ``part_shape`` of each.

    Returns
    -------
    shapes : list of Shape
    tight : list of TightFillet
    """
    outlines, tight = [], []
    for index, part in enumerate(parts):
        outline = plain[index]
        if part.fillet > 0.0:
            poured = [shape for shape, other in zip(plain, parts, strict=True) if is_metal(other)]
            pieces, misfits = fillet_pieces(outline, poured if is_metal(part) else [], part.fillet)
            outline = close_seams(shapely.union_all([outline, *pieces]))
            tight += [
                TightFillet(part, *misfit.representative_point().coords[0]) for misfit in misfits
            ]
        outlines.append(outline)
    return [
        Shape(part, outline, outline, showing)
        for part, outline, showing in zip(parts, outlines, _visible(outlines), strict=True)
    ], tight


def square_sides(visible: Sequence[BaseGeometry], axis: int) -> list[float]:
    """Where straight sides stand square to an axis (0 is x, 1 is y), the longest first, [m].

    Sides at the same place are counted together.
    """
    middle, length, off = _sides(visible, axis)
    return _heaviest_first(middle, length, (off < TOUCH) & (length > TOUCH))


def drafted_sides(visible: Sequence[BaseGeometry], axis: int, cell: float) -> list[float]:
    """Middles of sides with a little draft, the longest first, [m].

    They are longer than two cells and less than one off the square. A grid line at the middle
    leaves as much of the part on one side as it takes from the other.
    """
    middle, length, off = _sides(visible, axis)
    return _heaviest_first(middle, length, (off >= TOUCH) & (off < cell) & (length > 2.0 * cell))


def _sides(visible: Sequence[BaseGeometry], axis: int) -> tuple[Array, Array, Array]:
    """Middle along the axis, length across it and length along it of all sides, [m]."""
    rings = shapely.get_rings(shapely.get_parts(visible))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    off, length = np.abs(np.diff(corners, axis=0))[same][:, [axis, 1 - axis]].T
    middle = 0.5 * (corners[1:] + corners[:-1])[same, axis]
    return np.round(middle, 9), length, off


def _heaviest_first(places: Array, weights: Array, chosen: NDArray[np.bool_]) -> list[float]:
    """Chosen places by the weight they bear together; of equal ones the first to be named."""
    total: dict[float, float] = {}
    for place, weight in zip(places[chosen].tolist(), weights[chosen].tolist(), strict=True):
        total[place] = total.get(place, 0.0) + weight
    return sorted(total, key=lambda place: round(total[place], 9), reverse=True)


def areas_only(shape: BaseGeometry) -> BaseGeometry:
    """The shape without stray lines and points."""
    pieces = shapely.get_parts(shape)
    return shapely.union_all(pieces[shapely.area(pieces) > 0.0])


def _disk(center: tuple[float, float], radius: float) -> BaseGeometry:
    return shapely.Point(center).buffer(radius, quad_segs=ARC)


def _visible(outlines: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    """What the later outlines leave of each."""
    visible: list[BaseGeometry] = []
    over: BaseGeometry = shapely.Polygon()
    for outline in reversed(outlines):
        visible.insert(0, areas_only(outline - over))
        over = over | outline
    return visible
