"""What feeds the mouths of a cavity: a gating system with its basin, or a steady flow."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.circuit import Circuit, lay_circuit
from solidsim.fill.gating_network import NetworkFlow, level_that_passes, solve_flow
from solidsim.model import GatingSystem

Array = NDArray[np.float64]

NUDGE = 1e-3  # m


@dataclass(frozen=True)
class Moment:
    """The gating at one time [s].

    Parameters
    ----------
    flows : ndarray, shape (mouths,), [m3/s]
        Of the real casting.
    basin_level, sprue_level : float, [m]
    full : bool
        Whether the sprue is.
    solved : bool
        Whether the flow in the gating was found.
    poured : float, [m3]
        In the section so far.
    """

    time: float
    flows: Array
    basin_level: float
    sprue_level: float
    full: bool
    solved: bool
    poured: float


@dataclass
class Supply:
    """A gating system on its way through the pour, or a steady flow [m3/s]; see ``lay_supply``."""

    mouths: int
    circuit: Circuit | None
    steady_flow: float
    basin_level: float
    flow: NetworkFlow | None = None
    history: list[Moment] = field(default_factory=list)

    def flows(self, levels: Array) -> Array:
        """Flow out of each mouth [m3/s], with metal up to these levels [m] over them.

        Endless where a mouth is shut, minus endless where no metal stands over it.
        """
        if self.circuit is None:
            able = np.isfinite(levels) | (levels < 0.0)
            return np.where(able, self.steady_flow / max(able.sum(), 1), 0.0)
        basin = self.circuit.system.basin
        left = (self.basin_level - self.circuit.system.sprue.top) * basin.area
        most = basin.rate if left <= 1e-9 * basin.area else math.inf
        start = self.flow.flows if self.flow else None
        self.flow = solve_flow(self.circuit, self.basin_level, levels, most, start)
        return self.flow.flows

    def softness(self, levels: Array) -> Array:
        """How much less comes out of each mouth for a meter more over it alone, [m2/s]."""
        kept = self.flow
        if kept is None:
            return np.zeros(self.mouths)
        lost = np.zeros(self.mouths)
        for mouth in np.flatnonzero(np.isfinite(levels)):
            raised = levels.copy()
            raised[mouth] += NUDGE
            lost[mouth] = kept.flows[mouth] - self.flows(raised)[mouth]
            self.flow = kept
        return np.maximum(lost, 0.0) / NUDGE

    def last_flows(self) -> Array:
        """Flow out of each mouth as it was last, at the start that into an empty mold, [m3/s]."""
        if self.history:
            return self.history[-1].flows
        return self.flows(np.full(self.mouths, -math.inf))

    def first_flow(self) -> float:
        """All that came in at first, [m3/s]."""
        return float(self.history[0].flows.clip(0.0).sum()) if self.history else 0.0

    def note(self, time: float, flows: Array, poured: float) -> None:
        """Keep a moment; ``poured`` [m3] is what the section holds."""
        level, full, solved = math.nan, True, True
        if self.flow is not None:
            level, full, solved = self.flow.sprue_level, self.flow.full, self.flow.converged
        moment = Moment(time, flows.copy(), self.basin_level, level, full, solved, poured)
        self.history.append(moment)

    def lower_basin(self, flow: float, duration: float) -> None:
        """The basin falls where less comes from the ladle than the sprue takes.

        It falls no lower than to where the sprue can take what the ladle brings, and no more.
        """
        if self.circuit is None or math.isinf(self.circuit.system.basin.rate):
            return
        basin, sprue = self.circuit.system.basin, self.circuit.system.sprue
        risen = self.basin_level + (basin.rate - flow) * duration / basin.area
        lowest = min(self.basin_level, level_that_passes(sprue, basin.rate))
        self.basin_level = min(max(risen, lowest), sprue.top + basin.depth)


def lay_supply(gating: GatingSystem | None, volume: float, time: float, mouths: int) -> Supply:
    """The supply of a gating system, or of a volume [m3] that comes in a time [s]."""
    if gating is None:
        return Supply(mouths, None, volume / time, math.nan)
    full = gating.sprue.top + gating.basin.depth
    return Supply(mouths, lay_circuit(gating), math.nan, full)


def section_share(gating: GatingSystem | None, volume: float, density: float) -> float:
    """Metal of a section's volume [m3] for one part of that of the real casting."""
    known = gating is not None and not math.isnan(gating.weight)
    return volume * density / gating.weight if known and gating else 1.0
