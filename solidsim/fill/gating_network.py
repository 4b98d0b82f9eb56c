"""Flow through a gating system at one moment: Bernoulli's equation along the way to each mouth.

On the way to mouth i the head lost in all stretches, sum of (K + f L/D) Q|Q| / (2 g A^2), is the
head of the basin over what stands against the metal at the mouth. The losses rise with the flow,
so that the heads are the slopes of one convex function of the flows: Newton's method with
shortened steps finds its only minimum.
"""

import math
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from solidsim.fill.circuit import Circuit, sprue_areas
from solidsim.fill.hydraulics import VISCOSITY, friction_factor
from solidsim.model import Sprue
from solidsim.quantities import GRAVITY

Array = NDArray[np.float64]

MOST_ROUNDS = 60
TOLERANCE = 1e-10  # of the head


@dataclass(frozen=True)
class NetworkFlow:
    """Flow at one moment, found by so many rounds to a residual [m] of head.

    Parameters
    ----------
    flows : ndarray, shape (mouths,), [m3/s]
        Negative where metal runs back.
    through : ndarray, shape (elements,), [m3/s]
    sprue_level : float, [m]
        Height up to which the sprue is full: the basin's level unless it draws air.
    full : bool
        Whether the sprue is full.
    iterations : int
    residual : float, [m]
    converged : bool
    """

    flows: Array
    through: Array
    sprue_level: float
    full: bool
    iterations: int
    residual: float
    converged: bool


def head_lost(circuit: Circuit, through: Array) -> Array:
    """Head lost in each element at its flow [m3/s], shape (..., elements), [m]."""
    speed = np.abs(through) / circuit.area
    reynolds = speed * circuit.diameter / VISCOSITY
    friction = friction_factor(reynolds, circuit.system.roughness / circuit.diameter)
    total = circuit.loss + np.where(circuit.slender > 0.0, friction * circuit.slender, 0.0)
    return total * through * speed / (2.0 * GRAVITY * circuit.area)


def solve_flow(
    circuit: Circuit,
    basin_level: float,
    against: Array,
    supply: float = math.inf,
    start: Array | None = None,
) -> NetworkFlow:
    """Flow out of every mouth.

    Parameters
    ----------
    circuit : Circuit
    basin_level : float, [m]
        Height of the metal in the basin.
    against : ndarray, shape (mouths,), [m]
        Height of the metal over each mouth; where it is below, the mouth pours free; endless
        where a mouth is shut.
    supply : float, [m3/s]
        What there is at the most.
    start : ndarray, shape (mouths,), [m3/s], optional
        Flow to start from.

    Notes
    -----
    The sprue takes no more than leaves its pressure above that of the air all the way down. Where
    the channels would take more, it is full only up to the level that drives the rest.
    """
    most = min(supply, sprue_capacity(circuit.system.sprue, basin_level))
    found = _solve(circuit, basin_level, against, start)
    if found.flows.sum() <= most:
        return found
    low = circuit.system.sprue.foot

    def excess(level: float) -> float:
        return float(_solve(circuit, level, against, found.flows).flows.sum()) - most

    if excess(low) >= 0.0:  # mouths lie below the foot and take all there is
        fallen = _solve(circuit, low, against, found.flows)
        scale = most / fallen.flows.sum()
        return _with(fallen, fallen.flows * scale, fallen.through * scale, low)
    level = scipy.optimize.brentq(excess, low, basin_level, xtol=1e-9)
    partly = _solve(circuit, level, against, found.flows)
    return _with(partly, partly.flows, partly.through, level)


def _with(flow: NetworkFlow, flows: Array, through: Array, level: float) -> NetworkFlow:
    return NetworkFlow(flows, through, level, False, flow.iterations, flow.residual, flow.converged)


def sprue_capacity(sprue: Sprue, basin_level: float) -> float:
    """Largest flow at which no place of the sprue is below the pressure of the air, [m3/s].

    A sqrt(2 g (level - y) / (1 + K)) at its tightest height y; friction is left out.
    """
    height, area, lost = _sprue_heads(sprue)
    fall = np.maximum(basin_level - height, 0.0)
    return float(np.min(area * np.sqrt(2.0 * GRAVITY * fall / lost)))


def level_that_passes(sprue: Sprue, flow: float) -> float:
    """Basin level at which a flow [m3/s] is the sprue's capacity, [m]."""
    height, area, lost = _sprue_heads(sprue)
    return float(np.max(height + lost * (flow / area) ** 2 / (2.0 * GRAVITY)))


def _sprue_heads(sprue: Sprue) -> tuple[Array, Array, Array]:
    """Heights of a sprue [m], its area there [m2], and the heads of velocity spent, 1 + K."""
    height, area = sprue_areas(sprue)
    return height, area, 1.0 + sprue.entry_loss * (area / sprue.top_area) ** 2


def _solve(circuit: Circuit, level: float, against: Array, start: Array | None) -> NetworkFlow:
    """Newton's method; mouths that pour free do not suck."""
    free = against <= circuit.heights
    drive = level - np.maximum(against, circuit.heights)
    open_ = (against < math.inf) & (~free | (drive > 0.0))
    flows = np.zeros(drive.size)
    if not open_.any():
        return NetworkFlow(flows, flows @ circuit.ways, level, True, 0, 0.0, True)
    flows[open_] = 0.1 * circuit.area[0] / len(flows) if start is None else start[open_]
    iterations = 0
    while True:
        rounds, residual = _newton(circuit, drive, open_, flows)
        iterations += rounds
        sucking = open_ & free & (flows < 0.0)
        if not sucking.any():
            break
        open_ &= ~sucking
        flows[sucking] = 0.0
    good = residual <= 1e2 * TOLERANCE * max(float(np.abs(drive[open_]).max(initial=0.0)), 1e-6)
    return NetworkFlow(flows, flows @ circuit.ways, level, True, iterations, residual, good)


def _newton(
    circuit: Circuit, drive: Array, open_: NDArray[np.bool_], flows: Array
) -> tuple[int, float]:
    """Change the flows of the open mouths in place; rounds and largest residual [m]."""
    ways = circuit.ways[open_].astype(float)
    smallest = TOLERANCE * max(float(np.abs(drive[open_]).max(initial=0.0)), 1e-6)

    def misses(trial: Array) -> Array:
        return ways @ head_lost(circuit, trial @ ways) - drive[open_]

    now = flows[open_]
    miss = misses(now)
    rounds = 0
    while rounds < MOST_ROUNDS:
        worst = float(np.abs(miss).max(initial=0.0))
        if worst <= smallest:
            break
        through = now @ ways
        nudge = 1e-6 * np.maximum(np.abs(through), 1e-4 * circuit.area)
        above, below = head_lost(circuit, np.stack([through + nudge, through - nudge]))
        slope = (ways * ((above - below) / (2.0 * nudge))) @ ways.T
        step, share = np.linalg.solve(slope, -miss), 1.0
        while share > 1e-4:
            ahead = now + share * step
            trial = misses(ahead)
            if np.linalg.norm(trial) < (1.0 - 0.1 * share) * np.linalg.norm(miss):
                break
            share *= 0.5
        now, miss = ahead, trial
        rounds += 1
    flows[open_] = now
    return rounds, float(np.abs(miss).max(initial=0.0))
