"""Watchers of a run: each stops it with a stated reason rather than let a wrong answer out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.errors import SolverError

Array = NDArray[np.float64]

OVERSHOOT = 0.02  # of the span of temperatures
IMBALANCE = 1e-6  # of the heat moved
ROUND_OFF = 1e-6  # of the heat content: an account this small is not judged


@dataclass(frozen=True)
class TemperatureBounds:
    """The coldest and hottest that anything may get, [K]; heat flow alone makes no new extremes."""

    coldest: float
    hottest: float


def temperature_bounds(coldest: float, hottest: float) -> TemperatureBounds:
    """Bounds from the extremes at the start and outside, with some room for overshoot, [K]."""
    room = OVERSHOOT * max(hottest - coldest, 1.0)
    return TemperatureBounds(coldest - room, hottest + room)


def watch_temperatures(time: float, temperatures: Array, bounds: TemperatureBounds) -> None:
    """Stop when a temperature is not a number or out of bounds.

    Raises
    ------
    SolverError
    """
    coldest, hottest = float(temperatures.min()), float(temperatures.max())
    if not (coldest >= bounds.coldest and hottest <= bounds.hottest):
        raise SolverError(
            f"stopped at {time:.6g} s: temperatures from {coldest:.6g} to {hottest:.6g} K left "
            f"the span {bounds.coldest:.6g} to {bounds.hottest:.6g} K that heat flow allows"
        )


def watch_energy(
    time: float, released: float, added: float, stored: float, lost: float, content: float
) -> None:
    """Stop when the heat account does not close; heats in [J].

    A gap below the round-off of all heat that is there, ``content``, says nothing.

    Raises
    ------
    SolverError
    """
    gap = abs(released + added - stored - lost)
    moved = (abs(released) + abs(added) + abs(stored) + abs(lost)) / 2.0
    if gap > IMBALANCE * max(moved, ROUND_OFF * content):
        raise SolverError(
            f"stopped at {time:.6g} s: the heat account is off by {gap:.3g} J of {moved:.3g} J"
        )
