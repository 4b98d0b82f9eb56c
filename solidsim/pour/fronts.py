"""Where fronts of flowing metal meet: two bodies that touch, or air between them that is gone."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from solidsim.fill.flow_grid import FlowGrid
from solidsim.fill.flowing import Flow
from solidsim.fill.record import Place

WET = 0.5  # share of metal in a cell that counts as metal
LEAST = 5e-3  # of the cavity: smaller bodies are spray and bubbles


@dataclass
class Fronts:
    """Bodies of metal and of air in the window of a flow, and where fronts have met."""

    grid: FlowGrid
    places: list[Place] = field(default_factory=list)
    _metal: NDArray[np.int32] | None = None
    _air: NDArray[np.int32] | None = None

    def look(self, flow: Flow, temperature: NDArray[np.float64]) -> None:
        """Compare the bodies with those of the last turn; temperature [K] of the window."""
        wet = (flow.fraction >= WET) & self.grid.cavity
        metal, _ = label(wet)
        air, _ = label(~wet & self.grid.cavity)
        if self._metal is not None and self._air is not None:
            self._note_joined(flow.time, metal, temperature)
            self._note_closed(flow, wet, temperature)
        self._metal, self._air = metal, air

    def _note_joined(
        self, time: float, metal: NDArray[np.int32], temperature: NDArray[np.float64]
    ) -> None:
        """Two large bodies of metal have become one: they met in its new cells between them."""
        before = self._metal
        assert before is not None
        large = np.flatnonzero(self._sizes(before) >= LEAST)
        holders = [int(metal[before == number].max()) for number in large if number]
        for holder in {number for number in holders if holders.count(number) > 1}:
            new = (metal == holder) & (before == 0)
            if new.any():
                self._note(time, new, temperature)

    def _note_closed(
        self, flow: Flow, wet: NDArray[np.bool_], temperature: NDArray[np.float64]
    ) -> None:
        """A large body of shut-in air is gone: fronts met where it was last."""
        before = self._air
        assert before is not None
        if flow.openings is None:
            return
        left = np.bincount(before.ravel(), ~wet.ravel() & self.grid.cavity.ravel())
        opened = set(before.ravel()[flow.openings].tolist())
        for number in np.flatnonzero((self._sizes(before) >= LEAST) & (left == 0)):
            if number and int(number) not in opened:
                self._note(flow.time, before == number, temperature)

    def _sizes(self, bodies: NDArray[np.int32]) -> NDArray[np.float64]:
        """Share of the cavity that each body holds, by number, [1]."""
        volumes = self.grid.volumes.ravel()
        return np.bincount(bodies.ravel(), volumes) / volumes.sum()

    def _note(
        self, time: float, cells: NDArray[np.bool_], temperature: NDArray[np.float64]
    ) -> None:
        warm = np.where(cells, temperature, np.inf)
        cell = int(np.nanargmin(warm))
        x, y = self.grid.place(cell)
        self.places.append(Place("meeting", time, x, y, temperature=float(warm.flat[cell])))
