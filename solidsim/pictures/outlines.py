"""What shows of each part in the drawing, as shapes and as paths to fill."""

from functools import reduce

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from solidsim.pictures.style import HATCH, INK, MOLD, ROLE_LOOKS, halo
from solidsim.section.layout import METAL_ROLES, Part, Section

SPREAD = 2  # cells that a field is carried into the mold
CLOSE_UP = 0.14  # of the larger side of the parts, left around them

Array = NDArray[np.float64]
Bounds = tuple[float, float, float, float]


def visible_shapes(section: Section) -> list[BaseGeometry]:
    """Shape of each part, less the parts painted over it, in m."""
    shapes = [_whole(part) for part in section.parts]
    covered: BaseGeometry = shapely.Polygon()
    for number in reversed(range(len(shapes))):
        shapes[number], covered = shapes[number] - covered, covered | shapes[number]
    return shapes


def metal_shape(section: Section, shapes: list[BaseGeometry]) -> BaseGeometry:
    """Where metal shows."""
    pairs = zip(section.parts, shapes, strict=True)
    return shapely.union_all([shape for part, shape in pairs if part.role in METAL_ROLES])


def box_of(section: Section) -> Bounds:
    """Left, bottom, right and top of the mold, [m]."""
    x, y = section.grid.x_edges, section.grid.y_edges
    return float(x[0]), float(y[0]), float(x[-1]), float(y[-1])


def close_up(section: Section, aspect: float) -> Bounds:
    """Left, bottom, right and top of the parts with sand around them, [m].

    A tall view takes in more of the mold, where there is more, up to ``aspect`` times its height.
    """
    box = box_of(section)
    solid = [_whole(part) for part in section.parts if part.role != "air"]
    bounds = shapely.total_bounds(solid)
    room = CLOSE_UP * max(bounds[2] - bounds[0], bounds[3] - bounds[1])
    bottom, top = max(bounds[1] - room, box[1]), min(bounds[3] + room, box[3])
    left, right = max(bounds[0] - room, box[0]), min(bounds[2] + room, box[2])
    missing = max(aspect * (top - bottom) - (right - left), 0.0)
    left = max(left - missing / 2, box[0])
    right = min(right + missing / 2, box[2])
    return left, bottom, right, top


def shape_path(shape: BaseGeometry) -> Path:
    """Path of a shape, its holes running the other way."""
    pieces = [
        piece for piece in shapely.get_parts(shape) if piece.geom_type == "Polygon" and piece.area
    ]
    rings = [ring for piece in pieces for ring in _rings(orient(piece))]
    return Path.make_compound_path(*(Path(ring, closed=True) for ring in rings))


def fill_mold(axes: Axes, section: Section, line: float = 0.0) -> None:
    """Fill the box with sand; its outline is so wide, [pt]."""
    path = shape_path(shapely.box(*box_of(section)))
    axes.add_artist(PathPatch(path, facecolor=MOLD, edgecolor=INK, linewidth=line))


def fill_part(
    axes: Axes, part: Part, shape: BaseGeometry, face: str | None = None
) -> PathPatch | None:
    """Fill a part with the look of its role, or with another face, and outline it."""
    if shape.is_empty:
        return None
    look, hatch = ROLE_LOOKS[part.role]
    path = shape_path(shape)
    if face is None and hatch:
        ground = PathPatch(path, facecolor=look, edgecolor=HATCH, hatch=hatch, linewidth=0)
        axes.add_artist(ground)
        face = "none"
    filled = PathPatch(path, facecolor=face or look, linewidth=0, zorder=4)
    axes.add_artist(filled)
    rim = halo(1.8) if part.role in METAL_ROLES else None  # dark metal swallows a dark line
    line = PathPatch(path, facecolor="none", edgecolor=INK, linewidth=1, zorder=5, path_effects=rim)
    axes.add_artist(line)
    return filled


def fill_unpoured(axes: Axes, section: Section, shapes: list[BaseGeometry]) -> None:
    """Fill the mold and all parts that are not metal."""
    fill_mold(axes, section)
    for part, shape in zip(section.parts, shapes, strict=True):
        if part.role not in METAL_ROLES:
            fill_part(axes, part, shape)


def spread_field(section: Section, values: Array) -> tuple[Array, Array, Array]:
    """A field of the metal carried a little into the mold and on to the edges of the box.

    Contours drawn through the middles of the cells then reach the outline of the metal, which
    they are clipped to.

    Returns
    -------
    x, y : ndarray, shapes (nx + 2,) and (ny + 2,), [m]
    spread : ndarray, shape (ny + 2, nx + 2)
    """
    grid = section.grid
    spread = np.pad(np.where(section.metal, values, np.nan), 1, mode="edge")
    outside = ~np.pad(section.metal, 1, mode="edge")
    for _ in range(SPREAD):
        padded = np.pad(spread, 1, constant_values=np.nan)
        around = np.stack(
            [
                padded[1 + j : padded.shape[0] - 1 + j, 1 + i : padded.shape[1] - 1 + i]
                for j in (-1, 0, 1)
                for i in (-1, 0, 1)
            ]
        )
        known = np.isfinite(around)
        count = known.sum(axis=0)
        mean = np.where(known, around, 0.0).sum(axis=0) / np.maximum(count, 1)
        spread = np.where(outside & ~np.isfinite(spread) & (count > 0), mean, spread)
    x = np.concatenate([grid.x_edges[:1], grid.x_centers, grid.x_edges[-1:]])
    y = np.concatenate([grid.y_edges[:1], grid.y_centers, grid.y_edges[-1:]])
    return x, y, spread


def _whole(part: Part) -> BaseGeometry:
    """A part from its rings: what lies inside an odd number of them."""
    rings = [shapely.Polygon(ring) for ring in part.outlines]
    return reduce(shapely.symmetric_difference, rings, shapely.Polygon())


def _rings(piece: shapely.Polygon) -> list[np.ndarray]:
    return [shapely.get_coordinates(ring) for ring in (piece.exterior, *piece.interiors)]
