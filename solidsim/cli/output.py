"""What the commands have in common: options, tables, verdicts in words and symbols, JSON."""

import dataclasses
import gc
import json
import math
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from solidsim.criteria.finding import Finding
    from solidsim.quantities import Units

FAILED, BAD_INPUT, FINDING_FAILED, INTERRUPTED = 1, 3, 4, 130

SYMBOLS = {"fails": ("✗", "x"), "close": ("≈", "~"), "holds": ("✓", "+"), "note": ("·", "-")}
CAUTION = (
    "An estimate from a 2-D section. Molten metal maims and moisture under it explodes: "
    "local codes and a competent founder decide."
)


def _remember(context: click.Context, option: click.Parameter, value: bool) -> bool:
    context.meta["json"] = value
    return value


json_option: Callable[..., Any] = click.option(
    "--json", "as_json", is_flag=True, callback=_remember, help="Answer in one JSON document."
)


fail_on_option: Callable[..., Any] = click.option(
    "--fail-on",
    type=click.Choice(["fails", "close"]),
    help="Exit with 4 if a finding fails, or is at least too close to call.",
)


def exit_on(findings: Sequence["Finding"], fail_on: str | None) -> None:
    """Leave with the exit code for a failed finding, where that was asked for."""
    refused = {"fails": ("fails",), "close": ("fails", "close"), None: ()}[fail_on]
    if any(finding.verdict in refused for finding in findings):
        click.get_current_context().exit(FINDING_FAILED)


@contextmanager
def loading() -> Iterator[None]:
    """Load much code at once: without looking for garbage meanwhile that takes a tenth less."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()


def tell(text: str) -> None:
    """Say something that is not the answer: on stderr."""
    click.echo(text, err=True)


def write_json(document: Mapping[str, Any]) -> None:
    """Write the answer as JSON: SI units, null for what is not a finite number."""
    click.echo(json.dumps(plain(document), indent=2, ensure_ascii=False, allow_nan=False))


def plain(value: Any) -> Any:
    """Value in the types of JSON."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        value = dataclasses.asdict(value)
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, Path):
        return value.as_posix()
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def table(rows: Sequence[Sequence[str]]) -> str:
    """Rows as left-justified columns, two spaces apart."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = (
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    )
    return "\n".join(lines)


def finding_line(finding: "Finding", units: "Units") -> str:
    """One finding: symbol, verdict in a word, statement, margin."""
    from solidsim.quantities import difference_kind, write_quantity

    text = f"{symbol(finding.verdict)} {finding.verdict:5}  {finding.statement}"
    if finding.verdict == "note" or finding.margin is None:
        return text
    kind = difference_kind(finding.kind)
    return f"{text} (margin {write_quantity(finding.margin, kind, units)})"


def symbol(verdict: str) -> str:
    """Sign that goes with a verdict, in ASCII where the terminal has nothing better."""
    sign, simple = SYMBOLS[verdict]
    try:
        sign.encode(getattr(sys.stdout, "encoding", None) or "ascii")
    except UnicodeEncodeError:
        return simple
    return sign


def write_findings(findings: Sequence["Finding"], units: "Units", most: int, rest: str) -> None:
    """Write findings, the worst first; of more than ``most`` only the first, and where to look."""
    shown = findings if len(findings) <= most else findings[: most - 1]
    for finding in shown:
        click.echo(finding_line(finding, units))
    if len(findings) > len(shown):
        click.echo(f"and {len(findings) - len(shown)} more: {rest}")
