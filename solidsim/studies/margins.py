"""How far may the pour, the feeder and the neck change before feeding fails, or until it holds?

Found by rerunning on coarse cells; only values that a rerun has confirmed are given.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from solidsim.case import Case
from solidsim.criteria.finding import Finding
from solidsim.errors import CaseError, SolverError
from solidsim.judgment import judge
from solidsim.model import Model, build_model
from solidsim.simulation import Progress, simulate
from solidsim.studies.changing import (
    height_of,
    poured_at,
    until_solid,
    width_of,
    with_height,
    with_width,
)
from solidsim.studies.confirming import with_cell

FEEDING = ("feeding", "hot-spot", "cavity", "pipe", "pipe-in-casting", "last-metal-in-feeder")
COARSER = (3.0, 2.0, 1.0)  # times the case's cells; the first that gives the same verdict
COLDEST, HOTTEST = 5.0, 100.0  # K above the liquidus; K above what is given
LOWEST, HIGHEST = 0.3, 2.5  # times what is drawn
HALVINGS, SHORTENINGS = 5, 3


@dataclass(frozen=True)
class Turn:
    """How far one quantity may change.

    Parameters
    ----------
    name, kind : str
        What it is, and its kind of quantity.
    given : float, [SI]
    holds : bool
        Whether feeding holds as given.
    at : float or None, [SI]
        The farthest value at which it still holds, or the nearest at which it comes to hold; None
        where it does not turn.
    searched : float, [SI]
        The farthest value that was tried.
    """

    name: str
    kind: str
    given: float
    holds: bool
    at: float | None
    searched: float


@dataclass(frozen=True)
class Knob:
    """A quantity that may be changed: toward the worse and the better, and what makes the case."""

    name: str
    kind: str
    given: float
    worse: float
    better: float
    changed: Callable[[float], Case]


def coarse_case(case: Case, findings: Sequence[Finding]) -> tuple[Case, bool]:
    """The case to its solid end, on the coarsest cells that judge feeding as the findings do.

    Returns
    -------
    case : Case
    held : bool
        Whether feeding holds there.
    """
    case, held = until_solid(case), holds(findings)
    cell = build_model(case).section.metal_cell
    for factor in COARSER:
        coarse = with_cell(case, factor * cell)
        found = judged(coarse)
        if found is not None and holds(found) == held:
            return coarse, held
    return with_cell(case, cell), held


def find_margins(case: Case, held: bool, progress: Progress | None = None) -> tuple[Turn, ...]:
    """Turning points of pour temperature, feeder heights and neck widths.

    Parameters
    ----------
    case : Case
    held : bool
        Whether feeding holds as given; both as from `coarse_case`.
    progress : callable, optional
        Called as each quantity is begun.
    """
    model, turns = build_model(case), []
    knobs = list(_knobs(case, model))
    for number, knob in enumerate(knobs):
        if progress:
            progress(0.0, number / len(knobs), knob.name)
        turns.append(_turn(knob, held))
    return tuple(turns)


def judged(case: Case) -> tuple[Finding, ...] | None:
    """Findings of a case; None where it cannot be drawn or computed."""
    try:
        return judge(simulate(build_model(case)))
    except (CaseError, SolverError):
        return None


def holds(findings: Sequence[Finding]) -> bool:
    """Whether nothing that has to do with feeding fails."""
    return not any(one.verdict == "fails" and one.name in FEEDING for one in findings)


def _knobs(case: Case, model: Model) -> Iterator[Knob]:
    pour, liquidus = model.pour_temperature, model.materials[model.metal].liquidus
    coldest = min(liquidus + COLDEST, pour)
    yield Knob(
        "pour temperature", "temperature", pour, coldest, pour + HOTTEST,
        partial(poured_at, case),
    )  # fmt: skip
    for part in case.description.part:
        name = part.name
        height = height_of(case, name) if part.role == "feeder" else None
        if height is not None:
            yield Knob(
                f"height of {name}", "length", height, LOWEST * height, HIGHEST * height,
                partial(with_height, case, name),
            )  # fmt: skip
        if part.role == "neck":
            width = width_of(case, name)
            yield Knob(
                f"width of {name}", "length", width, LOWEST * width, HIGHEST * width,
                partial(with_width, case, name),
            )  # fmt: skip


def _turn(knob: Knob, held: bool) -> Turn:
    """Search toward the worse where feeding holds, toward the better where it fails."""
    end = knob.worse if held else knob.better
    found = judged(knob.changed(end))
    for _ in range(SHORTENINGS):
        if found is not None:
            break
        end = 0.5 * (end + knob.given)
        found = judged(knob.changed(end))
    if found is None or holds(found) == held:
        return Turn(knob.name, knob.kind, knob.given, held, None, end)
    same, other = knob.given, end
    for _ in range(HALVINGS):
        middle = 0.5 * (same + other)
        found = judged(knob.changed(middle))
        if found is not None and holds(found) == held:
            same = middle
        else:
            other = middle
    return Turn(knob.name, knob.kind, knob.given, held, same if held else other, end)
