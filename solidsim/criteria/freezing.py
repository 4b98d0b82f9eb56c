"""When is each part solid, and where does the last metal freeze?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.section.layout import METAL_ROLES, Section

Array = NDArray[np.float64]
FEEDING_ROLES = frozenset({"feeder"})


@dataclass(frozen=True)
class PartFreezing:
    """Freezing of one metal part: first and last freezing time [s], row and column of the last."""

    name: str
    role: str
    first: float
    last: float
    last_cell: tuple[int, int]


def part_freezing(section: Section, freezing_time: Array) -> list[PartFreezing]:
    """Freezing of each metal part that has cells and is wholly solid, the latest first.

    Parameters
    ----------
    section : Section
    freezing_time : ndarray, shape (ny, nx), [s]
        NaN where there is no metal, or none that is solid.
    """
    found = []
    for number, part in enumerate(section.parts, start=1):
        cells = section.part_index == number
        times = freezing_time[cells]
        last = last_to_freeze(freezing_time, cells)
        if part.role in METAL_ROLES and last is not None and np.isfinite(times).all():
            found.append(PartFreezing(part.name, part.role, times.min(), times.max(), last))
    return sorted(found, key=lambda part: -part.last)


def last_to_freeze(freezing_time: Array, cells: NDArray[np.bool_]) -> tuple[int, int] | None:
    """Cell of these that freezes last; None when none of them has frozen."""
    times = np.where(cells & np.isfinite(freezing_time), freezing_time, -np.inf)
    place = np.unravel_index(int(np.argmax(times)), times.shape)
    return (int(place[0]), int(place[1])) if np.isfinite(times[place]) else None
