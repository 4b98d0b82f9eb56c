"""Two or more layouts side by side: their findings line by line, what differs, which is best."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from solidsim.quantities import Units, difference_kind, write_quantity
from solidsim.results.run import Run
from solidsim.studies.outcome import BOOKKEEPING, ORDER, figures_of, verdict_of, worst_of

RULE = (
    "fewest findings that fail, then fewest too close to call, then the largest of the smallest "
    "margins as shares of their limits, then the least melt"
)
FIGURES = {  # beside the findings: whether more or less of it is better, or neither
    "findings-that-fail": -1,
    "findings-too-close": -1,
    "freezing-time": 0,
    "melt-weight": -1,
    "yield": 1,
    "chill-volume": -1,
}
WORDING = ("title", "base", "without", "units")  # how a case is written, not what it is
ABSENT = "none"  # what a case does not have, or a run has no finding of

Best = tuple[float, ...]


@dataclass(frozen=True)
class Line:
    """One line of a comparison: a text, value [SI, NaN for none] and verdict a layout.

    ``winners`` are the layouts that come out best; empty where all are equal, or none is better.
    """

    name: str
    kind: str
    texts: tuple[str, ...]
    values: tuple[float, ...]
    verdicts: tuple[str, ...]
    winners: tuple[int, ...]


@dataclass(frozen=True)
class Comparison:
    """Layouts side by side; ``winner`` is none where the rule finds two of them equal."""

    names: tuple[str, ...]
    runs: tuple[Run, ...]
    lines: tuple[Line, ...]
    differences: tuple[tuple[str, tuple[str, ...]], ...]
    verdicts: tuple[str, ...]
    winner: int | None

    @property
    def units(self) -> Units:
        """Units of the first run."""
        return self.runs[0].units

    @property
    def judgment(self) -> str:
        """Which layout is best, in a sentence."""
        if self.winner is None:
            return f"no layout is better than all others, by: {RULE}"
        return f"best: {self.names[self.winner]}, by: {RULE}"


def compare(names: Sequence[str], runs: Sequence[Run]) -> Comparison:
    """Set judged runs side by side."""
    lines = [*_finding_lines(runs), *_figure_lines(runs)]
    scores = [_score(run) for run in runs]
    best = [number for number, score in enumerate(scores) if score == max(scores)]
    return Comparison(
        names=tuple(names),
        runs=tuple(runs),
        lines=tuple(lines),
        differences=tuple(differences(runs)),
        verdicts=tuple(verdict_of(run) for run in runs),
        winner=best[0] if len(best) == 1 else None,
    )


def _score(run: Run) -> Best:
    """The rule as numbers, each better the larger."""
    figures = figures_of(run)
    shares = [figure.value for name, figure in figures.items() if name.endswith(".share")]
    counts = (figures["findings-that-fail"].value, figures["findings-too-close"].value)
    lightest = -round(figures["melt-weight"].value, 6)
    return -counts[0], -counts[1], min(shares, default=-math.inf), lightest


def _finding_lines(runs: Sequence[Run]) -> list[Line]:
    """A line a finding, the freezing of parts apart; the worst of several of one name."""
    keys = {_line_key(finding): None for run in runs for finding in run.findings}
    lines = []
    for key in sorted(keys, key=lambda key: _first_rank(runs, key)):
        found = [[one for one in run.findings if _line_key(one) == key] for run in runs]
        worst = [worst_of(own) if own else None for own in found]
        if key not in BOOKKEEPING:
            lines.append(_finding_line(key, worst, runs[0].units))
    return lines


def _line_key(finding: Mapping[str, Any]) -> str:
    name = finding["name"]
    return f"{name}, {finding['part']}" if name.startswith("part-") else name


def _first_rank(runs: Sequence[Run], key: str) -> int:
    """Worst verdict of a line, as its place in the order of verdicts."""
    own = (one["verdict"] for run in runs for one in run.findings if _line_key(one) == key)
    return min(ORDER.index(verdict) for verdict in own)


def _finding_line(key: str, worst: Sequence[Mapping[str, Any] | None], units: Units) -> Line:
    """Nothing found is best, then the better verdict, then the larger margin."""
    ranks = [_rank(finding) for finding in worst]
    judged = any(one is not None and one["margin"] is not None for one in worst)
    best = max(ranks)
    winners = tuple(n for n, rank in enumerate(ranks) if rank == best)
    kind = next(one["kind"] for one in worst if one is not None)
    return Line(
        name=key,
        kind=kind,
        texts=tuple(_said(finding, units) for finding in worst),
        values=tuple(_number(finding) for finding in worst),
        verdicts=tuple(one["verdict"] if one else "" for one in worst),
        winners=winners if judged and len(winners) < len(worst) else (),
    )


def _rank(finding: Mapping[str, Any] | None) -> Best:
    if finding is None:
        return (math.inf, 0.0)
    margin = finding["margin"]
    return (ORDER.index(finding["verdict"]), -math.inf if margin is None else margin)


def _number(finding: Mapping[str, Any] | None) -> float:
    """Margin of what is judged, value of a note."""
    if finding is None:
        return math.nan
    number = finding["value" if finding["verdict"] == "note" else "margin"]
    return math.nan if number is None else float(number)


def _said(finding: Mapping[str, Any] | None, units: Units) -> str:
    if finding is None:
        return ABSENT
    number = _number(finding)
    kind = finding["kind"] if finding["verdict"] == "note" else difference_kind(finding["kind"])
    amount = write_quantity(number, kind, units) if number == number else ""
    if finding["verdict"] == "note":
        return amount
    return f"{finding['verdict']}, margin {amount}" if amount else finding["verdict"]


def _figure_lines(runs: Sequence[Run]) -> list[Line]:
    lines = []
    for name, sense in FIGURES.items():
        figures = [figures_of(run)[name] for run in runs]
        values = tuple(figure.value for figure in figures)
        best = max(sense * value for value in values) if all(map(math.isfinite, values)) else 0.0
        winners = tuple(n for n, value in enumerate(values) if sense and sense * value == best)
        kind, units = figures[0].kind, runs[0].units
        texts = tuple(write_quantity(value, kind, units) for value in values)
        alike = len(winners) == len(runs)
        lines.append(Line(name, kind, texts, values, ("",) * len(runs), () if alike else winners))
    return lines


def differences(runs: Sequence[Run]) -> list[tuple[str, tuple[str, ...]]]:
    """What differs between the cases: key, and its value in each, defaults filled in.

    A part that a case does not have is one line.
    """
    tables = [{row[0]: row[1] for row in run.provenance.get("resolved", ())} for run in runs]
    rows: dict[str, tuple[str, ...]] = {}
    for key in dict.fromkeys(key for table in tables for key in table):
        part = re.match(r'(?:part|probe)\.(?:"[^"]*"|[^.]+)', key)
        holders = [any(known.startswith(f"{part[0]}.") for known in table) if part else True
                   for table in tables]  # fmt: skip
        if part and not all(holders):
            role = f"{part[0]}.role"
            rows[part[0]] = tuple(
                table.get(role, "there") if held else ABSENT
                for table, held in zip(tables, holders, strict=True)
            )
        elif key not in WORDING:
            rows[key] = tuple(table.get(key, ABSENT) for table in tables)
    return [(key, texts) for key, texts in rows.items() if len(set(texts)) > 1]
