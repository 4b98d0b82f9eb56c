"""What graphitic iron adds: may an edge freeze white?"""

import numpy as np

from solidsim.criteria.chilled_edge import chill_tendency, eutectic_time
from solidsim.criteria.finding import Finding, Verdict
from solidsim.criteria.free_surfaces import outer_cells
from solidsim.criteria.supply import time_by_share
from solidsim.judgment.wording import part_at, place_of, said_share
from solidsim.results.run import Run

NEAR = 0.8  # of the interval: what needs less is clear; our choice
MOST = 0.99  # of the skin lies below the value that is judged: single cells are noise


def chilled_edge(run: Run) -> list[Finding]:
    """May the casting's skin freeze white somewhere? An estimate, never a refusal."""
    iron, fields = run.alloy.iron, run.fields
    casting = run.section.cells_with_role("casting")
    if iron is None or iron.graphite != "flakes" or "cutoff_time" not in fields:
        return []
    judged = casting & outer_cells(run.metal)
    judged &= np.isfinite(fields["freezing_time"])
    if not judged.any():
        return []
    last, solid = fields["cutoff_time"][judged], fields["freezing_time"][judged]
    times = eutectic_time(iron, last, solid, run.alloy.feeding_cutoff)
    tendency = chill_tendency(iron, times)
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
