"""From a run to findings, the worst first."""

from solidsim.criteria.feeding import Feeding
from solidsim.criteria.filling import judge_fill
from solidsim.criteria.finding import Finding, Verdict
from solidsim.judgment.feeding import feeding_of, hot_spots, parts_fed
from solidsim.judgment.freezing import (
    heat_account,
    heat_by_faces,
    last_metal,
    niyama_share,
    parts_solid,
    unfrozen,
)
from solidsim.judgment.irons import chilled_edge
from solidsim.judgment.pouring import pouring_time
from solidsim.judgment.shrinkage import (
    blind_feeders,
    cavities,
    pipe_in_casting,
    pipes,
    share_fed,
    volume_account,
)
from solidsim.judgment.shut_in_air import shut_in_air
from solidsim.results.run import Run

ORDER: dict[Verdict, int] = {"fails": 0, "close": 1, "holds": 2, "note": 3}


def judge(run: Run) -> tuple[Finding, ...]:
    """Findings of a run, the worst first.

    A run that stopped before its metal was solid is judged on what did freeze, and says so.
    """
    if not run.alloy.latent_heat:
        return ()
    feeding = feeding_of(run)
    findings = [
        *unfrozen(run),
        *(_of_feeding(run, feeding) if feeding else ()),
        *last_metal(run),
        *chilled_edge(run),
        *niyama_share(run),
        *parts_solid(run),
        *heat_by_faces(run),
        *heat_account(run),
        *pouring_time(run),
        *shut_in_air(run),
        *(judge_fill(run.fill, run.alloy.liquidus, run.units) if run.fill else ()),
    ]
    return tuple(sorted(findings, key=lambda finding: ORDER[finding.verdict]))


def _of_feeding(run: Run, feeding: Feeding) -> list[Finding]:
    findings = [*hot_spots(run, feeding), *parts_fed(run, feeding)]
    if run.alloy.volume is not None:
        for volumes in (cavities, pipe_in_casting, pipes, volume_account):
            findings += volumes(run, feeding)
    return [*findings, *blind_feeders(run, feeding), *share_fed(run, feeding)]
