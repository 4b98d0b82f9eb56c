"""Painting and depth done the slow, plain way."""

import math

import numpy as np
import shapely

TIE, CLOSE_CALL = 1e-6, 0.6


def paint_naively(grid, visible):
    """Owner of each cell: intersect every part with every cell, then turn the closest calls.

    The largest share owns a cell; a tie goes to the later part in every second row from the
    middle of its height. Then cells whose call, size and row are alike change to the runner-up,
    the closest calls first, if that makes the squares of the parts' relative excess less.
    """
    shares, rows_off, owner = {}, {}, {}
    middles = [_row_of(grid, 0.5 * (s.bounds[1] + s.bounds[3])) for s in visible]
    for j, i in np.ndindex(grid.shape):
        x, y = grid.x_edges, grid.y_edges
        cell = shapely.box(x[i], y[j], x[i + 1], y[j + 1])
        of = [shape.intersection(cell).area / cell.area for shape in visible]
        shares[j, i] = [1.0 - sum(of), *of]
        rows_off[j, i] = [abs(j + 0.5 - middle) for middle in [0.0, *middles]]
        owner[j, i] = _owner(shares[j, i], rows_off[j, i])
    for group in _close_calls(grid, shares, rows_off, owner):
        turned = owner | {cell: _rival(shares[cell], owner[cell]) for cell in group}
        before, after = (_badness(grid, visible, owners) for owners in (owner, turned))
        if after < before * (1.0 - TIE):
            owner = turned
    return [[owner[j, i] for i in range(grid.dx.size)] for j in range(grid.dy.size)]


def _owner(shares, rows_off):
    best = max(shares)
    tied = [number for number, share in enumerate(shares) if share > best - TIE]
    keeps = math.floor(rows_off[tied[-1]] + TIE) % 2 == 0
    return tied[-1] if keeps else tied[0]


def _rival(shares, owner):
    return max((share, -n) for n, share in enumerate(shares) if n != owner)[1] * -1


def _close_calls(grid, shares, rows_off, owner):
    """Groups of cells that are alike, the closest calls first."""
    groups = {}
    for cell, of in shares.items():
        rival = _rival(of, owner[cell])
        margin = of[owner[cell]] - of[rival]
        if of[rival] > TIE and TIE < margin < CLOSE_CALL:
            row = rows_off[cell][max(rival, owner[cell])]
            alike = (margin, row, grid.cell_areas[cell])
            key = (*(round(trait, 5) for trait in alike), owner[cell], rival)
            groups.setdefault(key, []).append(cell)
    return [groups[key] for key in sorted(groups)]


def _badness(grid, visible, owner):
    cells = [0.0] * (len(visible) + 1)
    for cell, number in owner.items():
        cells[number] += grid.cell_areas[cell]
    return sum(
        (area / shape.area - 1.0) ** 2 for area, shape in zip(cells[1:], visible, strict=True)
    )


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


def nearest_depth_naively(grid, depth, metal, j, i, widening):
    """Greatest depth among the metal cells nearest to cell (j, i), widened with the distance."""
    x, y = grid.x_centers, grid.y_centers
    reach = {
        (b, a): math.hypot(x[a] - x[i], y[b] - y[j])
        for b in range(y.size)
        for a in range(x.size)
        if metal[b, a]
    }
    nearest = min(reach.values())
    return max(
        depth[place] + widening[place] * d
        for place, d in reach.items()
        if d <= nearest * (1.0 + 1e-9)
    )
