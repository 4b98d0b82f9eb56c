"""Supply, necks, pipes, free surfaces and cut-off pools on small drawn fields."""

import numpy as np
import pytest
from feeding_columns import SHRINKING

from solidsim.criteria.feeding import FeedingRules, trace_feeding
from solidsim.criteria.free_surfaces import free_surfaces, open_parts, reach_of_air
from solidsim.criteria.necks import neck_width
from solidsim.criteria.pipe import pipe_depth
from solidsim.criteria.supply import longest_supply, time_by_share
from solidsim.section.grid import Grid
from solidsim.section.layout import Part, Section

CELL = 0.002  # m


def section(rows, roles, view="upright"):
    """Section of 2 mm cells from letters, the top row first; ``.`` is sand."""
    letters = np.array([list(row) for row in rows])[::-1]
    index = np.zeros(letters.shape, dtype=np.int16)
    parts = []
    for number, (letter, role) in enumerate(roles.items(), start=1):
        index[letters == letter] = number
        parts.append(Part(letter, role, (), 0.0, 0.0, 0.0, 0.0, depth=0.01))
    ny, nx = index.shape
    grid = Grid(CELL * np.arange(nx + 1), CELL * np.arange(ny + 1), view)
    return Section(grid, tuple(parts), index, np.full(index.shape, 0.01), np.zeros(index.shape))


def times_of(rows):
    """Cutoff times, the top row first; zero is sand."""
    times = np.array(rows, dtype=float)[::-1]
    times[times == 0.0] = np.nan
    return times


def trace(drawn, times, opened=()):
    fields = {"liquidus_time": times / 3, "cutoff_time": times, "freezing_time": 1.5 * times}
    return trace_feeding(drawn, fields, FeedingRules(SHRINKING, 0.7, 50.0, 0.0, opened))


BOSS = section(
    ["........", ".....ff.", ".bb..ff.", ".bbnnff.", "........"],
    {"b": "casting", "n": "neck", "f": "feeder"},
)
BOSS_TIMES = times_of(
    [
        [0, 0, 0, 0, 0, 0, 0, 0],
        [0, 0, 0, 0, 0, 90, 91, 0],
        [0, 55, 60, 0, 0, 95, 94, 0],
        [0, 50, 58, 40, 45, 85, 80, 0],
        [0, 0, 0, 0, 0, 0, 0, 0],
    ]
)


def test_a_boss_behind_a_neck_that_closes_first():
    found = trace(BOSS, BOSS_TIMES, ("f",))
    (pool,) = found.cut_off
    assert (pool.time, pool.ended, pool.source) == (40.0, 60.0, 0)
    assert pool.hot_spot == (2, 2)
    assert pool.neck == (1, 3)
    assert pool.neck_width == pytest.approx(CELL, abs=CELL / 2)
    assert pool.volume == pytest.approx(4 * CELL**2 * 0.01)
    solid = 0.7 * (40.0 - np.array([50, 55, 58, 60]) / 3) / (np.array([50, 55, 58, 60]) * 2 / 3)
    assert pool.liquid == pytest.approx((1 - solid).mean())
    assert pool.shrinkage == pytest.approx(
        (1 - 0.96 / (1 - 0.04 * solid)).sum() * CELL**2 * 0.01, rel=1e-9
    )
    assert (found.source[1:4, 5:7] == 0).all()
    assert (found.source[1:3, 1:3] == -1).all()


def test_what_a_cut_off_pool_wants_is_what_its_cavity_holds():
    """The tree's forecast and the balance's outcome are found in two ways and agree."""
    found = trace(BOSS, BOSS_TIMES, ("f",))
    assert sum(hole.volume for hole in found.cavities) == pytest.approx(
        found.cut_off[0].shrinkage, rel=0.02
    )
    assert BOSS.part_cells("b")[found.cavities[0].place]


def test_a_wider_neck_feeds_the_boss():
    times = BOSS_TIMES.copy()
    times[1, 3:5] = 62.0, 75.0
    times[1, 2], times[2, 2] = 61.0, 58.0
    found = trace(BOSS, times, ("f",))
    assert found.cut_off == ()
    assert (found.source[np.isfinite(times)] == 0).all()
    assert found.balance.cavity.sum() == 0.0


def test_a_feeder_that_freezes_first_is_no_feeder():
    times = BOSS_TIMES.copy()
    times[1:4, 5:7] = [[33, 20], [30, 25], [28, 22]]
    times[1, 3:5] = 50.0, 38.0
    (pool,) = trace(BOSS, times, ("f",)).cut_off
    assert (pool.time, pool.source, pool.neck) == (33.0, 0, None)


def test_no_feeder_at_all():
    plain = section(["....", ".bb.", ".bb.", "...."], {"b": "casting"})
    times = times_of([[0] * 4, [0, 50, 55, 0], [0, 60, 58, 0], [0] * 4])
    (pool,) = trace(plain, times).cut_off
    assert (pool.time, pool.source, pool.neck, pool.liquid) == (-np.inf, -1, None, 1.0)


