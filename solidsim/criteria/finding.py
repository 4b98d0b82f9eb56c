"""A finding: what a computed number means for the casting, by what margin, and on whose word."""

from dataclasses import asdict, dataclass
from typing import Any, Literal

Verdict = Literal["holds", "close", "fails", "note"]
Grade = Literal["exact", "measured", "handbook", "estimated"]


@dataclass(frozen=True)
class Finding:
    """One finding of a run.

    Parameters
    ----------
    name : str
        Stable kebab-case name, e.g. ``"last-metal-in-feeder"``.
    statement : str
        One sentence in the founder's words and units.
    verdict : {"holds", "close", "fails", "note"}
        ``note`` carries a number without a verdict.
    value, limit, margin : float or None
        SI; the margin is positive while the finding holds.
    kind : str
        Kind of quantity of value, limit and margin (``solidsim.quantities``).
    place : (x, y) or None, [m]
    part : str or None
    source : str
        Where the limit comes from.
    grade : {"exact", "measured", "handbook", "estimated"}
    """

    name: str
    statement: str
    verdict: Verdict
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    kind: str = "number"
    place: tuple[float, float] | None = None
    part: str | None = None
    source: str = "computed"
    grade: Grade = "estimated"

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON and for the results file."""
        return asdict(self)
