"""Is every part of the casting fed, by what margin, and what is missing where it is not?"""

from collections.abc import Mapping

import numpy as np
import scipy
from numpy.typing import NDArray

from solidsim.criteria.feeding import CutOffPool, Feeding, FeedingRules, trace_feeding
from solidsim.criteria.finding import Finding, Verdict
from solidsim.criteria.supply import longest_supply, time_by_share
from solidsim.judgment.wording import (
    CLOSE_SHARE,
    NO_PLAN,
    PAST_LUMP,
    part_at,
    place_of,
    said_length,
    said_share,
    said_time,
    said_volume,
)
from solidsim.materials.material import VolumeLaw
from solidsim.results.run import Run
from solidsim.section.neighbors import grown

UNCHANGING = VolumeLaw(0.0, np.array([0.0, 1.0]), np.ones(2), np.zeros(2))
TREE = "pools of liquid by the time of the feeding cutoff (merge tree; Carr, Snoeyink & Axen 2003)"
NEED = 0.9  # of a part's volume: past it the way may close; our choice
SHOWS = 0.01  # of a part's volume
CLOSE = "a margin below 5 % of the time is within the error of the method"


def feeding_of(run: Run) -> Feeding | None:
    """Feeding of a run whose metal is all solid; None of any other.

    Small bubbles of air that a full mold has kept count as the metal beside them.
    """
    times, alloy = run.fields, run.alloy
    if run.fill and run.fill.full:
        times = _without_bubbles(run)
    if not np.isfinite(times["freezing_time"][run.metal]).all():
        return None
    rules = FeedingRules(
        law=alloy.volume or UNCHANGING,
        cutoff=alloy.feeding_cutoff,
        superheat=alloy.pour_temperature - alloy.liquidus,
        wall_movement=run.judging.wall_movement,
        opened=run.judging.open_parts,
    )
    cutoff_time = times.get("cutoff_time", times["freezing_time"])  # older files lack the first
    return trace_feeding(run.section, {**times, "cutoff_time": cutoff_time}, rules)


def _without_bubbles(run: Run) -> Mapping[str, NDArray[np.float64]]:
    """The fields of a run, in cells that no metal came to those of the nearest metal."""
    solid = np.isfinite(run.fields["freezing_time"])
    if solid[run.metal].all():
        return run.fields
    nearest = tuple(
        scipy.ndimage.distance_transform_edt(~solid, return_distances=False, return_indices=True)
    )
    empty = run.metal & ~solid
    return {name: np.where(empty, own[nearest], own) for name, own in run.fields.items()}


def parts_fed(run: Run, feeding: Feeding) -> list[Finding]:
    """Each part of the casting: how long the way to a feeder stays open against its need."""
    open_names = {surface.name for surface in feeding.surfaces}
    if not open_names:
        return []
    return [
        _part_fed(run, feeding, part.name)
        for part in run.section.parts
        if part.role == "casting"
        and part.name not in open_names
        and run.section.part_cells(part.name).any()
    ]


def _part_fed(run: Run, feeding: Feeding, name: str) -> Finding:
    cells = run.section.part_cells(name)
    times = feeding.cutoff_time
    j, i = np.unravel_index(int(np.argmax(np.where(cells, times, -np.inf))), times.shape)
    last = int(j), int(i)
    if feeding.source[last] >= 0:
        need, supply, verdict, statement = _fed(run, feeding, name, cells)
    else:
        need = float(times[last])
        supply, verdict, statement = _not_fed(run, feeding, name, last)
    if name in _lumps(run, feeding):
        verdict, statement = "note", f"{statement}; {NO_PLAN}"
    elif feeding.source[last] >= 0 and _stands(run, feeding, int(feeding.source[last])):
        verdict = "note" if verdict == "holds" else verdict
        statement = f"{statement}; {PAST_LUMP}"
    return Finding(
        name="feeding",
        statement=statement,
        verdict=verdict,
        value=supply,
        limit=need,
        margin=supply - need,
        kind="time",
        place=place_of(run, last),
        part=name,
        source=f"{TREE}; {CLOSE}",
    )


def _stands(run: Run, feeding: Feeding, source: int) -> bool:
    """Whether a free surface is that of a part that stands on others in plan."""
    return run.section.stands_on_metal(feeding.surfaces[source].name)


def _lumps(run: Run, feeding: Feeding) -> set[str]:
    """Parts on which a feeder stands in plan: what happens between them does not show."""
    section, found = run.section, set()
    for surface in feeding.surfaces:
        if section.stands_on_metal(surface.name):
            around = grown(section.part_cells(surface.name))
            numbers = np.unique(section.part_index[around & section.metal])
            found |= {section.parts[number - 1].name for number in numbers}
    return found


