"""How hot the hottest metal of a run is, and when it may be shaken out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.errors import SizingError
from solidsim.results.run import Run
from solidsim.sizing.shake_out import shake_out_time

Array = NDArray[np.float64]

SHAKE_OUT = 723.15  # K: 450 °C, where the case says nothing; common practice, no source


@dataclass(frozen=True)
class ShakeOutClock:
    """Time since the pour [s] and hottest metal [K] at shake-out; None where a run ends before."""

    time: float | None
    temperature: float | None


def hottest_metal(run: Run) -> tuple[Array, Array]:
    """Times [s] and temperatures [K] of the hottest metal, each shape (nt,)."""
    temperatures = np.asarray(run.frames.temperature)[:, run.metal].max(axis=1)
    return np.asarray(run.frames.times, dtype=float), temperatures.astype(float)


def temperature_at(run: Run, time: float) -> float | None:
    """Temperature [K] of the hottest metal at a time [s]; None after the end of the run."""
    times, hottest = hottest_metal(run)
    return float(np.interp(time, times, hottest)) if times[0] <= time <= times[-1] else None


def shake_out_clock(
    run: Run | None, time: float | None, temperature: float | None
) -> ShakeOutClock:
    """Clock for a shake-out wanted at a time [s] or a temperature [K], by the run if there is one.

    With neither, the temperature is that of common practice.
    """
    if time is not None:
        return ShakeOutClock(time, temperature_at(run, time) if run else None)
    wanted = SHAKE_OUT if temperature is None else temperature
    if run is None:
        return ShakeOutClock(None, wanted)
    try:
        return ShakeOutClock(shake_out_time(*hottest_metal(run), wanted), wanted)
    except SizingError:
        return ShakeOutClock(None, wanted)
