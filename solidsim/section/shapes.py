"""The drawing as polygons: rectangles, polygons, circles and rings, their fillets, what shows.

A *fillet* is what a pattern maker runs into an inside corner: metal is added until a disk of
that radius fits nowhere deeper, which is a morphological closing of the metal at hand.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from solidsim.case.description import Circle, PartTable, Rectangle, Ring
from solidsim.section.layout import METAL_ROLES

Array = NDArray[np.float64]

ARC = 128
"""Straight pieces in a quarter of a circle: the area of a disk comes out 2.5e-5 too small."""
TOUCH = 1e-7
"""Sides nearer than this touch, [m]."""

_SMALLEST_FILLET = 1e-4  # area over the square of the radius: a hollow corner that turns 8 degrees
_FACING = np.radians(150.0)  # hollow corners that turn more than this have two sides face to face


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
        return self.part.role in METAL_ROLES

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
            around = [
                plain[other] for other in range(len(parts)) if _joins(parts, plain, index, other)
            ]
            pieces, misfits = fillet_pieces(outline, around, part.fillet)
            outline = close_seams(shapely.union_all([outline, *pieces]))
            tight += [
                TightFillet(part, *misfit.representative_point().coords[0]) for misfit in misfits
            ]
        outlines.append(outline)
    return [
        Shape(part, outline, outline, showing)
        for part, outline, showing in zip(parts, outlines, _visible(outlines), strict=True)
    ], tight


def fillet_pieces(
    shape: BaseGeometry, around: Sequence[BaseGeometry], radius: float
) -> tuple[list[BaseGeometry], list[BaseGeometry]]:
    """Metal that fillets add in the hollow corners of a shape and of what it touches.

    Parameters
    ----------
    shape : shapely geometry
    around : sequence of shapely geometry
        Other metal; what does not touch the shape is of no account.
    radius : float, [m]

    Returns
    -------
    fitting, tight : list of shapely geometry
        Pieces at corners that touch the shape, and pieces where two sides face each other
        nearer than two radii, so that the disk would close the gap instead of rounding a corner.
    """
    body = close_seams(shapely.union_all([shape, *around]))
    closed = body.buffer(radius, quad_segs=ARC).buffer(-radius, quad_segs=ARC)
    pieces = [
        piece
        for piece in shapely.get_parts(closed - body.buffer(TOUCH, join_style="mitre"))
        if piece.area > _SMALLEST_FILLET * radius**2 and piece.distance(shape) < 2.0 * TOUCH
    ]
    corners, turns = _hollow_corners(body)
    fits = [_rounds_one_corner(piece, corners, turns, radius) for piece in pieces]
    return (
        [piece for piece, fit in zip(pieces, fits, strict=True) if fit],
        [piece for piece, fit in zip(pieces, fits, strict=True) if not fit],
    )


def level_sides(visible: Sequence[BaseGeometry], axis: int) -> list[float]:
    """Where straight sides stand square to an axis (0 is x, 1 is y), the longest first, [m]."""
    length: dict[float, float] = {}
    for ring in shapely.get_rings(shapely.get_parts(visible)):
        corners = shapely.get_coordinates(ring)
        run = np.abs(np.diff(corners, axis=0))
        for corner, side in zip(corners, run, strict=False):
            if side[axis] < TOUCH and side[1 - axis] > TOUCH:
                place = round(float(corner[axis]), 9)
                length[place] = length.get(place, 0.0) + side[1 - axis]
    return sorted(length, key=length.__getitem__, reverse=True)


def close_seams(shape: BaseGeometry) -> BaseGeometry:
    """Join what touches to within ``TOUCH`` and move nothing else."""
    return shape.buffer(TOUCH, join_style="mitre").buffer(-TOUCH, join_style="mitre")


def areas_only(shape: BaseGeometry) -> BaseGeometry:
    """The shape without stray lines and points."""
    pieces = shapely.get_parts(shape)
    return shapely.union_all(pieces[shapely.area(pieces) > 0.0])


def _disk(center: tuple[float, float], radius: float) -> BaseGeometry:
    return shapely.Point(center).buffer(radius, quad_segs=ARC)


def _joins(
    parts: Sequence[PartTable], plain: Sequence[BaseGeometry], index: int, other: int
) -> bool:
    """Whether both parts are metal, or neither a part but itself, and they touch."""
    poured = parts[index].role in METAL_ROLES and parts[other].role in METAL_ROLES
    return poured and other != index and plain[index].distance(plain[other]) < TOUCH


def _visible(outlines: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    """What the later outlines leave of each."""
    visible: list[BaseGeometry] = []
    over: BaseGeometry = shapely.Polygon()
    for outline in reversed(outlines):
        visible.insert(0, areas_only(outline - over))
        over = over | outline
    return visible


def _hollow_corners(body: BaseGeometry) -> tuple[NDArray[np.object_], Array]:
    """Corners where the metal is hollow, as points, and the angle of each turn [rad]."""
    places, turns = [], []
    for ring in shapely.get_rings([orient(piece) for piece in shapely.get_parts(body)]):
        corners = shapely.get_coordinates(ring)[:-1]
        ahead = np.roll(corners, -1, axis=0) - corners
        behind = np.roll(ahead, 1, axis=0)
        cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
        turn = np.arctan2(cross, np.sum(behind * ahead, axis=1))
        places.append(corners[turn < 0.0])
        turns.append(-turn[turn < 0.0])
    return shapely.points(np.concatenate(places)), np.concatenate(turns)


def _rounds_one_corner(
    piece: BaseGeometry, corners: NDArray[np.object_], turns: Array, radius: float
) -> bool:
    """Whether the outline along a piece turns as at one corner, not as in a slot or a gap."""
    along = shapely.distance(piece, corners) < 10.0 * TOUCH
    if not along.any():
        return False
    sharpest = corners[along][turns[along].argmax()]
    there = along & (shapely.distance(sharpest, corners) < 0.05 * radius)
    total = turns[along].sum()
    return bool(total < _FACING or turns[there].sum() > 0.8 * total)
