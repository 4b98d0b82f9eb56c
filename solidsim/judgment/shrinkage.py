"""Where does the shrinkage go: how deep is the pipe, where is a cavity, is the account closed?"""

import numpy as np

from solidsim.criteria.feeding import Cavity, Feeding
from solidsim.criteria.finding import Finding
from solidsim.criteria.free_surfaces import reach_of_air
from solidsim.criteria.pipe import pipe_depth
from solidsim.judgment.feeding import pool_of, pool_verdict
from solidsim.judgment.wording import (
    NO_PLAN,
    graded,
    part_at,
    place_of,
    said_length,
    said_share,
    said_time,
    said_volume,
)
from solidsim.results.run import Run
from solidsim.section.layout import Part
from solidsim.section.neighbors import grown

BALANCE = "volume balance: demand is drawn from the highest free surface of its pool, else a cavity"
OPEN_ACCOUNT = 1e-9  # of the metal's volume
LEAST_VOID = 1e-4  # of the metal's volume: less than this does not show
CLEAR = 0.1  # of a feeder's height that should be left below its pipe; common practice, no source


def cavities(run: Run, feeding: Feeding) -> list[Finding]:
    """Where the saw will find a cavity in the casting, the largest first."""
    casting = run.section.cells_with_role("casting")
    return [
        _cavity(run, feeding, cavity)
        for cavity in feeding.cavities
        if casting[cavity.place] and cavity.volume > LEAST_VOID * feeding.balance.metal
    ]


def _cavity(run: Run, feeding: Feeding, cavity: Cavity) -> Finding:
    name, _ = part_at(run, cavity.place)
    return Finding(
        name="cavity",
        statement=f"cavity of {said_volume(run, cavity.volume)} in {name}: saw there",
        verdict=pool_verdict(run, feeding, pool_of(feeding, cavity.place)),
        value=cavity.volume,
        limit=0.0,
        margin=-cavity.volume,
        kind="volume",
        place=place_of(run, cavity.place),
        part=name,
        source=BALANCE,
    )


def pipes(run: Run, feeding: Feeding) -> list[Finding]:
    """How deep each feeder pipes, against its height."""
    parts = {part.name: part for part in run.section.parts}
    names = [surface.name for surface in feeding.surfaces]
    return [_pipe(run, feeding, parts[name]) for name in names if parts[name].role == "feeder"]


def _pipe(run: Run, feeding: Feeding, part: Part) -> Finding:
    section, cells = run.section, run.section.part_cells(part.name)
    empty = feeding.pipe + feeding.cavity
    volume = float((empty * section.volumes)[cells].sum())
    found = pipe_depth(section.grid, section.depth, cells, section.metal, empty)
    height = _height(run, part)
    rows, columns = np.nonzero(cells)
    top = int(rows.max())
    middle = int(np.median(columns[rows == top]))
    depth, whole = said_length(run, found), said_length(run, height)
    statement = f"pipe in {part.name}: {depth} deep of {whole}, {said_volume(run, volume)}"
    verdict = graded(height - found, CLEAR * height)
    if section.stands_on_metal(part.name):
        verdict, statement = "note", f"{statement}; {NO_PLAN}"
    return Finding(
        name="pipe",
        statement=statement,
        verdict=verdict,
        value=found,
        limit=height,
        margin=height - found,
        kind="length",
        place=place_of(run, (top, middle)),
        part=part.name,
        source=f"{BALANCE}; a tenth of the feeder should be left: common practice, no source",
    )


def _height(run: Run, part: Part) -> float:
    """Height of a part, [m]: in the plan view its depth above what it stands on."""
    section, cells = run.section, run.section.part_cells(part.name)
    if section.grid.view == "plan":
        around = grown(cells) & ~cells
        below = section.depth[around].max() if section.stands_on_metal(part.name) else 0.0
        return float(section.depth[cells].max() - below)
    return float(section.grid.dy[cells.any(axis=1)].sum())


def pipe_in_casting(run: Run, feeding: Feeding) -> list[Finding]:
    """Tell of a pipe that has run out of the feeders into the casting."""
    casting = run.section.cells_with_role("casting")
    volumes = np.where(casting, feeding.pipe * run.section.volumes, 0.0)
    volume = float(volumes.sum())
    if volume <= LEAST_VOID * feeding.balance.metal:
        return []
    j, i = np.unravel_index(int(np.argmax(volumes)), volumes.shape)
    cell = int(j), int(i)
    name, _ = part_at(run, cell)
    return [
        Finding(
            name="pipe-in-casting",
            statement=f"the pipe runs {said_volume(run, volume)} into {name}",
            verdict="fails",
            value=volume,
            limit=0.0,
            margin=-volume,
            kind="volume",
            place=place_of(run, cell),
            part=name,
            source=BALANCE,
        )
    ]


def blind_feeders(run: Run, feeding: Feeding) -> list[Finding]:
    """Say of each feeder under sand how the atmosphere reaches it, and until when."""
    reach = reach_of_air(run.section, run.judging.open_parts)
    findings = []
    for surface in feeding.surfaces:
        if reach[surface.name] == "open":
            continue
        statement = f"{surface.name} is blind; the core in it keeps it open to the air"
        if reach[surface.name] == "skin":
            statement = (
                f"{surface.name} is blind: its skin closes at {said_time(run, surface.until)}; "
                "from then on it feeds by its weight alone, if no core in it keeps it open"
            )
        findings.append(
            Finding(
                name="blind-feeder",
                statement=statement,
                verdict="note",
                value=surface.until if np.isfinite(surface.until) else None,
                kind="time",
                part=surface.name,
                source="the atmosphere reaches a feeder until a skin closes it: common practice, "
                "no source; the skin is closed when its last outer cell reaches the cutoff",
            )
        )
    return findings


def share_fed(run: Run, feeding: Feeding) -> list[Finding]:
    """How much of the casting freezes toward liquid that feeds it."""
    casting, volumes = run.section.cells_with_role("casting"), run.section.volumes
    if not casting.any():
        return []
    share = float(volumes[casting & (feeding.source >= 0)].sum() / volumes[casting].sum())
    return [
        Finding(
            name="share-fed",
            statement=f"{said_share(run, share)} of the casting freezes toward a feeder",
            verdict="note",
            value=share,
            kind="fraction",
            source="share of volume that reaches the cutoff in a pool with a free surface",
        )
    ]


def volume_account(run: Run, feeding: Feeding) -> list[Finding]:
    """Contraction = pipe + cavities + growth that the mold kept."""
    balance = feeding.balance
    lost, pipe, cavity, kept, way = (
        said_volume(run, volume)
        for volume in (
            balance.contraction,
            float(balance.pipe.sum()),
            float(balance.cavity.sum()),
            balance.growth - balance.gave_way,
            balance.gave_way,
        )
    )
    graphite = f" + {kept} of graphite (the mold gave way to {way} more)" if balance.growth else ""
    return [
        Finding(
            name="volume-account",
            statement=f"the metal shrinks by {lost} = {pipe} of pipe + {cavity} of cavities"
            f"{graphite}; off by {balance.imbalance:.1e} of the metal",
            verdict="note",
            value=balance.imbalance,
            limit=OPEN_ACCOUNT,
            margin=OPEN_ACCOUNT - balance.imbalance,
            source="contraction = pipe + cavities + growth of graphite that the mold kept",
            grade="exact",
        )
    ]
