"""A feeder of 1.2 times the true thermal modulus feeds, one of 0.9 does not.

The rule (Wlodawer 1966, from memory: casting, neck and feeder as 1 : 1.1 : 1.2) compares moduli
because freezing time goes with their square. Here the moduli are taken from the time in which
casting and feeder freeze alone, so that the rule is tested and not Chvorinov's estimate of the
modulus. Steel in dry sand; the bodies have a depth, so that they lose heat on all six sides.
"""

import math

import numpy as np
import pytest
from pouring import pour

from solidsim.judgment import feeding_of, judge
from solidsim.sizing.feeder import shrinkage

BLOCK = 0.050  # m
HEAD = """
title = "A block and its feeder"
[section]
cell = "{cell:.6g} m"
depth = "{block} m"
[pour]
alloy = "carbon-steel-0.25"
temperature = "1560 °C"
[mold]
sand = "dry-silica-sand"
"""
PART = """
[[part]]
name = "{name}"
role = "{role}"
depth = "{depth:.6g} m"
rectangle = {{ from = ["{x0:.6g} m", "{y0:.6g} m"], to = ["{x1:.6g} m", "{y1:.6g} m"] }}
"""


def part(name, role, x0, y0, x1, y1, depth):
    return PART.format(name=name, role=role, x0=x0, y0=y0, x1=x1, y1=y1, depth=depth)


def block():
    return part("block", "casting", 0.0, 0.0, BLOCK, BLOCK, BLOCK)


def feeder(width, left):
    """One and a half times as high as wide, with a cover on it."""
    high = 1.5 * width
    return part("feeder", "feeder", left, 0.0, left + width, high, width) + part(
        "cover", "insulation", left, high, left + width, high + 0.012, width
    )


def run(parts):
    return pour(HEAD.format(cell=BLOCK / 14, block=BLOCK) + parts)


@pytest.fixture(scope="module")
def alone():
    """Freezing times of the block and of a feeder as wide as it, each by itself, [s]."""
    return [np.nanmax(run(parts).fields["freezing_time"]) for parts in (block(), feeder(BLOCK, 0))]


def together(alone, ratio):
    """Block and feeder side by side, the feeder's modulus that many times the block's."""
    casting, same_width = alone
    width = BLOCK * ratio * math.sqrt(casting / same_width)
    high = 0.9 * min(BLOCK, width)
    neck = part("neck", "neck", BLOCK, 0.0, 1.15 * BLOCK, high, high)
    return run(block() + neck + feeder(width, 1.15 * BLOCK))


def fed(result):
    return next(f for f in judge(result) if f.name == "feeding" and f.part == "block")


def test_the_width_gives_the_modulus(alone):
    """Time goes with the square of the size: the feeder's own time is what was asked for."""
    casting, same_width = alone
    width = BLOCK * 1.2 * math.sqrt(casting / same_width)
    time = np.nanmax(run(feeder(width, 0.0)).fields["freezing_time"])
    assert time == pytest.approx(1.44 * casting, rel=0.05)


def test_a_feeder_of_1_2_times_the_modulus_feeds(alone):
    found = fed(together(alone, 1.2))
    assert found.verdict == "holds", found.statement


def test_a_feeder_of_0_9_times_the_modulus_does_not(alone):
    found = fed(together(alone, 0.9))
    assert found.verdict == "fails", found.statement


def test_margin_grows_with_the_feeder(alone):
    margins = [fed(together(alone, ratio)).margin for ratio in (0.8, 1.0, 1.2, 1.4)]
    assert margins == sorted(margins)


def test_pipe_is_the_shrinkage_of_what_it_feeds(alone):
    """Liquid and freezing shrinkage as the trade adds them up, times block and feeder."""
    result = together(alone, 1.2)
    balance = feeding_of(result).balance
    superheat = result.alloy.pour_temperature - result.alloy.liquidus
    expected = shrinkage("steel", superheat).total * balance.metal
    assert balance.cavity.sum() == 0.0
    assert balance.pipe.sum() == pytest.approx(expected, rel=0.04)
