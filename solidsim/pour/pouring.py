"""What every way of pouring offers to the loop of a run."""

from collections.abc import Mapping
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.state import Conduction
from solidsim.fill.record import FillRecord

Array = NDArray[np.float64]


class Pouring(Protocol):
    """A fill that goes on while the mold takes up heat.

    ``due`` [s] is when more metal comes next, endless when ``over``; ``share`` [1] is what of the
    section's metal has come; ``standing`` (ny, nx) are the cells that hold it. ``frame_spacing``
    [s] is the longest time between two frames while metal comes.
    """

    due: float

    @property
    def frame_spacing(self) -> float:
        """Longest time between two frames, [s]."""

    @property
    def over(self) -> bool:
        """Whether no more metal comes."""

    @property
    def share(self) -> float:
        """Share of the section's metal that has come, [1]."""

    @property
    def standing(self) -> NDArray[np.bool_]:
        """Cells that hold metal, shape (ny, nx)."""

    def let_in(self, state: Conduction) -> None:
        """Bring in the metal that has come up to now, and say when the next comes."""

    def motion(self) -> tuple[Array, Array, Array] | None:
        """Share of each cell that is filled [1], velocity along x and y at its middle [m/s].

        Shape (ny, nx); None where metal is not followed on its way.
        """

    def fields(self) -> Mapping[str, Array]:
        """Fields of the fill by their names in the FIELDS table, shape (ny, nx)."""

    def record(self, state: Conduction, released: float) -> FillRecord:
        """What is kept of the fill; ``released`` [J] has left the metal by conduction."""
