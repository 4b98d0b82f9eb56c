"""What graphitic iron adds: may an edge freeze white?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.chilled_edge import chill_tendency, eutectic_time
from solidsim.criteria.finding import Finding, Verdict
from solidsim.criteria.free_surfaces import outer_cells
from solidsim.criteria.supply import time_by_share
from solidsim.judgment.wording import part_at, place_of, said_share
from solidsim.results.run import Run

NEAR = 0.8  # of the interval: what needs less is clear; our choice
MOST = 0.99  # of the skin lies below the value that is judged: single cells are noise


@dataclass(frozen=True)
class Skin:
    """Skin of a casting of gray iron, against what freezes white.

    Parameters
    ----------
    cells : ndarray of bool, shape (ny, nx)
    tendency : ndarray, shape (ny, nx), [1]
        Needed undercooling over that at which carbide forms; NaN off the skin.
    """

    cells: NDArray[np.bool_]
    tendency: NDArray[np.float64]


def skin_of(run: Run) -> Skin | None:
    """Skin of the casting and how near it came to freezing white; None of any other metal."""
    iron, fields = run.alloy.iron, run.fields
    casting = run.section.cells_with_role("casting")
    if iron is None or iron.graphite != "flakes" or "cutoff_time" not in fields:
        return None
    cells = casting & outer_cells(run.metal) & np.isfinite(fields["freezing_time"])
    if not cells.any():
        return None
    last, solid = fields["cutoff_time"][cells], fields["freezing_time"][cells]
    times = eutectic_time(iron, last, solid, run.alloy.feeding_cutoff)
    tendency = np.full(cells.shape, np.nan)
    tendency[cells] = chill_tendency(iron, times)
    return Skin(cells, tendency)


def chilled_edge(run: Run) -> list[Finding]:
    """May the casting's skin freeze white somewhere? An estimate, never a refusal."""
    skin = skin_of(run)
    if skin is None:
        return []
    judged, tendency = skin.cells, skin.tendency[skin.cells]
    volumes = run.section.volumes[judged]
    worst = time_by_share(tendency, volumes, MOST)
    white = float(volumes[tendency >= 1.0].sum() / volumes.sum())
    rows, columns = np.nonzero(judged)
    most = int(np.argmax(tendency))
    cell = int(rows[most]), int(columns[most])
    name, _ = part_at(run, cell)
    verdict: Verdict = "holds" if worst < NEAR else "close"
    risk = f"the edges of {name} come nearest to freezing white (chilled edge)"
    if white > 0.0:
        risk = f"{said_share(run, white)} of the casting's skin, first in {name}, may freeze white"
    return [
        Finding(
            name="chilled-edge",
            statement=f"{risk}: graphite there needs {worst:.2f} of the undercooling at which "
            "carbide forms; a wedge test decides",
            verdict=verdict,
            value=worst,
            limit=1.0,
            margin=1.0 - worst,
            place=place_of(run, cell),
            part=name,
            source="time of the eutectic against growth of its cells, after Fras, Gorny & Lopez "
            "(2005), Metall. Mater. Trans. A 36:3075; constants from memory",
        )
    ]
