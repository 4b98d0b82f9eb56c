"""What the commands say of a model and of a run: lines for people, documents for JSON."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from solidsim.cli.output import CAUTION, table, tell, write_findings
from solidsim.quantities import Units, difference_kind, write_quantity
from solidsim.report.assumptions import count_given, open_values

if TYPE_CHECKING:
    from solidsim.criteria.finding import Finding
    from solidsim.model import Model
    from solidsim.results.run import Run
    from solidsim.section import Section
    from solidsim.studies.confirming import Change

MOST_FINDINGS = 10


def section_document(section: "Section") -> dict[str, Any]:
    """Grid and parts of a section, in SI."""
    parts = [
        {
            "name": part.name,
            "role": part.role,
            "drawn_area": part.drawn_area,
            "gridded_area": part.gridded_area,
            "drawn_volume": part.drawn_volume,
            "gridded_volume": part.gridded_volume,
        }
        for part in section.parts
    ]
    return {
        "view": section.grid.view,
        "cells": section.part_index.size,
        "metal_cells": int(section.metal.sum()),
        "metal_cell": section.metal_cell,
        "parts": parts,
    }


def model_document(model: "Model") -> dict[str, Any]:
    """What a case was understood to be."""
    keys = ("key", "text", "standing")
    rows = model.provenance["resolved"]
    return {
        "title": model.title,
        "units": model.units,
        "section": section_document(model.section),
        "warnings": model.warnings,
        "values": [dict(zip(keys, row, strict=True)) for row in rows],
    }


def write_model(model: "Model") -> None:
    """Write what a case was understood to be: cells, parts drawn and gridded, assumptions."""
    section, units = model.section, model.units
    click.echo(f"{model.title}\n{section.grid.view} section; {cells_line(section, units)}")
    rows = [["part", "role", "area drawn", "on the grid", "volume drawn", "on the grid"]]
    for part in section.parts:
        areas = (part.drawn_area, part.gridded_area)
        volumes = (part.drawn_volume, part.gridded_volume)
        texts = [write_quantity(area, "area", units) for area in areas]
        texts += [write_quantity(volume, "volume", units) for volume in volumes]
        rows.append([part.name, part.role, *texts])
    click.echo(table(rows))
    write_assumptions(model.provenance)
    write_warnings(model.warnings)


def run_document(run: "Run", findings: Sequence["Finding"]) -> dict[str, Any]:
    """What a run came to, in SI."""
    account = run.account
    return {
        "title": run.title,
        "alloy": run.alloy.title,
        "finished": run.finished,
        "stop_reason": run.stop_reason,
        "end_time": account.times[-1],
        "findings": [finding.as_dict() for finding in findings],
        "warnings": run.warnings,
        "section": section_document(run.section),
        "steps": run.steps.lengths.size,
        "heat_account": {
            "released": account.released[-1],
            "added": account.added[-1],
            "stored": account.stored[-1],
            "lost": account.lost[-1],
            "imbalance": account.imbalance,
        },
    }


def write_run(run: "Run", findings: Sequence["Finding"], most: int, rest: str = "") -> None:
    """Write the title, the findings and, on stderr, the warnings."""
    pour = write_quantity(run.alloy.pour_temperature, "temperature", run.units)
    click.echo(f"{run.title}\n{run.alloy.title}, poured at {pour}")
    write_warnings(run.warnings)
    write_findings(findings, run.units, most, rest)


def write_warnings(warnings: Sequence[str]) -> None:
    """Write warnings, each once, on stderr."""
    for warning in dict.fromkeys(warnings):
        tell(f"warning: {warning}")


def write_caution() -> None:
    """Write the line that every answer ends with."""
    click.echo(CAUTION)


def write_details(run: "Run", timings: Mapping[str, float]) -> None:
    """Write how the run was computed: accounts, steps, cells, wall times, assumptions."""
    account, steps = run.account, run.steps
    heats = [
        write_quantity(heat[-1], "energy", run.units)
        for heat in (account.released, account.stored, account.lost, account.added)
    ]
    added = f" + {heats[3]} from burning" if account.added[-1] else ""
    volume = "".join(
        f"volume: {one['statement']}\n" for one in run.findings if one["name"] == "volume-account"
    )
    spent = ", ".join(f"{name} {seconds:.2f} s" for name, seconds in timings.items())
    click.echo(
        f"stopped: {run.stop_reason}, "
        f"{write_quantity(account.times[-1], 'time', run.units)} after the pour\n"
        f"heat: {heats[0]} released{added} = {heats[1]} stored + {heats[2]} lost; "
        f"off by {account.imbalance:.1e} of it\n"
        f"{volume}"
        f"steps: {steps.lengths.size:,} of {int(steps.stages.sum()):,} stages, "
        f"{int(steps.refused.sum()):,} refused\n"
        f"{cells_line(run.section, run.units)}\n"
        f"wall time: {spent}"
    )
    write_assumptions(run.provenance)


def cells_line(section: "Section", units: Units) -> str:
    """How many cells there are, how wide, and for what depth amounts are given."""
    line = (
        f"cells: {section.part_index.size:,}, {int(section.metal.sum()):,} of them metal, "
        f"{write_quantity(section.metal_cell, 'length', units)} wide there"
    )
    endless = section.grid.view != "round" and bool((section.depth[section.metal] == 1.0).all())
    return f"{line}; volumes and heats for 1 m of depth" if endless else line


def write_assumptions(provenance: Mapping[str, Any]) -> None:
    """Write what the case left to the program, and which cards gave the rest."""
    click.echo(f"given in the case: {count_given(provenance)} values; the others:")
    click.echo(table(open_values(provenance)))


def write_changes(changes: Sequence["Change"], units: Units) -> None:
    """Write what the findings come to on cells half as wide."""
    rows = [["finding", "part", "value", "change", "margin", "verdict"]]
    for change in changes:
        finding, finer = change.finding, change.finer
        amounts = (finding.value or 0.0, change.amount)
        rows.append(
            [
                finding.name,
                finding.part or "",
                *(write_quantity(amount, finding.kind, units) for amount in amounts),
                "" if finding.verdict == "note" else _both(finding, finer, units),
                finding.verdict if finer is None else _pair(finding.verdict, finer.verdict),
            ]
        )
    click.echo("On cells half as wide (a finding without a twin there has an unknown change):")
    click.echo(table(rows))


def _both(finding: "Finding", finer: "Finding | None", units: Units) -> str:
    """Margin here and on the finer cells."""
    margins = [f.margin for f in (finding, finer) if f is not None and f.margin is not None]
    kind = difference_kind(finding.kind)
    return " -> ".join(write_quantity(margin, kind, units) for margin in margins)


def _pair(here: str, there: str) -> str:
    return here if here == there else f"{here} -> {there}"


def changes_document(changes: Sequence["Change"]) -> list[dict[str, Any]]:
    """What the findings come to on cells half as wide, in SI."""
    document = []
    for change in changes:
        row: dict[str, Any] = {"name": change.finding.name, "part": change.finding.part}
        for prefix, finding in (("", change.finding), ("finer_", change.finer)):
            for key in ("value", "margin", "verdict"):
                row[prefix + key] = getattr(finding, key, None)
        document.append(row | {"change": change.amount})
    return document
