"""The fill time of a run against the rule for its alloy, weight and section."""

import math
from dataclasses import replace

import pytest
from synthetic_run import filled, synthetic_run

from solidsim.judgment.pouring import poured_weight, pouring_time
from solidsim.materials.irons import Iron
from solidsim.sizing import work_rule
from solidsim.sizing.alloy_pouring import USUAL, casting_thickness


def run_of(density=7100.0, liquidus=1463.15, **changes):
    run = synthetic_run()
    alloy = replace(run.alloy, density=density, liquidus=liquidus)
    return filled(replace(run, alloy=alloy), **changes)


def judged(run):
    (found,) = pouring_time(run)
    return found


STEEL, BRONZE, LIGHT = (7100.0, 1780.0), (8800.0, 1290.0), (2500.0, 890.0)


@pytest.mark.parametrize(("alloy", "rule"), [(STEEL, "steel"), (BRONZE, "copper")])
def test_the_range_lies_about_the_rule_of_the_alloy(alloy, rule):
    name = f"{rule}-pouring-time"
    run = run_of(*alloy)
    weight = alloy[0] * sum(p.drawn_volume for p in run.section.parts if p.role in
                            ("casting", "neck", "feeder"))  # fmt: skip
    assert poured_weight(run) == pytest.approx(weight)
    (usual,) = work_rule(name, {"poured_weight": weight}).results.values()
    for share, verdict in ((0.6, "close"), (0.7, "holds"), (1.4, "holds"), (1.6, "close")):
        found = judged(run_of(*alloy, fill_time=share * usual))
        assert found.verdict == verdict
        assert found.source.startswith(name)
        limit = usual * (1.0 / USUAL if share < 1.0 else USUAL)
        assert found.limit == pytest.approx(limit)
        assert found.margin == pytest.approx((found.value - limit) * (1 if share < 1.0 else -1))
        assert ("slower" in found.statement) == (share == 0.6)
        assert ("faster" in found.statement) == (share == 1.6)


def test_gray_iron_goes_by_its_section_too():
    iron = Iron(carbon=0.034, silicon=0.02)
    run = replace(run_of(), alloy=replace(run_of().alloy, iron=iron))
    given = {"poured_weight": poured_weight(run), "section_thickness": casting_thickness(
        run.section)}  # fmt: skip
    (usual,) = work_rule("iron-pouring-time", given).results.values()
    assert judged(filled(run, fill_time=usual)).margin == pytest.approx(usual * (1 - 1 / USUAL))


def test_light_metal_may_not_come_faster_than_quietly():
    quiet = poured_weight(run_of(*LIGHT)) / (2500.0 * 2e-4 * 0.5)
    assert judged(run_of(*LIGHT, fill_time=0.95 * quiet)).verdict == "close"
    slow = judged(run_of(*LIGHT, fill_time=10.0 * quiet))
    assert (slow.verdict, "or more" in slow.statement) == ("holds", True)
    assert pouring_time(run_of(*LIGHT, areas=run_of().fill.areas * math.nan)) == []


def test_the_weight_of_the_case_goes_before_the_drawing_and_no_weight_says_nothing():
    assert poured_weight(run_of(weight=6.0)) == 6.0
    run = run_of()
    parts = tuple(replace(part, depth="through") for part in run.section.parts)
    endless = replace(run, section=replace(run.section, parts=parts))
    assert pouring_time(endless) == []
    assert judged(filled(endless, weight=6.0)).value == 8.0


def test_a_mold_that_did_not_fill_has_no_pouring_time():
    run = run_of()
    assert pouring_time(filled(run, filled=0.9 * run.fill.volume)) == []
    assert pouring_time(synthetic_run()) == []
