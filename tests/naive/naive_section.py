"""Painting and depth done the slow, plain way."""

import math

import shapely


def paint_naively(grid, visible):
    """Owner of each cell: intersect every part with every cell, the largest share wins.

    Ties go to the later part in every second row counted from the middle of its height.
    """
    return [[_owner(grid, visible, j, i) for i in range(grid.dx.size)] for j in range(grid.dy.size)]


def _owner(grid, visible, j, i):
    x, y = grid.x_edges, grid.y_edges
    cell = shapely.box(x[i], y[j], x[i + 1], y[j + 1])
    shares = [shape.intersection(cell).area / cell.area for shape in visible]
    best, most = 0, 0.0
    for number, share in enumerate(shares, start=1):
        tied = abs(share - most) <= 1e-6
        if share > 1e-6 and (share > most + 1e-6 or (tied and _keeps(grid, visible, number, j))):
            best, most = number, share
    mold = 1.0 - sum(shares)
    if best and abs(mold - most) <= 1e-6:
        return best if _keeps(grid, visible, best, j) else 0
    return best if most > mold else 0


def _keeps(grid, visible, number, j):
    _, low, _, high = visible[number - 1].bounds
    middle = _row_of(grid, 0.5 * (low + high))
    return math.floor(abs(j + 0.5 - middle) + 1e-6) % 2 == 0


def _row_of(grid, height):
    """Height counted in rows."""
    for j, low in enumerate(grid.y_edges[:-1]):
        high = grid.y_edges[j + 1]
        if height <= high:
            return max(0.0, j + (height - low) / (high - low))
    return float(grid.dy.size)


def mean_chord_naively(x0, x1, axis, radius, pieces=20_000):
    """Chord of a disk averaged from x0 to x1 by the midpoint rule."""
    total = 0.0
    for k in range(pieces):
        u = x0 + (k + 0.5) * (x1 - x0) / pieces - axis
        total += 2.0 * math.sqrt(max(radius**2 - u**2, 0.0))
    return total / pieces


def nearest_depth_naively(grid, depth, metal, j, i):
    """Greatest depth among the metal cells nearest to cell (j, i)."""
    x, y = grid.x_centers, grid.y_centers
    reach = {
        (b, a): math.hypot(x[a] - x[i], y[b] - y[j])
        for b in range(y.size)
        for a in range(x.size)
        if metal[b, a]
    }
    nearest = min(reach.values())
    return max(depth[place] for place, d in reach.items() if d <= nearest * (1.0 + 1e-9))
