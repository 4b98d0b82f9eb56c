"""Fillets: the metal that a pattern maker runs into an inside corner.

Metal is added until a disk of the fillet's radius fits nowhere deeper, which is a morphological
closing of the metal at hand.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

Array = NDArray[np.float64]

ARC = 128
"""Straight pieces in a quarter of a circle: the area of a disk comes out 2.5e-5 too small."""
TOUCH = 1e-7
"""Sides nearer than this touch, [m]."""

_SMALLEST = 1e-4  # area over the square of the radius: a hollow corner that turns 8 degrees
_FACING = np.radians(150.0)  # hollow corners that turn more than this have two sides face to face


def fillet_pieces(
    shape: BaseGeometry, around: Sequence[BaseGeometry], radius: float
) -> tuple[list[BaseGeometry], list[BaseGeometry]]:
    """Metal that fillets add in the hollow corners of a shape and of what it touches.

    Parameters
    ----------
    shape : shapely geometry
    around : sequence of shapely geometry
        Other metal, or the shape again; what does not touch it is of no account.
    radius : float, [m]

    Returns
    -------
    fitting, tight : list of shapely geometry
        Pieces at corners that touch the shape, and pieces where two sides face each other
        nearer than two radii, so that the disk would close the gap instead of rounding a corner.
    """
    touching = [other for other in around if other.distance(shape) < TOUCH]
    body = close_seams(shapely.union_all([shape, *touching]))
    closed = body.buffer(radius, quad_segs=ARC).buffer(-radius, quad_segs=ARC)
    pieces = [
        piece
        for piece in shapely.get_parts(closed - body.buffer(TOUCH, join_style="mitre"))
        if piece.area > _SMALLEST * radius**2 and piece.distance(shape) < 2.0 * TOUCH
    ]
    corners, turns = _hollow_corners(body)
    fits = [_rounds_one_corner(piece, corners, turns, radius) for piece in pieces]
    return (
        [piece for piece, fit in zip(pieces, fits, strict=True) if fit],
        [piece for piece, fit in zip(pieces, fits, strict=True) if not fit],
    )


def close_seams(shape: BaseGeometry) -> BaseGeometry:
    """Join what touches to within ``TOUCH`` and move nothing else."""
    return shape.buffer(TOUCH, join_style="mitre").buffer(-TOUCH, join_style="mitre")


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
