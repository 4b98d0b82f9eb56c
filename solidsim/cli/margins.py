"""What `pour --margins` says: how far a pour may change, and whether assumptions turn it."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import click

from solidsim.case import Case
from solidsim.cli.progress import Progress
from solidsim.criteria.finding import Finding
from solidsim.quantities import Units, difference_kind, write_quantity
from solidsim.studies.margins import Turn, coarse_case, find_margins
from solidsim.studies.range_ends import RangeEnd, at_range_ends


@dataclass(frozen=True)
class Margins:
    """Turning points, runs at the ends of ranges, and the cell that they were computed on [m]."""

    turns: tuple[Turn, ...]
    ends: tuple[RangeEnd, ...]
    holds: bool
    cell: float


def margins_of(case: Case, findings: Sequence[Finding], progress: Progress) -> Margins:
    """Rerun a case on coarse cells: turned knob by knob, then with its cards at range ends."""
    coarse, held = coarse_case(case, findings)
    turns = find_margins(coarse, held, progress)
    ends = at_range_ends(coarse, progress)
    return Margins(turns, ends, held, float(coarse.description.section.cell or 0.0))


def write_margins(margins: Margins, units: Units) -> None:
    """Write how far each quantity may change, and which assumed values turn the answer."""
    cell = write_quantity(margins.cell, "length", units)
    state = "holds" if margins.holds else "fails"
    click.echo(f"Feeding {state}; by reruns on cells of {cell}:")
    for turn in margins.turns:
        click.echo(f"  {turn_line(turn, units)}")
    count = len(margins.ends) // 2
    turned = [end for end in margins.ends if end.turned]
    word, stop = ("turns over", ":") if turned else ("holds over", "")
    click.echo(f"  the answer {word} the ranges of {count} card values, each by itself{stop}")
    for end in turned:
        names = ", ".join(f"{name} in {part}" if part else name for name, part in end.turned)
        state = "holds" if end.holds else "fails"
        click.echo(f"    at the {end.end} end of {end.key} of {end.material} ({end.range_text}): "
                   f"{names}; feeding {state}")  # fmt: skip


def turn_line(turn: Turn, units: Units) -> str:
    """One turning point in a line."""
    given, end = (write_quantity(size, turn.kind, units) for size in (turn.given, turn.searched))
    if turn.at is None:
        stays = "holds" if turn.holds else "does not hold"
        return f"{turn.name}: {stays} from {given} to {end}"
    at = write_quantity(turn.at, turn.kind, units)
    if turn.holds:
        kind = difference_kind(turn.kind)
        apart = write_quantity(abs(turn.at - turn.given), kind, units)
        word = {"temperature": "colder", "length": "less"}[turn.kind]
        return f"{turn.name}: holds from {given} down to {at}, {apart} {word}"
    return f"{turn.name}: would hold at {at}; given is {given}"


def margins_document(margins: Margins | None) -> dict[str, Any] | None:
    """Turning points and range ends, in SI."""
    if margins is None:
        return None
    return {
        "cell": margins.cell,
        "holds": margins.holds,
        "turns": [asdict(turn) for turn in margins.turns],
        "range_ends": [asdict(end) for end in margins.ends],
    }
