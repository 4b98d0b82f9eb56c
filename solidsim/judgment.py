"""From a run to findings: what the numbers mean for the casting, the worst first."""

import math
from dataclasses import replace

import numpy as np

from solidsim.criteria.finding import Finding, Verdict
from solidsim.criteria.freezing import (
    FEEDING_ROLES,
    PartFreezing,
    last_to_freeze,
    part_freezing,
)
from solidsim.criteria.hot_spots import HotSpot, hot_spots
from solidsim.criteria.moduli import thermal_modulus
from solidsim.criteria.niyama import low_niyama
from solidsim.quantities import write_quantity
from solidsim.results.run import Run
from solidsim.sizing.drawn_modulus import part_moduli

CLOSE_SHARE = 0.05  # of the last freezing time: a margin below this is too close to call
NO_PLAN = (
    "in plan they are one lump, and whether the feeder outlasts what it stands on shows only in "
    "an upright or round section"
)
CLOSE_SOURCE = "a margin below 5 % of the last freezing time is within the error of the method"
ORDER: dict[Verdict, int] = {"fails": 0, "close": 1, "holds": 2, "note": 3}


def judge(run: Run) -> tuple[Finding, ...]:
    """Findings of a run, the worst first.

    A run that stopped before its metal was solid is judged on what did freeze, and says so.
    """
    if not run.alloy.latent_heat:
        return ()
    findings = [
        *_unfrozen(run),
        *_last_metal(run),
        *_hot_spots(run),
        *_niyama(run),
        *_parts(run),
        *_heat_by_faces(run),
        *_heat_account(run),
    ]
    return tuple(sorted(findings, key=lambda finding: ORDER[finding.verdict]))


def _place(run: Run, cell: tuple[int, int]) -> tuple[float, float]:
    grid = run.section.grid
    return float(grid.x_centers[cell[1]]), float(grid.y_centers[cell[0]])


def _part_at(run: Run, cell: tuple[int, int]) -> tuple[str, str]:
    """Name and role of the part that a cell belongs to."""
    number = int(run.section.part_index[cell])
    part = run.section.parts[number - 1]
    return part.name, part.role


def _unfrozen(run: Run) -> list[Finding]:
    """Say when metal was still liquid at the end."""
    left = run.metal & ~np.isfinite(run.fields["freezing_time"])
    if not left.any():
        return []
    volumes = run.section.volumes
    share = float(volumes[left].sum() / volumes[run.metal].sum())
    return [
        Finding(
            name="metal-not-solid",
            statement=f"{write_quantity(share, 'fraction', run.units)} of the metal was not yet "
            "solid when the run ended; let it run longer before trusting what follows",
            verdict="fails",
            value=share,
            limit=0.0,
            margin=-share,
            kind="fraction",
            source="the run",
            grade="exact",
        )
    ]


def _last_metal(run: Run) -> list[Finding]:
    """Does a feeder freeze after all of the casting, and by how much?"""
    times = run.fields["freezing_time"]
    last = last_to_freeze(times, run.section.cells_with_role("casting"))
    fed = last_to_freeze(times, run.section.cells_with_role(*FEEDING_ROLES))
    if last is None:
        return []
    name, _ = _part_at(run, last)
    limit = float(times[last])
    finding = Finding(
        name="last-metal-in-feeder",
        statement=f"no feeder: the last metal freezes in {name} at {_said(run, limit)}",
        verdict="fails",
        limit=limit,
        kind="time",
        place=_place(run, last),
        part=name,
        source=f"freezing toward a feeder: common practice, no source; {CLOSE_SOURCE}",
    )
    if fed is None:
        return [finding]
    feeder, _ = _part_at(run, fed)
    margin = float(times[fed]) - limit
    apart = _said(run, abs(margin))
    statement = f"the last metal freezes in {name}, {apart} after {feeder} is solid"
    if margin >= 0.0:
        statement = f"{feeder} freezes last, {apart} after {name}, the last of the casting"
    verdict = _verdict(margin, CLOSE_SHARE * limit)
    if run.section.stands_on_metal(feeder):
        verdict, statement = "note", f"{statement}; {NO_PLAN}"
    value = float(times[fed])
    return [replace(finding, statement=statement, verdict=verdict, value=value, margin=margin)]


def _said(run: Run, seconds: float) -> str:
    return write_quantity(seconds, "time", run.units)


