"""When was the metal solid, and is the heat account closed? Findings from the freezing time."""

import math
from dataclasses import replace

import numpy as np

from solidsim.criteria.finding import Finding
from solidsim.criteria.freezing import (
    FEEDING_ROLES,
    PartFreezing,
    last_to_freeze,
    part_freezing,
)
from solidsim.criteria.moduli import thermal_modulus
from solidsim.criteria.niyama import low_niyama
from solidsim.judgment.wording import (
    CLOSE_SHARE,
    CLOSE_SOURCE,
    NO_PLAN,
    graded,
    part_at,
    place_of,
    said_share,
    said_time,
)
from solidsim.quantities import write_quantity
from solidsim.results.run import Run
from solidsim.sizing.drawn_modulus import part_moduli


def unfrozen(run: Run) -> list[Finding]:
    """Say when metal was still liquid at the end."""
    left = run.metal & ~np.isfinite(run.fields["freezing_time"])
    if run.fill:
        left &= np.isfinite(run.fields["fill_time"])
    if not left.any():
        return []
    volumes = run.section.volumes
    share = float(volumes[left].sum() / volumes[run.metal].sum())
    return [
        Finding(
            name="metal-not-solid",
            statement=f"{said_share(run, share)} of the metal was not yet "
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


def last_metal(run: Run) -> list[Finding]:
    """Does a feeder freeze after all of the casting, and by how much?"""
    times = run.fields["freezing_time"]
    last = last_to_freeze(times, run.section.cells_with_role("casting"))
    fed = last_to_freeze(times, run.section.cells_with_role(*FEEDING_ROLES))
    if last is None:
        return []
    name, _ = part_at(run, last)
    limit = float(times[last])
    finding = Finding(
        name="last-metal-in-feeder",
        statement=f"no feeder: the last metal freezes in {name} at {said_time(run, limit)}",
        verdict="fails",
        limit=limit,
        kind="time",
        place=place_of(run, last),
        part=name,
        source=f"freezing toward a feeder: common practice, no source; {CLOSE_SOURCE}",
    )
    if fed is None:
        return [finding]
    feeder, _ = part_at(run, fed)
    margin = float(times[fed]) - limit
    apart = said_time(run, abs(margin))
    statement = f"the last metal freezes in {name}, {apart} after {feeder} is solid"
    if margin >= 0.0:
        statement = f"{feeder} freezes last, {apart} after {name}, the last of the casting"
    verdict = graded(margin, CLOSE_SHARE * limit)
    if run.section.stands_on_metal(feeder):
        verdict, statement = "note", f"{statement}; {NO_PLAN}"
    value = float(times[fed])
    return [replace(finding, statement=statement, verdict=verdict, value=value, margin=margin)]


def niyama_share(run: Run) -> list[Finding]:
    """How much of the casting lies below the Niyama limit: a comparison, never a refusal."""
    casting = run.section.cells_with_role("casting")
    limit = run.judging.niyama_limit
    low = low_niyama(run.fields["niyama"], run.section.grid.cell_areas, casting, limit)
    if low is None:
        return []
    share = said_share(run, low.share)
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


def parts_solid(run: Run) -> list[Finding]:
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
            place=place_of(run, part.last_cell),
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
    return f"{part.name} is solid at {said_time(run, part.last)}; {moduli}"


def heat_by_faces(run: Run) -> list[Finding]:
    """Which share of the heat left out of the page."""
    released, faces = run.account.released[-1], run.account.through_faces[-1]
    if faces <= 0.0 or released <= 0.0:
        return []
    share = float(faces / released)
    said = said_share(run, share)
    rest = said_share(run, 1.0 - share)
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


def heat_account(run: Run) -> list[Finding]:
    """How well the heat account closes."""
    imbalance = run.account.imbalance
    return [
        Finding(
            name="heat-account",
            statement=f"the heat account closes to {imbalance:.1e} of the heat given off",
            verdict="note",
            value=imbalance,
            limit=1e-6,
            margin=1e-6 - imbalance,
            source="heat released + added = stored + lost",
            grade="exact",
        )
    ]
