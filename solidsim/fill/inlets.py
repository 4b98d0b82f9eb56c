"""Where the drawing of a section shows that metal comes in."""

from collections.abc import Iterator

import numpy as np

from solidsim.fill.flow_mouths import flow_mouths
from solidsim.fill.mouths import Mouth
from solidsim.fill.record import Inlet
from solidsim.model import Model
from solidsim.section.grid import Grid


def find_inlets(model: Model) -> tuple[Inlet, ...]:
    """The inlets of a model's gating, or of a pour that has none, in the order of the mouths."""
    mouths, gating = flow_mouths(model), model.pour.gating
    names = (
        [gating.stretches[own.stretch].name for own in gating.mouths]
        if gating
        else [""] * len(mouths)
    )
    grid = model.section.grid
    return tuple(
        Inlet(name, *_middle(grid, mouth)) for name, mouth in zip(names, mouths, strict=True)
    )


def _middle(grid: Grid, mouth: Mouth) -> Iterator[float]:
    """Middle of a mouth on the wall that it comes through, [m], and its direction."""
    j, i = np.divmod(np.array(mouth.cells), grid.x_centers.size)
    along_x, along_y = mouth.direction
    if along_x == along_y == 0.0 and grid.view == "upright":
        along_y = 1.0  # it wells up
    sides = (
        (along_x, grid.x_edges, grid.x_centers, i),
        (along_y, grid.y_edges, grid.y_centers, j),
    )
    for along, edges, centers, own in sides:
        yield float((centers[own] if along == 0.0 else edges[own + int(along < 0.0)]).mean())
    yield from (along_x, along_y)
