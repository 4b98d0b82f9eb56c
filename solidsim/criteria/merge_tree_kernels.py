"""Kernel of the merge tree of a field over cells: peaks, and where they join as the level falls."""

from numba import njit


@njit(cache=True)
def _root(parent, cell):
    """Root of a cell's tree, halving the path on the way."""
    while parent[cell] != cell:
        parent[cell] = parent[parent[cell]]
        cell = parent[cell]
    return cell


@njit(cache=True)
def join_peaks(order, t, nx, parent, top, peak, join, joined_peak):
    """Sweep the cells from the highest value down and join those that touch (four neighbors).

    Parameters
    ----------
    order : ndarray of int64, shape (nc,)
        Flat indices of the cells by falling t.
    t : ndarray, shape (ny * nx,)
    nx : int
    parent : ndarray of int64, shape (ny * nx,)
        All -1 at the start; afterwards the union-find forest.
    top : ndarray of int64, shape (ny * nx,)
        Out: highest cell of the tree that stands on each root.
    peak, join, joined_peak : ndarray of int64, shape (nc,)
        Out: cell of each peak that ends in a higher one, cell where they join, the higher peak;
        the number of rows filled is returned.
    """
    rows = 0
    last = parent.size // nx - 1
    for cell in order:
        parent[cell] = top[cell] = cell
        j, i = cell // nx, cell % nx
        for side in range(4):
            if side == 0 and i > 0:
                near = cell - 1
            elif side == 1 and i < nx - 1:
                near = cell + 1
            elif side == 2 and j > 0:
                near = cell - nx
            elif side == 3 and j < last:
                near = cell + nx
            else:
                continue
            if parent[near] < 0:
                continue
            one, two = _root(parent, cell), _root(parent, near)
            if one == two:
                continue
            high, low = (one, two) if t[top[one]] >= t[top[two]] else (two, one)
            if top[low] != cell:
                peak[rows], join[rows], joined_peak[rows] = top[low], cell, top[high]
                rows += 1
            parent[low] = high
    return rows
