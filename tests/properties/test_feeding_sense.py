"""What founders know of feeding: junctions, chills, necks, hot pours, taller feeders."""

import math
from itertools import pairwise

import numpy as np
import pytest
from fed_block import fed_block
from pouring import pour

from solidsim.judgment import feeding_of, judge

ELL = """
title = "Two walls that meet in a corner"
[section]
cell = "{cell} mm"
[pour]
alloy = "carbon-steel-0.25"
temperature = "1560 °C"
[mold]
sand = "dry-silica-sand"
[[part]]
name = "lying wall"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["120 mm", "20 mm"] }}
[[part]]
name = "standing wall"
role = "casting"
fillet = "{fillet} mm"
rectangle = {{ from = ["0 mm", "20 mm"], to = ["20 mm", "120 mm"] }}
{more}
"""
HEEL = """
[[part]]
name = "heel chill"
role = "chill"
rectangle = { from = ["-20 mm", "-20 mm"], to = ["30 mm", "0 mm"] }
"""


def ell(cell=2, fillet=0, more=""):
    return pour(ELL.format(cell=cell, fillet=fillet, more=more))


def hot_spot(run):
    """Last cutoff of all [s] and where it is [mm]."""
    times = run.fields["cutoff_time"]
    j, i = np.unravel_index(np.nanargmax(times), times.shape)
    grid = run.section.grid
    return np.nanmax(times), 1000 * grid.x_centers[i], 1000 * grid.y_centers[j]


def test_hot_spot_of_a_corner_lies_toward_the_inner_corner():
    """The sand in the inner corner is heated from two sides; the heel cools from two."""
    _, x, y = hot_spot(ell())
    middle, inner = (10.0, 10.0), (20.0, 20.0)
    assert math.dist((x, y), inner) < math.dist(middle, inner)
    assert max(x, y) < 24.0


def test_a_chill_at_the_heel_takes_the_hot_spot_away():
    plain, chilled = hot_spot(ell()), hot_spot(ell(more=HEEL))
    assert chilled[0] < 0.8 * plain[0]
    assert math.dist(chilled[1:], (0.0, 0.0)) > math.dist(plain[1:], (0.0, 0.0))


def test_a_small_fillet_adds_little_and_a_large_one_more():
    times = [hot_spot(ell(fillet=mm))[0] for mm in (0, 6, 20)]
    assert times[0] < times[1] < times[2]
    assert times[1] < 1.04 * times[0]


def block(neck=39, **sizes):
    return pour(fed_block(neck, **sizes))


def margin(run):
    return next(f.margin for f in judge(run) if f.name == "feeding" and f.part == "block")


def rising(values):
    return all(low < high for low, high in pairwise(values))


def test_a_wider_neck_feeds_longer():
    assert rising([margin(block(neck=mm)) for mm in (9, 15, 21, 39)])


def test_a_shorter_neck_feeds_longer():
    assert rising([margin(block(neck=15, length=mm)) for mm in (24, 12, 6)])


def test_too_thin_a_neck_closes_before_the_feeder_and_the_block():
    run = block(neck=9)
    feeding = feeding_of(run)
    (pool,) = feeding.cut_off
    assert run.section.part_cells("neck")[pool.neck]
    assert pool.time < pool.ended < np.nanmax(feeding.cutoff_time)


def test_a_hotter_pour_pipes_deeper():
    volumes = [feeding_of(block(temperature=t)).balance.pipe.sum() for t in (1530, 1560, 1620)]
    assert rising(volumes)


def test_what_is_cut_off_is_what_the_cavity_lacks():
    for neck in (9, 15):
        feeding = feeding_of(block(neck=neck))
        wanted = sum(pool.shrinkage for pool in feeding.cut_off)
        assert feeding.balance.cavity.sum() == pytest.approx(wanted, rel=0.03)


def test_finer_cells_move_the_answer_little():
    """Closing time, shrinkage left and cavity on cells half as wide."""
    coarse = feeding_of(block(neck=15))
    fine = feeding_of(block(neck=15, cell=1.5))
    one, two = coarse.cut_off[0], fine.cut_off[0]
    assert one.time == pytest.approx(two.time, rel=0.06)
    assert one.shrinkage == pytest.approx(two.shrinkage, rel=0.12)
    assert coarse.balance.pipe.sum() == pytest.approx(fine.balance.pipe.sum(), rel=0.02)
