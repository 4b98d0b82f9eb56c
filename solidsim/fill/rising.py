"""Rising fill: quiet metal in a section, driven by its gating system or by a pouring time."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.closed_air import Breathing, ShutIn, describe, shut_in_air
from solidsim.fill.gating_network import NetworkFlow
from solidsim.fill.pools import Pools
from solidsim.fill.rising_kernels import spread
from solidsim.fill.supply import Supply
from solidsim.model import Model

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

BATCHES = 48  # of the volume, in which cells get their metal
ROW_SHARE = 1.0  # of the runs that rise: the longest step of the hydraulics
LONGEST_POUR = 3600.0  # s
STEP_SHARE = 1.0 / 400.0  # of the volume: the shortest step worth taking
TRICKLE = 1e-6  # of the first flow: nothing comes any more


@dataclass(frozen=True)
class Batch:
    """Cells that got their metal in a step, flat, and how much of it fell to them freely, [1]."""

    cells: NDArray[np.int64]
    free_share: Array
    flow: NetworkFlow | None


@dataclass
class Filling:
    """State of a rising fill; made by ``starting.start_filling``.

    Parameters
    ----------
    mouth_cells, mouth_runs : ndarray of int64, shape (mouths,)
        Flat cell, and run, that each mouth opens into.
    scale : float
        Metal of the section for one part of that of the real casting.
    filled_at : ndarray, shape (nr,), [s]
        When each run became full; NaN until then.
    fell : ndarray, shape (nr,), [m3]
        What came into each run by falling from a mouth above the metal.
    """

    model: Model
    pools: Pools
    breath: Breathing
    supply: Supply
    mouth_cells: NDArray[np.int64]
    mouth_runs: NDArray[np.int64]
    scale: float
    filled_at: Array
    time: float = 0.0
    poured: float = 0.0
    over: bool = False
    shut_in: list[ShutIn] = field(default_factory=list)
    met: list[tuple[float, int, int, int]] = field(default_factory=list)
    fell: Array = field(default_factory=lambda: np.zeros(0))

    @property
    def fill_time(self) -> Array:
        """When each cell was filled, shape (ny, nx), [s]; NaN until then."""
        return np.append(self.filled_at, math.nan)[self.pools.runs.number]

    @property
    def filled(self) -> Mask:
        """Cells that have got their metal, shape (ny, nx)."""
        return np.append(np.isfinite(self.filled_at), False)[self.pools.runs.number]

    @property
    def volume(self) -> float:
        """All that the section holds, [m3]."""
        return float(self.pools.runs.volume.sum())

    @property
    def _mouths(self) -> list[tuple[int, float]]:
        """Run of each mouth, and where along it the mouth is, [m]."""
        grid = self.model.section.grid
        places = grid.x_centers[self.mouth_cells % grid.x_centers.size]
        return list(zip(self.mouth_runs.tolist(), places.tolist(), strict=True))

    def next_duration(self) -> float:
        """Time in which the next batch of cells gets its metal, [s]."""
        flow = float(self.supply.last_flows().clip(0.0).sum()) * self.scale
        return self.volume / BATCHES / max(flow, 1e-3 * self.volume)

    def advance(self, duration: float, solid_fraction: Array) -> Batch:
        """Let metal rise for a time [s]; solid fraction (ny, nx) [1] of what stands in the mold."""
        self._close_frozen(solid_fraction)
        self._close_air(duration)
        done: list[int] = []
        left = duration
        while left > 1e-12 * duration and not self.over:
            left -= self._step(left, done)
        new = np.zeros(self.pools.runs.count + 1, bool)  # the last one: of no run
        new[done] = True
        cells = np.flatnonzero(new[self.pools.runs.number])
        run = self.pools.runs.number.flat[cells]
        return Batch(cells, self.fell[run] / self.pools.runs.volume[run], self.supply.flow)

    def _step(self, longest: float, done: list[int]) -> float:
        """One step of the hydraulics by the midpoint rule; its length [s]."""
        pools = self.pools
        levels = np.array([pools.level(*mouth) for mouth in self._mouths])
        entering = np.where(levels < math.inf, self.supply.last_flows().clip(0.0), 0.0) * self.scale
        rising = sum(
            pools.layer(*mouth)
            for mouth, flow in dict(zip(self._mouths, entering, strict=True)).items()
            if flow > 0.0
        )
        largest = max(ROW_SHARE * rising, STEP_SHARE * self.volume)
        length = min(longest, largest / max(entering.sum(), 1e-3 * self.volume))
        flows = self.supply.flows(self._risen(levels, entering, 0.5 * length))
        if (
            flows.sum() * self.scale
            <= TRICKLE * max(self.supply.first_flow() * self.scale, 1e-9 * self.volume)
            or self.time > LONGEST_POUR
        ):
            self.over = True
            return longest
        self.supply.note(self.time, flows, self.poured)
        length *= self._pour(np.maximum(flows, 0.0) * self.scale * length, length, done)
        self.time += length
        self.supply.lower_basin(float(flows.sum()), length)
        return length

    def _risen(self, levels: Array, entering: Array, duration: float) -> Array:
        """Levels after a part of a step."""
        risen = levels.copy()
        for n, (run, x) in enumerate(self._mouths):
            surface = self.pools.surface(run, x)
            if np.isfinite(levels[n]) and surface > 0.0:
                same = self.mouth_runs == run
                risen[n] += entering[same].sum() * duration / surface
        return risen

    def _pour(self, volumes: Array, length: float, done: list[int]) -> float:
        """Pour volumes [m3] into the mouths; the share of the time after which all is full."""
        pools, taken, share = self.pools, 0.0, 1.0
        for n, (run, x) in enumerate(self._mouths):
            free = not pools.full[run]
            before = pools.filled.copy()
            refused, completed = pools.pour(run, x, float(volumes[n]), n)
            taken += volumes[n] - refused
            if free:
                self.fell += pools.filled - before
            if refused > 0.0 and pools.full.all():
                share = taken / volumes.sum()
            now = self.time + share * length
            self.filled_at[completed] = now
            self.met += [(now, *place) for place in pools.met]
            pools.met.clear()
            done += completed
        self.poured += taken
        self.over = bool(pools.full.all())
        return share

    def _close_frozen(self, solid_fraction: Array) -> None:
        """Runs that no liquid metal reaches any more take nothing; a frozen mouth is shut."""
        pools, stop = self.pools, self.model.materials[self.model.metal].coherency
        if math.isnan(stop):
            return
        filled = self.filled
        liquid = filled & ~(solid_fraction >= stop)
        drowned = pools.full[self.mouth_runs]
        frozen = drowned & ~liquid.flat[self.mouth_cells]
        pools.dead[self.mouth_runs[frozen]] = True
        if not drowned.all() or not drowned.any():
            return
        reach = np.full(filled.size, -1)
        mouths = np.where(frozen, -1, self.mouth_cells)
        spread(liquid.ravel(), mouths, filled.shape[1], reach, np.zeros(filled.size, np.int64))
        wet = np.pad((reach >= 0).reshape(filled.shape), 1)
        near = wet[1:-1, :-2] | wet[1:-1, 2:] | wet[:-2, 1:-1] | wet[2:, 1:-1]
        edge = np.array(pools.edge_runs(self.mouth_runs), np.int64)
        wetted = pools.runs.any(near & self.model.section.metal)
        pools.dead[edge[~wetted[edge]]] = True
        if frozen.all():
            self.over = True

    def _close_air(self, duration: float) -> None:
        pools = self.pools
        closed = shut_in_air(pools, self.breath, self._pressing(), duration)
        for runs in closed:
            known = any(runs <= found.runs for found in self.shut_in)
            if not known and self.time > 0.0:
                self.shut_in.append(describe(pools, self.breath, runs, self.time))

    def _pressing(self) -> float:
        """Highest level of metal that presses on shut-in air, [m]."""
        pools = self.pools
        full = pools.full & (pools.runs.volume > 0.0)
        if not full.any():
            return -math.inf
        highest = float((pools.runs.bottom + pools.runs.height)[full].max())
        open_runs = [r for r in pools.edge_runs() if pools.room[r] < 0]
        if not open_runs and self.supply.flow is not None:
            return self.supply.flow.sprue_level
        return highest
