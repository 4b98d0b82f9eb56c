"""Where does the atmosphere reach the liquid, and until when?

The rules: a part is open where air, a loose cover or the rim of the mold lies on it. A feeder with
sand all around is blind: the atmosphere reaches its liquid through the sand until a skin has
closed about it, that is when the last of its cells against anything but metal has reached the
cutoff; from then on it feeds by its weight alone, like any other liquid. A core that reaches into
a blind feeder keeps it open. Sand lets air to a casting just as well, but there the skin is taken
as closed from the start.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.section.layout import METAL_ROLES, Part, Section
from solidsim.section.neighbors import grown

Array = NDArray[np.float64]
Cells = NDArray[np.bool_]
Reach = Literal["open", "core", "skin"]

LOOSE = ("air", "insulation")


@dataclass(frozen=True)
class FreeSurface:
    """A part that the atmosphere reaches.

    Parameters
    ----------
    name : str
    cells : ndarray of bool, shape (nc,)
        Metal cells of the part.
    until : float, [s]
        When a skin closes it; infinite where nothing does.
    """

    name: str
    cells: Cells
    until: float = np.inf

    def hottest(self, cutoff_time: Array) -> int:
        """Place among the metal cells of the part's last one to reach the cutoff [s], (nc,)."""
        return int(np.argmax(np.where(self.cells, cutoff_time, -np.inf)))


def open_parts(section: Section, rim: bool = True) -> tuple[str, ...]:
    """Metal parts that lie open upward in the drawing; none in the plan view, which hides it.

    Parameters
    ----------
    section : Section
    rim : bool
        Whether the upper edge of the drawing is the mold's; if not, metal goes on above it.
    """
    if section.grid.view == "plan":
        return ()
    above = np.vstack(
        [section.cells_with_role(*LOOSE)[1:], np.full((1, section.grid.shape[1]), rim)]
    )
    bare = section.metal & above
    return tuple(
        part.name for part in _metal_parts(section) if (_cells(section, part) & bare).any()
    )


def reach_of_air(section: Section, opened: Collection[str]) -> dict[str, Reach]:
    """How the atmosphere reaches each part that it reaches at all."""
    cored = grown(section.cells_with_role("core"))
    reach: dict[str, Reach] = {}
    for part in _metal_parts(section):
        if part.name in opened:
            reach[part.name] = "open"
        elif part.role == "feeder":
            reach[part.name] = "core" if (_cells(section, part) & cored).any() else "skin"
    return reach


def free_surfaces(
    section: Section, cutoff_time: Array, opened: Collection[str]
) -> tuple[FreeSurface, ...]:
    """Parts that the atmosphere reaches, with the time at which a skin closes each of them.

    Parameters
    ----------
    section : Section
    cutoff_time : ndarray, shape (ny, nx), [s]
        NaN where there is no metal.
    opened : collection of str
        Names of the parts that lie open.
    """
    metal = np.isfinite(cutoff_time)
    outer = outer_cells(metal)
    surfaces = []
    for name, reach in reach_of_air(section, opened).items():
        cells = section.part_cells(name) & metal
        skin = cells & outer
        closing = reach == "skin" and skin.any()
        until = float(cutoff_time[skin].max()) if closing else np.inf
        if cells.any():
            surfaces.append(FreeSurface(name, cells[metal], until))
    return tuple(surfaces)


def outer_cells(metal: Cells) -> Cells:
    """Cells of the metal against anything else in the drawing, shape (ny, nx)."""
    return metal & grown(~metal)


def _metal_parts(section: Section) -> list[Part]:
    return [part for part in section.parts if part.role in METAL_ROLES]


def _cells(section: Section, part: Part) -> Cells:
    return section.part_cells(part.name)