def _fed(
    run: Run, feeding: Feeding, name: str, cells: NDArray[np.bool_]
) -> tuple[float, float, Verdict, str]:
    """Need, supply [s], verdict and words of a part whose last liquid is fed."""
    volumes = run.section.volumes[cells]
    need = time_by_share(feeding.cutoff_time[cells], volumes, NEED)
    way = longest_supply(feeding.cutoff_time, cells, feeding.hottest)
    assert way is not None, "a part that is fed has a way to its feeder"
    left_out = float(volumes[feeding.source[cells] < 0].sum() / volumes.sum())
    margin = way.time - need
    apart = f"{said_time(run, abs(margin))} {'longer' if margin >= 0.0 else 'less'}"
    verb = "freezes toward" if _stands(run, feeding, way.source) else "is fed by"
    statement = (
        f"{name} {verb} {feeding.surfaces[way.source].name}: the way through "
        f"{part_at(run, way.cell)[0]} stays open {apart} than nine tenths of it need "
        f"({way.time / need:.2f} times as long)"
    )
    if left_out > SHOWS:
        statement += f"; but {said_share(run, left_out)} of it is cut off"
    verdict: Verdict = "holds" if margin >= CLOSE_SHARE * need else "close"
    return need, way.time, verdict, statement


def _not_fed(
    run: Run, feeding: Feeding, name: str, last: tuple[int, int]
) -> tuple[float, Verdict, str]:
    """Supply [s], verdict and words of a part whose last liquid is cut off."""
    pool = pool_of(feeding, last)
    supply, need = max(pool.time, 0.0), float(feeding.cutoff_time[last])
    verdict = pool_verdict(run, feeding, pool)
    how = _how_cut_off(run, feeding, pool)
    if supply <= 0.0:
        return supply, verdict, f"{name} is not fed: {how}"
    statement = (
        f"{name} is fed for {said_time(run, supply)} only, {supply / need:.2f} of the time it "
        f"needs: {how}"
    )
    return supply, verdict, statement


def pool_of(feeding: Feeding, cell: tuple[int, int]) -> CutOffPool:
    """Find the cut-off pool that holds a cell."""
    own = feeding.tree.pool[cell]
    return next(pool for pool in feeding.cut_off if feeding.tree.within(pool.pool)[own])


def _how_cut_off(run: Run, feeding: Feeding, pool: CutOffPool) -> str:
    """Where a pool lost its supply."""
    if pool.time <= 0.0:
        return "no free surface ever reaches it"
    if pool.neck is None:
        return f"{feeding.surfaces[pool.source].name} froze first"
    width = said_length(run, pool.neck_width)
    return f"{part_at(run, pool.neck)[0]} ({width} wide there) closed"


def _left(run: Run, pool: CutOffPool) -> str:
    """Liquid and shrinkage left in a pool when it was cut off."""
    text = f"{said_share(run, pool.liquid)} of its {said_volume(run, pool.volume)} liquid"
    if run.alloy.volume is None:
        return text
    if pool.shrinkage <= 0.0:
        return f"{text}, which graphite feeds from within"
    return f"{text}, {said_volume(run, pool.shrinkage)} of shrinkage"


def pool_verdict(run: Run, feeding: Feeding, pool: CutOffPool) -> Verdict:
    """Graphite may feed a pool; one that closes at once is too close to call."""
    if part_at(run, pool.hot_spot)[0] in _lumps(run, feeding):
        return "note"
    if run.alloy.volume is not None and pool.shrinkage <= 0.0:
        return "holds"
    unfed = pool.ended - max(pool.time, 0.0)
    return "close" if unfed < CLOSE_SHARE * pool.ended else "fails"


def hot_spots(run: Run, feeding: Feeding) -> list[Finding]:
    """Each last place to freeze in the casting that nothing feeds."""
    found = []
    nx = run.section.grid.shape[1]
    for pool in feeding.cut_off:
        within = feeding.tree.within(pool.pool)
        for leaf in feeding.tree.leaves:
            spot = divmod(int(feeding.tree.hot_spot[leaf]), nx)
            name, role = part_at(run, spot)
            if within[leaf] and role == "casting":
                found.append(_hot_spot(run, feeding, pool, spot, name))
    return found


def _hot_spot(
    run: Run, feeding: Feeding, pool: CutOffPool, spot: tuple[int, int], name: str
) -> Finding:
    lasted = float(feeding.cutoff_time[spot]) - max(pool.time, 0.0)
    solid = said_time(run, float(run.fields["freezing_time"][spot]))
    if pool.time <= 0.0:
        statement = f"hot spot in {name}: the last of its metal, fed by nothing, solid at {solid}"
    else:
        statement = (
            f"hot spot in {name}: cut off at {said_time(run, pool.time)} and liquid for "
            f"{said_time(run, lasted)} more, with {_left(run, pool)}; solid at {solid}"
        )
    return Finding(
        name="hot-spot",
        statement=statement,
        verdict=pool_verdict(run, feeding, pool),
        value=lasted,
        limit=0.0,
        margin=-lasted,
        kind="time",
        place=place_of(run, spot),
        part=name,
        source=f"a last place to freeze that nothing feeds; {TREE}",
    )
