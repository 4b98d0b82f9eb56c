"""Air that flowing metal shuts in: followed from turn to turn until the sand has let it go."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.flowing import Flow
from solidsim.fill.gas_pockets import shut_in
from solidsim.fill.record import Place

NOTED = 5e-3  # of the cavity: smaller bubbles are not told of


@dataclass
class _Bubble:
    """One body of shut-in air; ``cells`` of the window are its own."""

    time: float
    volume: float
    pressure: float
    x: float
    y: float
    leak: float
    cells: NDArray[np.bool_]
    seen: float


@dataclass
class ShutInAir:
    """All air that was shut in; ``cavity`` [m3] is the whole of it."""

    cavity: float
    bubbles: list[_Bubble] = field(default_factory=list)

    def look(self, flow: Flow) -> None:
        """Note the pockets as they are: a pocket that lies where one lay is the same."""
        pockets = flow.pockets
        if pockets.is_open.all():
            return
        fraction, pressure = flow.fraction.ravel(), flow.pressure.ravel()
        least = NOTED * self.cavity
        for found in shut_in(pockets, flow.grid, fraction, pressure, least):
            owner = pockets.owner[flow.grid.number_at(found.x, found.y)]
            cells = pockets.owner == owner
            known = [own for own in self.bubbles if (cells & own.cells).any()]
            if known:
                own = known[0]
                own.pressure = max(own.pressure, found.pressure)
                own.cells, own.seen = cells, flow.time
                own.x, own.y = found.x, found.y
            else:
                self.bubbles.append(
                    _Bubble(
                        flow.time,
                        found.volume,
                        found.pressure,
                        found.x,
                        found.y,
                        float(pockets.leak[owner]),
                        cells,
                        flow.time,
                    )
                )

    def places(self, end: float) -> list[Place]:
        """What was shut in, and until when; air that is still there at the end stays."""
        return [
            Place(
                "shut-in", own.time, own.x, own.y, volume=own.volume, pressure=own.pressure,
                until=own.seen if own.seen < end - 1e-6 else math.nan, leak=own.leak,
            )
            for own in self.bubbles
        ]  # fmt: skip
