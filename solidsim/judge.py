"""From a run to findings: what the numbers mean for the casting, the worst first."""

import math
from dataclasses import replace

import numpy as np

from solidsim.criteria.filling import judge_fill
from solidsim.criteria.finding import Finding, Verdict
from solidsim.criteria.freezing import FEEDING_ROLES, last_to_freeze, part_freezing
from solidsim.criteria.hot_spots import HotSpot, hot_spots
from solidsim.criteria.moduli import geometric_modulus, thermal_modulus
from solidsim.criteria.niyama import low_niyama
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

CLOSE_SHARE = 0.05  # of the last freezing time: a margin below this is too close to call
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
        *_heat_account(run),
        *(judge_fill(run.fill, run.alloy.liquidus, run.units) if run.fill else ()),
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
    if run.fill:
        left &= np.isfinite(run.fields["fill_time"])
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
    spots = hot_spots(run.fields["freezing_time"])
    placed = [(spot, *_part_at(run, spot.cell)) for spot in spots]
    return [_hot_spot(run, spot, name) for spot, name, role in placed if role == "casting"]


def _hot_spot(run: Run, spot: HotSpot, name: str) -> Finding:
    solid = _said(run, spot.time)
    if spot.cut_off is None:
        lasted, statement = 0.0, f"hot spot in {name}: the last of all its metal, solid at {solid}"
    else:
        lasted = spot.time - spot.cut_off
        statement = (
            f"hot spot in {name}: cut off by solid metal at {_said(run, spot.cut_off)} and liquid "
            f"for {_said(run, lasted)} more, solid at {solid}"
        )
    clear = spot.cut_off is None or lasted >= CLOSE_SHARE * float(spot.time)
    return Finding(
        name="hot-spot",
        statement=statement,
        verdict="fails" if clear else "close",
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
    return [
        Finding(
            name="part-freezing",
            statement=_part_statement(run, part.name, part.last),
            verdict="note",
            value=part.last,
            kind="time",
            part=part.name,
            place=_place(run, _last_cell(run, part.name)),
            source="the run; modulus by drawing: Chvorinov (1940); by time: Flemings (1974)",
        )
        for part in part_freezing(run.section, run.fields["freezing_time"])
    ]


def _last_cell(run: Run, name: str) -> tuple[int, int]:
    cell = last_to_freeze(run.fields["freezing_time"], run.section.part_cells(name))
    assert cell is not None, "part_freezing gives parts that are wholly solid"
    return cell


def _part_statement(run: Run, name: str, time: float) -> str:
    drawn = geometric_modulus(
        run.section.grid, run.section.depth, run.section.part_cells(name), run.metal
    )
    thermal = thermal_modulus(
        time,
        run.alloy.heat_content,
        run.judging.mold_effusivity,
        run.alloy.solidus - run.judging.mold_temperature,
    )
    by_drawing = write_quantity(drawn, "length", run.units) if math.isfinite(drawn) else "none"
    by_time = write_quantity(thermal, "length", run.units)
    moduli = f"modulus {by_drawing} by its drawing, {by_time} by its time"
    return f"{name} is solid at {_said(run, time)}; {moduli}"


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
