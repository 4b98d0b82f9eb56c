"""The vent that a finding names lets the air go in time, against the pressure it says."""

import math
import re
from dataclasses import replace

import pytest
from synthetic_run import filled, synthetic_run

from solidsim.case import read_case_text
from solidsim.fill.record import Place
from solidsim.judgment import judge
from solidsim.judgment.shut_in_air import shut_in_air, time_to_leave, wanted_vents
from solidsim.model import build_model
from solidsim.simulation import simulate
from solidsim.sizing.vents import BACK_PRESSURE

POCKET = Place("shut-in", 3.0, 0.1, 0.08, volume=20e-6, until=5.0, leak=1e-8, left=4.0)
DOMES = """
title = "Two domes over a bar, and an open feeder"
[section]
cell = "2 mm"
depth = "30 mm"
[pour]
alloy = "gray-iron"
temperature = "1400 °C"
time = "4 s"
[mold]
cover = "25 mm"
[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["120 mm", "20 mm"] }
[[part]]
name = "dome"
role = "casting"
rectangle = { from = ["0 mm", "20 mm"], to = ["30 mm", "40 mm"] }
[[part]]
name = "feeder"
role = "feeder"
rectangle = { from = ["80 mm", "20 mm"], to = ["120 mm", "60 mm"] }
[[part]]
name = "air over the feeder"
role = "air"
rectangle = { from = ["80 mm", "60 mm"], to = ["120 mm", "85 mm"] }
"""


def run_with(*places, units="metric", **changes):
    return filled(synthetic_run(units=units), places=places, **changes)


def outflow(run, area, leak):
    """Air that leaves [m3/s, hot] through a vent and sand at the pressure of the rule."""
    density = 101325.0 / (287.05 * 800.0)
    return 0.6 * area * math.sqrt(2.0 * BACK_PRESSURE / density) + leak * BACK_PRESSURE


@pytest.mark.parametrize("leak", [0.0, 1e-8, 1e-7])
@pytest.mark.parametrize(
    ("until", "left", "time"),
    [(5.0, 4.0, 2.0), (9.0, 4.0, 4.0), (math.nan, 4.0, 4.0), (math.nan, math.nan, 5.0)],
)
def test_vent_and_sand_together_empty_the_pocket_in_time(leak, until, left, time):
    place = replace(POCKET, until=until, left=left, leak=leak)
    run = run_with(place)
    assert time_to_leave(run, place) == pytest.approx(time)
    vents = wanted_vents(run, place, time)
    hot = place.volume * 800.0 / run.judging.mold_temperature
    assert time * outflow(run, vents.area, leak) == pytest.approx(hot)
    assert (vents.number - 1) * math.pi * 0.0015**2 < vents.area
    assert vents.area <= vents.number * math.pi * 0.0015**2


def test_the_finding_names_vent_count_time_and_pressure():
    (found,) = shut_in_air(run_with(replace(POCKET, leak=0.0)))
    vents = wanted_vents(run_with(), replace(POCKET, leak=0.0), 2.0)
    area, count = re.search(r"vent of ([\d.]+) mm2 here \((\d+) of ⌀ 3 mm\)", found.statement)\
        .groups()  # fmt: skip
    assert float(area) == pytest.approx(1e6 * vents.area, rel=0.01)
    assert int(count) == vents.number == 1
    assert found.statement.endswith("within 2 s against no more than 100 Pa")
    assert (found.verdict, found.place) == ("close", (0.1, 0.08))
    (inch,) = shut_in_air(run_with(POCKET, units="inch"))
    assert "of ⌀ 1/8 in)" in inch.statement
    assert " mm" not in inch.statement


def test_air_that_stays_fails_and_air_that_the_sand_takes_holds():
    (stays,) = shut_in_air(run_with(replace(POCKET, until=math.nan)))
    assert (stays.verdict, "does not all leave" in stays.statement) == ("fails", True)
    (taken,) = shut_in_air(run_with(replace(POCKET, leak=1e-3)))
    assert taken.verdict == "holds"
    assert "the sand alone lets it go within 2 s" in taken.statement
    assert "vent of" not in taken.statement
    assert shut_in_air(synthetic_run()) == []


def test_a_rising_fill_tells_how_its_pocket_breathes():
    """Sand of a tenth of the permeability lets through a tenth, and wants the larger vent."""
    model = build_model(read_case_text(DOMES))
    sand = model.materials[model.mold]
    tight = replace(sand, permeability=0.1 * sand.permeability)
    close = replace(
        model,
        materials=tuple(tight if own is sand else own for own in model.materials),
    )
    runs = [simulate(one) for one in (model, close)]
    (airy,), (dense,) = ([p for p in run.fill.places if p.kind == "shut-in"] for run in runs)
    assert dense.leak == pytest.approx(0.1 * airy.leak)
    rest = runs[0].fill.volume - 0.120 * 0.020 * 0.030  # dome and feeder, as the bar is full
    assert airy.left == pytest.approx(4.0 * rest / runs[0].fill.volume, rel=0.05)
    assert wanted_vents(runs[1], dense, 1.0).area > wanted_vents(runs[0], airy, 1.0).area
    assert any("a vent of" in found.statement for found in judge(runs[1]))
