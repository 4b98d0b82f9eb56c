"""Pools of quiet metal in a cavity: each has a surface that rises, spills and meets others."""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.runs import Runs

Array = NDArray[np.float64]

ROUNDING = 1e-12  # of a run's volume


@dataclass
class Pools:
    """Metal in the runs of a cavity.

    Parameters
    ----------
    runs : Runs
    filled : ndarray, shape (nr,), [m3]
    full, dead : ndarray of bool, shape (nr,)
        Dead runs take no more metal.
    room : ndarray, shape (nr,)
        Number of the closed space that a run belongs to, -1 where its air can leave.
    allowed : ndarray, [m3]
        By closed space: what it takes until more of its air has gone.
    met : list of (int, int, int)
        The run in which two surfaces met: around an obstacle, or from different mouths;
        and a full run on either side.
    """

    runs: Runs
    filled: Array
    full: NDArray[np.bool_]
    dead: NDArray[np.bool_]
    room: NDArray[np.int64]
    allowed: Array
    met: list[tuple[int, int, int]] = field(default_factory=list)
    _root: list[int] = field(default_factory=list)
    _edge: dict[int, dict[int, set[int]]] = field(default_factory=dict)
    _mouths: dict[int, Counter[int]] = field(default_factory=dict)
    _mouth: int = 0

    def pour(self, run: int, x: float, volume: float, mouth: int = 0) -> tuple[float, list[int]]:
        """Pour [m3] into a run at x [m]; what found no place, and the runs that became full."""
        self._mouth = mouth
        completed: list[int] = []
        while volume > 0.0:
            targets = self.targets(run, x)
            if not targets:
                break
            volume = self._raise(targets, volume, completed)
        return max(volume, 0.0), completed

    def targets(self, run: int, x: float) -> list[int]:
        """Runs that metal poured into a run at x [m] goes to now, all at one height."""
        if not self.full[run]:
            return [self._fall(run, x)] if self._takes(run) else []
        edge = self._edge[self.find(run)]
        for row in sorted(edge):
            stale = {r for r in edge[row] if self.full[r] or self.dead[r]}
            edge[row] -= stale
            if not edge[row]:
                del edge[row]
                continue
            ready = sorted(r for r in edge[row] if self._takes(r))
            if ready:
                fallen = {r: self._fall(r, x) for r in ready}
                spilling = [low for r, low in fallen.items() if low != r]
                return sorted(spilling, key=lambda r: self._away(r, x))[:1] or ready
        return []

    def level(self, run: int, x: float) -> float:
        """Height of the metal over a run [m]: -inf while it is not full, inf if none can rise."""
        if not self.full[run]:
            return -math.inf if self._takes(run) else math.inf
        targets = self.targets(run, x)
        if not targets:
            return math.inf
        one, runs = targets[0], self.runs
        spilled = runs.row[one] < runs.row[run]
        return float(
            runs.bottom[run]
            if spilled
            else runs.bottom[one] + runs.height[one] * self.filled[one] / runs.volume[one]
        )

    def surface(self, run: int, x: float) -> float:
        """Area of the surface that rises when metal is poured into a run, [m2]."""
        return float(sum(self.runs.volume[r] / self.runs.height[r] for r in self.targets(run, x)))

    def layer(self, run: int, x: float) -> float:
        """Volume of the runs that rise when metal is poured into a run, [m3]."""
        return float(sum(self.runs.volume[r] for r in self.targets(run, x)))

    def find(self, run: int) -> int:
        """The pool of a full run."""
        while self._root[run] != run:
            self._root[run] = self._root[self._root[run]]
            run = self._root[run]
        return run

    def edge_runs(self, of: Iterable[int] | None = None) -> list[int]:
        """Runs next to a full one that are not full: of all pools, or of those of some runs."""
        roots = set(self._edge) if of is None else {self.find(run) for run in of}
        found = {r for root in roots for rows in self._edge[root].values() for r in rows}
        return sorted(r for r in found if not (self.full[r] or self.dead[r]))

    def _takes(self, run: int) -> bool:
        closed, least = self.room[run], ROUNDING * self.runs.volume[run]
        return not self.dead[run] and (closed < 0 or self.allowed[closed] > least)

    def _fall(self, run: int, x: float) -> int:
        """Lowest run that metal in a run falls to, each time the one below nearest to x."""
        while True:
            below = [r for r in self.runs.below[run] if not self.full[r] and self._takes(r)]
            if not below:
                return run
            run = min(below, key=lambda r: self._away(r, x))

    def _away(self, run: int, x: float) -> float:
        """Way along a row from x to a run, [m]."""
        return max(float(self.runs.left[run]) - x, x - float(self.runs.right[run]), 0.0)

    def _raise(self, targets: list[int], volume: float, completed: list[int]) -> float:
        """Raise the lowest of some runs to the next one or to their top; the rest [m3]."""
        volumes, filled = self.runs.volume[targets], self.filled[targets]
        share = filled / volumes
        lowest = share <= share.min() + ROUNDING
        nearest = share[~lowest].min(initial=1.0)
        wanted = float(((nearest - share[lowest]) * volumes[lowest]).sum())
        rooms = {self.room[targets[n]] for n in np.flatnonzero(lowest)} - {-1}
        given = min([volume, wanted, *(float(self.allowed[room]) for room in rooms)])
        rise = given / float(volumes[lowest].sum())
        for n in np.flatnonzero(lowest):
            run, added = targets[n], rise * volumes[n]
            self.filled[run] += added
            if self.room[run] >= 0:
                self.allowed[self.room[run]] -= added
            if self.filled[run] >= volumes[n] * (1.0 - ROUNDING):
                self._complete(run)
                completed.append(run)
        return volume - given if given < volume else 0.0

    def _complete(self, run: int) -> None:
        """Make a run full: part of all pools that it touches."""
        runs = self.runs
        self.filled[run] = runs.volume[run]
        self.full[run] = True
        self._root[run] = run
        self._edge[run] = {}
        self._mouths[run] = Counter({self._mouth: float(runs.volume[run])})
        neighbors = (*runs.below[run], *runs.above[run])
        touched = [r for r in neighbors if self.full[r]]
        for other in touched[1:]:
            one, two = self.find(touched[0]), self.find(other)
            if one == two or self._main_mouth(one) != self._main_mouth(two):
                self.met.append((run, touched[0], other))
        for other in touched:
            self._join(run, other)
        edge = self._edge[self.find(run)]
        for r in neighbors:
            if not self.full[r]:
                edge.setdefault(int(runs.row[r]), set()).add(r)

    def _main_mouth(self, root: int) -> int:
        """The mouth that most of a pool came through."""
        return self._mouths[root].most_common(1)[0][0]

    def _join(self, one: int, two: int) -> None:
        one, two = self.find(one), self.find(two)
        if one == two:
            return
        if len(self._edge[one]) < len(self._edge[two]):
            one, two = two, one
        self._root[two] = one
        self._mouths[one].update(self._mouths.pop(two))
        for row, found in self._edge.pop(two).items():
            self._edge[one].setdefault(row, set()).update(found)


def empty_pools(runs: Runs) -> Pools:
    """A cavity with no metal in it yet, whose air can leave."""
    flags = np.zeros(runs.count, bool)
    return Pools(
        runs=runs,
        filled=np.zeros(runs.count),
        full=flags,
        dead=flags.copy(),
        room=np.full(runs.count, -1),
        allowed=np.zeros(0),
        _root=list(range(runs.count)),
    )
