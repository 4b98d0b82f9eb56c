"""What a run says of feeding, in words and numbers, on small castings."""

from dataclasses import replace

import numpy as np
import pytest
from pouring import pour
from synthetic_run import synthetic_run

from solidsim.judgment import feeding_of, judge
from solidsim.judgment.feeding import parts_fed
from solidsim.results.opening import open_run
from solidsim.results.writing import write_run

BOSS = """
title = "A boss fed through a neck"
units = "metric"
[section]
cell = "4 mm"
depth = "50 mm"
[pour]
alloy = "{alloy}"
temperature = "{pour} °C"
[mold]
sand = "{sand}"
[[part]]
name = "boss"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["48 mm", "48 mm"] }}
[[part]]
name = "neck"
role = "neck"
depth = "{neck} mm"
rectangle = {{ from = ["48 mm", "{low} mm"], to = ["60 mm", "{high} mm"] }}
[[part]]
name = "feeder"
role = "feeder"
depth = "{wide} mm"
rectangle = {{ from = ["60 mm", "0 mm"], to = ["{right} mm", "{top} mm"] }}
{more}
"""
COVER = """
[[part]]
name = "cover"
role = "insulation"
rectangle = {{ from = ["60 mm", "{top} mm"], to = ["{right} mm", "{over} mm"] }}
"""
DART = """
[[part]]
name = "dart"
role = "core"
rectangle = { from = ["88 mm", "80 mm"], to = ["96 mm", "108 mm"] }
"""


def boss(neck=40, wide=64, top=96, alloy="carbon-steel-0.25", temperature=1570,
         sand="dry-silica-sand", cover=True, more=""):  # fmt: skip
    right = 60 + wide
    covered = COVER.format(top=top, right=right, over=top + 12) if cover else ""
    low, high = 24 - neck // 2 // 4 * 4, 24 + neck // 2 // 4 * 4
    text = BOSS.format(alloy=alloy, pour=temperature, sand=sand, neck=neck, low=low, high=high,
                       wide=wide, right=right, top=top, more=covered + more)  # fmt: skip
    return pour(text)


def finding(run, name, part=None):
    return next(f for f in judge(run) if f.name == name and part in (None, f.part))


@pytest.fixture(scope="module")
def fed():
    return boss(neck=40)


@pytest.fixture(scope="module")
def starved():
    return boss(neck=8)


def test_a_wide_neck_feeds_and_says_by_what_margin(fed):
    found = finding(fed, "feeding", "boss")
    assert found.verdict == "holds"
    assert found.margin == pytest.approx(found.value - found.limit)
    assert found.margin > 0
    assert "boss is fed by feeder: the way through" in found.statement
    assert f"{found.value / found.limit:.2f} times as long" in found.statement
    assert {"hot-spot", "cavity", "pipe-in-casting"}.isdisjoint(f.name for f in judge(fed))


def test_a_thin_neck_starves_though_the_feeder_freezes_last(starved):
    assert finding(starved, "last-metal-in-feeder").verdict == "holds"
    found = finding(starved, "feeding", "boss")
    assert found.verdict == "fails"
    assert "boss is fed for" in found.statement
    assert "neck" in found.statement
    spot = finding(starved, "hot-spot", "boss")
    assert spot.verdict == "fails"
    assert spot.margin == pytest.approx(found.margin)
    hole = finding(starved, "cavity", "boss")
    cut_off = feeding_of(starved).cut_off[0]
    assert hole.value == pytest.approx(cut_off.shrinkage, rel=0.05)
    assert cut_off.neck_width == pytest.approx(0.008, abs=0.004)


def test_the_account_is_said_and_closes(fed, starved):
    for run in (fed, starved):
        account = finding(run, "volume-account")
        assert account.value < 1e-9
        assert " of pipe + " in account.statement
    assert finding(fed, "volume-account").grade == "exact"


