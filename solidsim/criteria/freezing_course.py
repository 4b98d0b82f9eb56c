"""How far has each cell frozen at a time, told from the moments at which it passed three points?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.material import VolumeLaw

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FreezingCourse:
    """Superheat and solid fraction of metal cells against time.

    Straight lines in time between the pour, the liquidus, the feeding cutoff and the solidus: the
    superheat falls evenly to nothing, then the solid fraction rises evenly to the cutoff, then
    evenly to one.

    Parameters
    ----------
    liquidus_time, cutoff_time, freezing_time : ndarray, shape (nc,), [s]
    cutoff : float, [1]
        Solid fraction at which liquid no longer passes.
    superheat : float, [K]
        At the pour.
    """

    liquidus_time: Array
    cutoff_time: Array
    freezing_time: Array
    cutoff: float
    superheat: float

    def superheat_at(self, time: float) -> Array:
        """Superheat of each cell at a time [s], shape (nc,), [K]."""
        return self.superheat * (1.0 - _share(time, np.zeros_like(self.cutoff_time),
                                              self.liquidus_time))  # fmt: skip

    def solid_fraction_at(self, time: float) -> Array:
        """Solid fraction of each cell at a time [s], shape (nc,), [1]."""
        early = _share(time, self.liquidus_time, self.cutoff_time)
        late = _share(time, self.cutoff_time, self.freezing_time)
        return self.cutoff * early + (1.0 - self.cutoff) * late


def shrinkage_left(
    law: VolumeLaw, course: FreezingCourse, time: float, wall_movement: float = 0.0
) -> Array:
    """Share of volume that each cell has yet to lose at a time [s], shape (nc,), [1].

    Below zero where graphite will add more than the metal shrinks by; the mold gives way to a
    share ``wall_movement`` [1] of that growth.
    """
    solid = course.solid_fraction_at(time)
    now = law.at(course.superheat_at(time), solid)
    growth = law.graphite_growth[-1] - np.interp(solid, law.solid_fraction, law.graphite_growth)
    return 1.0 - (law.relative_volume[-1] - wall_movement * growth) / now


def _share(time: float, start: Array, end: Array) -> Array:
    """How much of each stretch of time is over, [1]; a stretch of no length is over at its end."""
    length = end - start
    passed = np.divide(time - start, length, out=np.zeros_like(length), where=length > 0.0)
    return np.where(time >= end, 1.0, np.clip(passed, 0.0, 1.0))
