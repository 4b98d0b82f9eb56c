"""Prediction against record: what was expected, what happened, and how far apart they are."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solidsim.case import Record
from solidsim.criteria.finding import Finding
from solidsim.quantities import Units, write_quantity
from solidsim.report.cooling import temperature_at
from solidsim.results.run import Run
from solidsim.sizing.weight import section_weights

SHRINKAGE = frozenset({"hot-spot", "cavity", "pipe-in-casting", "last-metal-in-feeder"})
FORETOLD = {
    "shrinkage": SHRINKAGE,
    "cold-run": {"misrun", "cold-shut"},
    "gas": {"shut-in-air"},
    "hard-edge": {"chilled-edge"},
}
"""Findings that foretell a kind of defect; of the other kinds nothing is computed."""
OF_FILL = frozenset({"cold-run", "gas"})
"""Kinds of which a mold filled at once tells nothing."""


@dataclass(frozen=True)
class Comparison:
    """One thing predicted and measured, SI; either may be missing.

    Parameters
    ----------
    name : str
        The key of the record, or the kind of a defect.
    kind : str
        Kind of quantity; ``"word"`` where words stand in place of numbers.
    predicted, measured : float, str or None
    part : str or None
    """

    name: str
    kind: str
    predicted: float | str | None
    measured: float | str | None
    part: str | None = None

    @property
    def difference(self) -> float | None:
        """Measured less predicted, SI."""
        if isinstance(self.predicted, float) and isinstance(self.measured, float):
            return self.measured - self.predicted
        return None


def compare_record(run: Run, findings: Sequence[Finding], record: Record) -> tuple[Comparison, ...]:
    """Lay what a record holds beside what the run came to.

    What was not measured is left out; of what was measured but not predicted, that is said; a
    form that is still empty compares with nothing. A failed finding on shrinkage without such a
    defect in its part is a prediction that was wrong, or a defect that nobody has looked for.
    """
    if record.description == type(record.description)():
        return ()
    rows = [row for row in _measured(run, findings, record) if row.measured is not None]
    return (*rows, *_defects(findings, record, run.fill is not None))


def _measured(run: Run, findings: Sequence[Finding], record: Record) -> Iterator[Comparison]:
    wrote = record.description
    casting, poured = _weights(run)
    pipes = [each.value for each in findings if each.name == "pipe" and each.value is not None]
    hottest = None
    if wrote.shake_out_time is not None:
        hottest = temperature_at(run, wrote.shake_out_time)
    rows: tuple[tuple[str, str, float | None], ...] = (
        ("pour_temperature", "temperature", run.alloy.pour_temperature),
        ("mold_temperature", "temperature", run.judging.mold_temperature),
        ("casting_weight", "mass", casting),
        ("poured_weight", "mass", poured),
        ("pipe_depth", "length", max(pipes, default=None)),
        ("shake_out_temperature", "temperature", hottest),
        ("furnace_temperature", "temperature", None),
        ("fill_time", "time", run.fill.fill_time if run.fill and run.fill.full else None),
        ("wedge", "length", None),
    )
    for name, kind, predicted in rows:
        yield Comparison(name, kind, predicted, getattr(wrote, name))


def _weights(run: Run) -> tuple[float | None, float | None]:
    """Weights [kg] of casting and all metal; of an endless section none."""
    if run.section.endless:
        return None, None
    weights = section_weights(run.section, run.alloy.density)
    return weights.casting, weights.poured


def _defects(findings: Sequence[Finding], record: Record, filled: bool) -> Iterator[Comparison]:
    """Defects found, each with what foretold it; then what was foretold and not found."""
    risks = [each for each in findings if each.verdict in ("fails", "close")]
    found = record.description.defect
    for defect in found:
        names = FORETOLD.get(defect.kind)
        said: str | None = None
        if names is not None and (filled or defect.kind not in OF_FILL):
            matching = [e for e in risks if e.name in names and _meets(e.part, defect.part)]
            said = matching[0].verdict if matching else "not predicted"
        yield Comparison(defect.kind, "word", said, defect.note or "found", defect.part)
    looked = {defect.part for defect in found if defect.kind == "shrinkage"}
    for each in risks:
        if each.name in SHRINKAGE and each.part not in looked and None not in looked:
            yield Comparison("shrinkage", "word", each.verdict, "not recorded", each.part)
            looked.add(each.part)


def _meets(part: str | None, other: str | None) -> bool:
    """Whether two parts may be the same; None is any."""
    return part == other or part is None or other is None


def written(value: float | str | None, kind: str, units: Units) -> str:
    """Text of one side of a comparison."""
    if value is None or isinstance(value, str):
        return value or "-"
    return write_quantity(value, kind, units)