def test_a_feeder_too_small_for_its_casting_freezes_first():
    run = boss(neck=40, wide=24, top=48)
    found = finding(run, "feeding", "boss")
    assert found.verdict == "fails"
    assert "feeder froze first" in found.statement


LOW = """
title = "A low feeder kept hot, on a block that freezes upward from a chill"
[section]
cell = "4 mm"
depth = "50 mm"
[pour]
alloy = "greedy"
temperature = "1570 °C"
[mold]
sand = "dry-silica-sand"
[[part]]
name = "block"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["48 mm", "48 mm"] }
[[part]]
name = "feeder"
role = "feeder"
rectangle = { from = ["0 mm", "48 mm"], to = ["48 mm", "60 mm"] }
[[part]]
name = "cover"
role = "insulation"
rectangle = { from = ["-24 mm", "60 mm"], to = ["72 mm", "90 mm"] }
[[part]]
name = "left sleeve"
role = "sleeve"
rectangle = { from = ["-24 mm", "24 mm"], to = ["0 mm", "60 mm"] }
[[part]]
name = "right sleeve"
role = "sleeve"
rectangle = { from = ["48 mm", "24 mm"], to = ["72 mm", "60 mm"] }
[[part]]
name = "chill"
role = "chill"
rectangle = { from = ["0 mm", "-40 mm"], to = ["48 mm", "0 mm"] }
[material.greedy]
base = "carbon-steel-0.25"
freezing_volume = [["0 %", "100 %"], ["100 %", "81 %"]]
"""


def test_a_feeder_with_too_little_metal_pipes_into_the_casting():
    """An invented alloy that loses a fifth of its volume drains its feeder."""
    run = pour(LOW)
    pipe, crossed = finding(run, "pipe"), finding(run, "pipe-in-casting")
    assert pipe.verdict == "fails"
    assert pipe.limit == pytest.approx(0.012)
    assert pipe.margin == pytest.approx(pipe.limit - pipe.value)
    assert (crossed.verdict, crossed.part) == ("fails", "block")
    balance = feeding_of(run).balance
    assert 0.0 < crossed.value < balance.pipe.sum()
    assert balance.imbalance < 1e-9


def test_blind_feeder_says_when_its_skin_closes():
    run = boss(neck=40, cover=False)
    found = finding(run, "blind-feeder")
    times = run.fields["cutoff_time"]
    assert 0.0 < found.value < np.nanmax(times)
    assert "its skin closes at" in found.statement


def test_a_core_in_it_keeps_a_blind_feeder_open():
    run = boss(neck=40, cover=False, more=DART)
    assert "the core in it keeps it open" in finding(run, "blind-feeder").statement


def test_graphite_feeds_a_pool_from_within():
    """A rich iron in a hard mold grows as it freezes: cut off, and still no hole."""
    rich = """
[material.rich]
base = "ductile-iron"
freezing_volume = [["0 %", "100 %"], ["100 %", "100.5 %"]]
"""
    run = boss(neck=8, alloy="rich", temperature=1340, sand="investment-shell", more=rich)
    spot = finding(run, "hot-spot", "boss")
    assert spot.verdict == "holds"
    assert "graphite feeds from within" in spot.statement
    assert "cavity" not in {f.name for f in judge(run)}


def test_an_alloy_that_does_not_say_how_it_shrinks_is_judged_on_time_alone(starved):
    silent = replace(starved, alloy=replace(starved.alloy, volume=None))
    names = {f.name for f in judge(silent)}
    assert {"hot-spot", "feeding"} <= names
    assert {"cavity", "pipe", "volume-account"}.isdisjoint(names)
    assert "shrinkage" not in finding(silent, "hot-spot").statement


def test_a_run_that_stopped_early_is_not_judged_on_feeding(fed):
    times = fed.fields["freezing_time"].copy()
    times.flat[np.nanargmax(times)] = np.nan
    early = replace(fed, fields={**fed.fields, "freezing_time": times})
    assert feeding_of(early) is None
    names = {f.name for f in judge(early)}
    assert "metal-not-solid" in names
    assert "feeding" not in names


