"""When the casting may be shaken out, from the cooling curve of its hottest metal."""

import numpy as np
from numpy.typing import NDArray

from solidsim.errors import SizingError
from solidsim.quantities import write_quantity

Array = NDArray[np.float64]


def shake_out_time(time: Array, hottest: Array, temperature: float) -> float:
    """Time [s] from which the hottest metal stays at or below a temperature.

    Parameters
    ----------
    time : ndarray, shape (n,), [s]
        Rising.
    hottest : ndarray, shape (n,), [K]
        Temperature of the hottest metal of a run.
    temperature : float, [K]

    Raises
    ------
    SizingError
        When the curve ends above the temperature.

    Notes
    -----
    Linear between the last point above and the next.
    """
    above = np.flatnonzero(np.asarray(hottest) > temperature)
    if above.size == 0:
        return float(time[0])
    last = int(above[-1])
    if last + 1 == len(time):
        raise SizingError(
            f"the run ends after {write_quantity(float(time[-1]), 'time', 'metric')} with metal at "
            f"{write_quantity(float(hottest[-1]), 'temperature', 'metric')}; shaking out at "
            f"{write_quantity(temperature, 'temperature', 'metric')} needs a longer one"
        )
    share = (hottest[last] - temperature) / (hottest[last] - hottest[last + 1])
    return float(time[last] + share * (time[last + 1] - time[last]))