def test_supply_is_the_way_whose_earliest_place_closes_last():
    """Two ways to the source 99: one closes at 30, the other at 45."""
    times = times_of([[70, 30, 80, 99], [60, 0, 0, 50], [45, 52, 55, 48]])
    part = np.zeros(times.shape, dtype=bool)
    part[2, 0] = True
    way = longest_supply(times, part, [11])
    assert (way.time, way.cell, way.source) == (45.0, (0, 0), 0)


@pytest.mark.parametrize("seed", range(6))
def test_supply_against_trying_every_level(seed):
    from scipy.ndimage import label

    rng = np.random.default_rng(seed)
    times = rng.permutation(150).reshape(10, 15) + 1.0
    times[rng.random(times.shape) < 0.2] = np.nan
    part = np.zeros(times.shape, dtype=bool)
    part[2:4, 1:3] = True
    sources = [int(c) for c in rng.choice(np.flatnonzero(np.isfinite(times) & ~part), 2)]
    heights = np.where(part & np.isfinite(times), np.inf, np.nan_to_num(times, nan=-np.inf))
    expected = None
    for level in np.sort(times[np.isfinite(times)])[::-1]:
        labels = label(heights >= level)[0].ravel()
        met = [s for s in sources if labels[s] and labels[s] in labels[part.ravel()]]
        if met:
            expected = (level, max(met, key=lambda cell: times.ravel()[cell]))
            break
    way = longest_supply(times, part, sources)
    assert (way is None) == (expected is None)
    if way is not None:
        assert (way.time, sources[way.source]) == expected


def test_no_way_no_supply():
    times = times_of([[10, 0, 20]])
    part = np.array([[True, False, False]])
    assert longest_supply(times, part, [2]) is None
    assert longest_supply(times, part, []) is None


def test_time_by_share_is_weighted():
    times, weights = np.array([30.0, 10.0, 20.0]), np.array([1.0, 6.0, 3.0])
    assert [time_by_share(times, weights, share) for share in (0.6, 0.9, 0.95)] == [10, 20, 30]


@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0, 75.0])
def test_neck_width_of_a_slanting_strip(angle):
    grid = Grid(np.linspace(0, 0.1, 101), np.linspace(0, 0.1, 101))
    x, y = np.meshgrid(grid.x_centers - 0.05, grid.y_centers - 0.05)
    turn = np.radians(angle)
    across = -x * np.sin(turn) + y * np.cos(turn)
    assert neck_width(np.abs(across) < 0.009, grid, (50, 50)) == pytest.approx(0.018, abs=0.0015)


def test_air_and_loose_covers_open_a_part():
    rows = ["aa.p", "fs.g", "f..g", "...."]
    drawn = section(rows, {"f": "feeder", "s": "sprue", "g": "feeder", "a": "air",
                           "p": "insulation"})  # fmt: skip
    assert open_parts(drawn) == ("f", "s", "g")
    assert reach_of_air(drawn, open_parts(drawn)) == {"f": "open", "s": "open", "g": "open"}


def test_the_rim_is_open_only_where_it_is_the_molds():
    drawn = section(["f.", "f."], {"f": "feeder"})
    assert open_parts(drawn) == ("f",)
    assert open_parts(drawn, rim=False) == ()


def test_a_core_keeps_a_blind_feeder_open_and_a_skin_closes_one():
    rows = [".......", ".fff.c.", ".fff.gg", ".fff.gg", "......."]
    drawn = section(rows, {"f": "feeder", "g": "feeder", "c": "core"})
    assert reach_of_air(drawn, ()) == {"f": "skin", "g": "core"}
    times = np.where(drawn.metal, 20.0, np.nan)
    times[2, 2], times[3, 1] = 90.0, 35.0
    blind, cored = free_surfaces(drawn, times, ())
    assert (blind.name, blind.until) == ("f", 35.0)
    assert (cored.name, cored.until) == ("g", np.inf)


def test_pipe_depth_is_what_a_wire_tells():
    drawn = section(["fff", "fff", "fff", "bbb"], {"f": "feeder", "b": "casting"})
    pipe = np.array([[0.0] * 3, [0, 0.3, 0], [0.2, 0.9, 0.2], [1.0, 1.0, 1.0]])
    cells = drawn.part_cells("f")
    depth = pipe_depth(drawn.grid, drawn.depth, cells, drawn.metal, pipe)
    assert depth == pytest.approx(CELL * 2.3)
    skin = pipe.copy()
    skin[3] = 0.0  # a skin over the hole does not make it less deep
    assert pipe_depth(drawn.grid, drawn.depth, cells, drawn.metal, skin) == depth
    assert pipe_depth(drawn.grid, drawn.depth, cells, drawn.metal, 0.1 * pipe) == pytest.approx(
        CELL * 0.22
    )


def test_pipe_depth_in_plan_is_a_share_of_the_height():
    drawn = section(["ff.bb"], {"f": "feeder", "b": "casting"}, view="plan")
    pipe = np.array([[0.25, 0.35, 0.0, 0.0, 0.0]])
    depth = pipe_depth(drawn.grid, drawn.depth, drawn.part_cells("f"), drawn.metal, pipe)
    assert depth == pytest.approx(0.35 * 0.01)
