"""Kernels of the merge tree of a field over cells: its peaks, and where they join."""

from numba import njit


@njit(cache=True)
def _root(parent, cell):
    """Root of a cell's tree, halving the path on the way."""
    while parent[cell] != cell:
        parent[cell] = parent[parent[cell]]
        cell = parent[cell]
    return cell


@njit(cache=True)
def _neighbor(cell, side, nx, size):
    """Cell to the left, right, below or above; -1 past the edge of the grid."""
    if side == 0:
        return cell - 1 if cell % nx > 0 else -1
    if side == 1:
        return cell + 1 if cell % nx < nx - 1 else -1
    if side == 2:
        return cell - nx if cell >= nx else -1
    return cell + nx if cell + nx < size else -1


@njit(cache=True)
def join_peaks(order, rank, nx, parent, top, peak, join, joined_peak, branch):
    """Sweep the cells from the highest value down and join those that touch (four neighbors).

    Parameters
    ----------
    order : ndarray of int64, shape (nc,)
        Flat indices of the cells by falling value.
    rank : ndarray of int64, shape (ny * nx,)
        Place of each cell in that order.
    nx : int
    parent : ndarray of int64, shape (ny * nx,)
        All -1 at the start; afterwards the union-find forest.
    top : ndarray of int64, shape (ny * nx,)
        Out: highest cell of the tree that stands on each root.
    peak, join, joined_peak : ndarray of int64, shape (nc,)
        Out: cell of each peak that ends in a higher one, cell where they join, the higher peak;
        the number of rows filled is returned.
    branch : ndarray of int64, shape (ny * nx,)
        Out: highest cell of the tree that each cell came to when it was swept.
    """
    rows = 0
    for cell in order:
        parent[cell] = top[cell] = cell
        for side in range(4):
            near = _neighbor(cell, side, nx, parent.size)
            if near < 0 or parent[near] < 0:
                continue
            one, two = _root(parent, cell), _root(parent, near)
            if one == two:
                continue
            high, low = (one, two) if rank[top[one]] <= rank[top[two]] else (two, one)
            if top[low] != cell:
                peak[rows], join[rows], joined_peak[rows] = top[low], cell, top[high]
                rows += 1
            parent[low] = high
        branch[cell] = top[_root(parent, cell)]
    return rows


@njit(cache=True)
def label_pools(order, branch, owner, event_rank, event_branch, event_pool, current, pool):
    """Sweep again and write into each cell the pool that its branch is at that moment.

    Parameters
    ----------
    order, branch : as left by ``join_peaks``
    owner : ndarray of int64, shape (ny * nx,)
        Number of the branch that the cells of a peak's branch belong to, by the peak's cell.
    event_rank, event_branch, event_pool : ndarray of int64, shape (ne,)
        By rising rank: from this place in the order on, the branch is that pool.
    current : ndarray of int64, shape (nb,)
        Pool of each branch at its peak; overwritten.
    pool : ndarray of int64, shape (ny * nx,)
        Out.
    """
    event = 0
    for place in range(order.size):
        while event < event_rank.size and event_rank[event] == place:
            current[event_branch[event]] = event_pool[event]
            event += 1
        cell = order[place]
        pool[cell] = current[owner[branch[cell]]]
