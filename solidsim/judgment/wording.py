"""Words that all findings share: places, times, volumes, and what is too close to call."""

from solidsim.criteria.finding import Verdict
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

CLOSE_SHARE = 0.05  # of a time: a margin below this is too close to call
NO_PLAN = (
    "in plan they are one lump, and whether the feeder outlasts what it stands on shows only in "
    "an upright or round section"
)
PAST_LUMP = "whether the feeder feeds what it stands on shows only in an upright or round section"
CLOSE_SOURCE = "a margin below 5 % of the last freezing time is within the error of the method"

Cell = tuple[int, int]


def place_of(run: Run, cell: Cell) -> tuple[float, float]:
    """Middle of a cell, [m]."""
    grid = run.section.grid
    return float(grid.x_centers[cell[1]]), float(grid.y_centers[cell[0]])


def part_at(run: Run, cell: Cell) -> tuple[str, str]:
    """Name and role of the part that a cell belongs to."""
    part = run.section.parts[int(run.section.part_index[cell]) - 1]
    return part.name, part.role


def said_time(run: Run, seconds: float) -> str:
    """A time in the run's units."""
    return write_quantity(seconds, "time", run.units)


def said_share(run: Run, share: float) -> str:
    """A share in whole percent, or in tenths below one."""
    return write_quantity(round(share, 2 if share >= 0.01 else 3), "fraction", run.units)


def said_length(run: Run, length: float) -> str:
    """A length to the millimeter or the sixteenth of an inch: cells are no finer."""
    step = 0.001 if run.units == "metric" else 0.0254 / 16.0
    return write_quantity(round(length / step) * step, "length", run.units)


def said_volume(run: Run, volume: float) -> str:
    """A volume in the run's units; that of an endless section is by the meter of its depth."""
    return write_quantity(volume, "volume", run.units) + ("/m" if run.section.endless else "")


def graded(margin: float, close: float) -> Verdict:
    """Verdict of a margin that is too close to call below a limit."""
    if margin < 0.0:
        return "fails"
    return "holds" if margin >= close else "close"
