"""Does an answer stand on cells half as wide?"""

import math
from dataclasses import dataclass, replace

from solidsim.case import Case
from solidsim.criteria.finding import Finding
from solidsim.judgment import judge
from solidsim.model import build_model
from solidsim.section import Section
from solidsim.simulation import Progress, simulate


@dataclass(frozen=True)
class Change:
    """A finding, and the same one on finer cells; None where it is not found there."""

    finding: Finding
    finer: Finding | None

    @property
    def amount(self) -> float:
        """Change of the value, in its SI unit; NaN where there is none."""
        if self.finer is None or self.finding.value is None or self.finer.value is None:
            return math.nan
        return self.finer.value - self.finding.value


def with_cell(case: Case, cell: float) -> Case:
    """The same case on cells of another width [m]."""
    section = case.description.section.model_copy(update={"cell": cell})
    return replace(case, description=case.description.model_copy(update={"section": section}))


def confirm(
    case: Case, section: Section, findings: tuple[Finding, ...], progress: Progress | None = None
) -> tuple[Change, ...]:
    """Repeat a run on cells half as wide, in memory, and compare every finding with a value."""
    finer_case = with_cell(case, section.metal_cell / 2.0)
    finer = list(judge(simulate(build_model(finer_case), progress=progress)))
    changes = []
    for finding in findings:
        if finding.value is None:
            continue
        twin = _twin(finding, finer)
        if twin is not None:
            finer.remove(twin)
        changes.append(Change(finding, twin))
    return tuple(changes)


def _twin(finding: Finding, others: list[Finding]) -> Finding | None:
    """Find the nearest of the findings of the same name in the same part."""
    same = [o for o in others if (o.name, o.part) == (finding.name, finding.part)]
    return min(same, key=lambda other: _distance(finding, other), default=None)


def _distance(one: Finding, two: Finding) -> float:
    if one.place is None or two.place is None:
        return 0.0
    return math.dist(one.place, two.place)
