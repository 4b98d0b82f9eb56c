"""What a run comes to, as numbers with names that a study can compare, plot and bound.

A finding gives its value under its name; ``NAME["part"]`` is that of one part, ``NAME.margin``
the margin and ``NAME.share`` the margin as a share of the limit. Of several findings of one name
the bare name takes the one with the smallest margin, or else the largest value.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from solidsim.quantities import difference_kind
from solidsim.results.run import Run
from solidsim.section.layout import METAL_ROLES

ORDER = ("fails", "close", "holds", "note")
BOOKKEEPING = (
    "heat-account",
    "fill-heat-account",
    "fill-volume-account",
    "volume-account",
)  # of the computation, not of the casting


@dataclass(frozen=True)
class Figure:
    """One number of a run, [SI], with its kind of quantity."""

    value: float
    kind: str


def figures_of(run: Run) -> dict[str, Figure]:
    """All numbers of a run by name: weights, counts of verdicts, findings."""
    figures = _weights(run) | _counts(run)
    groups: dict[str, list[Mapping[str, Any]]] = {}
    for finding in run.findings:
        if finding["value"] is not None and finding["name"] not in BOOKKEEPING:
            groups.setdefault(finding["name"], []).append(finding)
    for name, group in groups.items():
        figures |= _of_finding(name, worst_of(group))
        for part in dict.fromkeys(one["part"] for one in group if one["part"]):
            own = worst_of([one for one in group if one["part"] == part])
            figures[f'{name}["{part}"]'] = Figure(own["value"], own["kind"])
    return figures


def verdict_of(run: Run) -> str:
    """The worst verdict of a run."""
    verdicts = {finding["verdict"] for finding in run.findings}
    return next((verdict for verdict in ORDER if verdict in verdicts), "note")


def worst_of(findings: Sequence[Mapping[str, Any]]) -> Mapping[str, Any]:
    """Of findings of one name that with the smallest margin, or else the largest value."""
    judged = [one for one in findings if one["margin"] is not None]
    if judged:
        return min(judged, key=lambda one: one["margin"])
    return max(findings, key=lambda one: one["value"] if one["value"] is not None else -math.inf)


def _of_finding(name: str, finding: Mapping[str, Any]) -> dict[str, Figure]:
    figures = {name: Figure(finding["value"], finding["kind"])}
    if finding["margin"] is not None and finding["verdict"] != "note":
        figures[f"{name}.margin"] = Figure(finding["margin"], difference_kind(finding["kind"]))
        if finding["limit"]:
            share = finding["margin"] / abs(finding["limit"])
            figures[f"{name}.share"] = Figure(share, "fraction")
    return figures


def _weights(run: Run) -> dict[str, Figure]:
    """Weights by the drawing and the alloy's density, and how much of the melt is casting."""
    volumes = {"casting": 0.0, "chill": 0.0, "melt": 0.0}
    for part in run.section.parts:
        for word in {part.role, "melt" if part.role in METAL_ROLES else ""} & set(volumes):
            volumes[word] += part.drawn_volume
    casting, melt = (run.alloy.density * volumes[word] for word in ("casting", "melt"))
    return {
        "melt-weight": Figure(melt, "mass"),
        "casting-weight": Figure(casting, "mass"),
        "yield": Figure(casting / melt, "fraction"),
        "chill-volume": Figure(volumes["chill"], "volume"),
    }


def _counts(run: Run) -> dict[str, Figure]:
    counts = {
        verdict: float(sum(one["verdict"] == verdict for one in run.findings))
        for verdict in ("fails", "close")
    }
    frozen = run.fields["freezing_time"][run.metal]
    last = float(np.max(frozen)) if np.isfinite(frozen).all() else math.nan
    return {
        "freezing-time": Figure(last, "time"),
        "findings-that-fail": Figure(counts["fails"], "number"),
        "findings-too-close": Figure(counts["close"], "number"),
    }