def test_a_stored_run_says_the_same(tmp_path, starved):
    again = open_run(write_run(tmp_path / "boss.h5", starved))
    assert again.alloy.volume.liquid_contraction == starved.alloy.volume.liquid_contraction
    assert again.judging == starved.judging
    assert judge(again) == judge(starved)


def test_a_stored_iron_says_the_same(tmp_path):
    run = boss(neck=8, alloy="gray-iron", temperature=1370, sand="green-sand")
    again = open_run(write_run(tmp_path / "iron.h5", run))
    assert again.alloy.iron == run.alloy.iron
    assert judge(again) == judge(run)
    assert "chilled-edge" in {f.name for f in judge(again)}


def test_a_run_from_before_the_cutoff_was_kept_is_judged_on_its_freezing_time():
    run = synthetic_run()
    assert "cutoff_time" not in run.fields
    feeding = feeding_of(run)
    assert np.nanmax(feeding.cutoff_time) == np.nanmax(run.fields["freezing_time"])
    assert {f.name for f in parts_fed(run, feeding)} == {"feeding"}


PLAN = """
title = "A plate from above with two feeders on it"
[section]
view = "plan"
cell = "5 mm"
depth = "20 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
[mold]
sand = "{sand}"
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["150 mm", "60 mm"] }}
[[part]]
name = "open feeder"
role = "feeder"
depth = "70 mm"
faces = {{ cope = "air", drag = "mold" }}
circle = {{ center = ["35 mm", "30 mm"], radius = "20 mm" }}
[[part]]
name = "blind feeder"
role = "feeder"
depth = "70 mm"
circle = {{ center = ["115 mm", "30 mm"], radius = "20 mm" }}
"""


def test_in_plan_the_cover_of_the_cope_face_opens_a_part():
    run = pour(PLAN.format(sand="green-sand"))
    assert run.judging.open_parts == ("open feeder",)
    assert finding(run, "blind-feeder").part == "blind feeder"
    pipe = finding(run, "pipe", "open feeder")
    assert pipe.limit == pytest.approx(0.070 - 0.020)  # above the plate
    assert pipe.verdict == "note"


ARM = """
[[part]]
name = "arm"
role = "casting"
depth = "{thick} mm"
rectangle = {{ from = ["150 mm", "20 mm"], to = ["210 mm", "40 mm"] }}
"""


def test_in_plan_a_part_fed_through_what_a_feeder_stands_on_gets_no_verdict():
    """The arm freezes toward the plate; what goes on between plate and feeder does not show."""
    plan = PLAN.format(sand="green-sand")
    arm = finding(pour(plan + ARM.format(thick=8)), "feeding", "arm")
    assert arm.verdict == "note"
    assert "freezes toward" in arm.statement
    assert "is fed by" not in arm.statement
    assert arm.statement.endswith("shows only in an upright or round section")
    thick = finding(pour(plan + ARM.format(thick=60)), "feeding", "arm")
    assert (thick.verdict, thick.margin < 0.0) == ("fails", True)  # that the plan does show


def test_in_plan_a_feeder_beside_the_casting_gets_its_verdict():
    beside = PLAN.replace('["35 mm", "30 mm"]', '["-18 mm", "30 mm"]')
    run = pour(beside.format(sand="green-sand").partition('[[part]]\nname = "blind')[0])
    pipe = finding(run, "pipe", "open feeder")
    assert (pipe.limit, pipe.verdict) == (pytest.approx(0.070), "holds")
    assert "shows only" not in finding(run, "feeding", "plate").statement


def test_the_sand_says_how_far_the_mold_gives_way():
    shares = [
        pour(PLAN.format(sand=sand)).judging.wall_movement
        for sand in ("green-sand", "dry-silica-sand")
    ]
    assert shares == [0.25, 0.08]