def _verdict(margin: float, close: float) -> Verdict:
    if margin < 0.0:
        return "fails"
    return "holds" if margin >= close else "close"


def _hot_spots(run: Run) -> list[Finding]:
    """Each spot in the casting that is cut off from hotter metal while still liquid."""
    placed = [
        (spot, spot.cut_off, *_part_at(run, spot.cell))
        for spot in hot_spots(run.fields["freezing_time"])
    ]
    return [
        _hot_spot(run, spot, cut_off, name)
        for spot, cut_off, name, role in placed
        if role == "casting" and cut_off is not None
    ]


def _hot_spot(run: Run, spot: HotSpot, cut_off: float, name: str) -> Finding:
    lasted = spot.time - cut_off
    return Finding(
        name="hot-spot",
        statement=f"hot spot in {name}: cut off by solid metal at {_said(run, cut_off)} and liquid "
        f"for {_said(run, lasted)} more, solid at {_said(run, spot.time)}",
        verdict="fails" if lasted >= CLOSE_SHARE * spot.time else "close",
        value=lasted,
        limit=0.0,
        margin=-lasted,
        kind="time",
        place=_place(run, spot.cell),
        part=name,
        source="a last place to freeze outside a feeder; in graphitic iron, expansion may make up "
        "for some of the shrinkage",
    )


def _niyama(run: Run) -> list[Finding]:
    """How much of the casting lies below the Niyama limit: a comparison, never a refusal."""
    casting = run.section.cells_with_role("casting")
    limit = run.judging.niyama_limit
    low = low_niyama(run.fields["niyama"], run.section.grid.cell_areas, casting, limit)
    if low is None:
        return []
    share = write_quantity(low.share, "fraction", run.units)
    area = write_quantity(low.area, "area", run.units)
    return [
        Finding(
            name="niyama",
            statement=f"{share} of the casting's section ({area}) lies below the Niyama limit "
            f"of {write_quantity(limit, 'niyama', run.units)}",
            verdict="note",
            value=low.lowest,
            limit=limit,
            margin=low.lowest - limit,
            kind="niyama",
            source=run.judging.niyama_source,
        )
    ]


def _parts(run: Run) -> list[Finding]:
    """When each part is solid, with its modulus by drawing and by the time it took."""
    drawn = {part.name: part.modulus for part in part_moduli(run.section)}
    return [
        Finding(
            name="part-freezing",
            statement=_part_statement(run, part, drawn.get(part.name, math.inf)),
            verdict="note",
            value=part.last,
            kind="time",
            part=part.name,
            place=_place(run, part.last_cell),
            source="the run; modulus by drawing: Chvorinov (1940); by time: Flemings (1974)",
        )
        for part in part_freezing(run.section, run.fields["freezing_time"])
    ]


def _part_statement(run: Run, part: PartFreezing, drawn: float) -> str:
    thermal = thermal_modulus(
        part.last,
        run.alloy.heat_content,
        run.judging.mold_effusivity,
        run.alloy.solidus - run.judging.mold_temperature,
    )
    by_drawing = write_quantity(drawn, "length", run.units) if math.isfinite(drawn) else "none"
    by_time = write_quantity(thermal, "length", run.units)
    moduli = f"modulus {by_drawing} by its drawing, {by_time} by its time"
    return f"{part.name} is solid at {_said(run, part.last)}; {moduli}"


def _heat_by_faces(run: Run) -> list[Finding]:
    """Which share of the heat left out of the page."""
    released, faces = run.account.released[-1], run.account.through_faces[-1]
    if faces <= 0.0 or released <= 0.0:
        return []
    share = float(faces / released)
    said = write_quantity(share, "fraction", run.units)
    rest = write_quantity(1.0 - share, "fraction", run.units)
    return [
        Finding(
            name="heat-through-faces",
            statement=f"{rest} of the heat left in the section, {said} through its faces",
            verdict="note",
            value=share,
            kind="fraction",
            source="the run; sections with depth were within 6 % of three dimensions",
        )
    ]


def _heat_account(run: Run) -> list[Finding]:
    imbalance = run.account.imbalance
    return [
        Finding(
            name="heat-account",
            statement=f"the heat account closes to {imbalance:.1e} of the heat given off",
            verdict="note",
            value=imbalance,
            limit=1e-6,
            margin=1e-6 - imbalance,
            source="heat released = stored + lost",
            grade="exact",
        )
    ]
