"""Cards of the library at work: plates of each metal in thick sand, against the trade's figures."""

import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pouring import pour

from solidsim.materials import library_material
from solidsim.quantities import ZERO_CELSIUS

CONSTANTS = tomllib.loads(
    (Path(__file__).parents[2] / "shared" / "mold_constants.toml").read_text(encoding="utf-8")
)
PAIRS = [(sand, alloy) for sand in CONSTANTS if sand != "source" for alloy in CONSTANTS[sand]]
HALF = 10.0  # mm


@cache
def plate_time(alloy, mold, superheat=50.0, joint=None, more=""):
    """Time [s] in which a 20 mm plate is solid, half of it computed, 20 cells deep."""
    pour_at = library_material(alloy).liquidus - ZERO_CELSIUS + superheat
    written = (
        f'[[interface]]\nbetween = ["alloy", "mold"]\nconductance = "{joint}"' if joint else ""
    )
    run = pour(f"""
title = "Half a plate in thick sand"
[section]
cell = "{HALF / 20} mm"
[pour]
alloy = "{alloy}"
temperature = "{pour_at:.6f} °C"
[mold]
sand = "{mold}"
box = {{ from = ["0 mm", "0 mm"], to = ["{15 * HALF} mm", "{HALF / 20} mm"] }}
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{HALF} mm", "{HALF / 20} mm"] }}
[boundary]
left = "symmetry"
right = {{ temperature = "20 °C" }}
bottom = "insulated"
top = "insulated"
{written}
{more}
""")
    return float(np.nanmax(run.fields["freezing_time"][run.metal]))


def constant(alloy, mold, **how):
    """Mold constant, [min/cm2]."""
    return plate_time(alloy, mold, **how) / 60 / (HALF / 10) ** 2


@pytest.mark.parametrize(("sand", "alloy"), PAIRS)
def test_mold_constants_are_those_written_down(sand, alloy):
    """The stored constants are what the program computes; outside the range they say why."""
    written = CONSTANTS[sand][alloy]
    ideal = constant(alloy, sand, superheat=0.0, joint="perfect")
    assert ideal == pytest.approx(written["ideal"], rel=0.01)
    assert constant(alloy, sand) == pytest.approx(written["usual"], rel=0.01)
    low, high = written["published"]
    assert (low <= ideal <= high) != ("outside" in written)


def test_a_steel_shell_grows_in_dry_sand_as_published():
    """0.885 mm/s^1/2, a data sheet on steel casing solidification; within 10 %."""
    time = plate_time("carbon-steel-0.25", "dry-silica-sand", superheat=0.0, joint="perfect")
    assert HALF / np.sqrt(time) == pytest.approx(0.885, rel=0.1)


@pytest.mark.parametrize("alloy", ["gray-iron", "a356"])
def test_heavy_sands_freeze_faster_than_silica(alloy):
    dry, zircon, chromite = (
        plate_time(alloy, sand) for sand in ("dry-silica-sand", "zircon-sand", "chromite-sand")
    )
    assert max(zircon, chromite) < 0.75 * dry


@pytest.mark.parametrize("alloy", ["gray-iron", "a356"])
def test_the_moister_the_sand_the_faster(alloy):
    """With the grain contacts of one sand, from dry to 5 % of water."""
    times = []
    for water in ("0.5 %", "2 %", "3.5 %", "5 %"):
        card = f'[material.pit-sand]\nbase = "green-sand"\nmoisture = "{water}"'
        times.append(plate_time(alloy, "pit-sand", more=card))
    assert times == sorted(times, reverse=True)
    assert times[-1] < 0.95 * times[0]


def test_permanent_molds_freeze_far_faster_than_sand():
    copper, iron = (plate_time("a356", chill) for chill in ("copper-chill", "iron-chill"))
    assert copper < iron < 0.1 * plate_time("a356", "green-sand")


@pytest.mark.parametrize(("alloy", "superheat"), [("gray-iron", 150.0), ("a356", 100.0)])
def test_the_joint_with_sand_hardly_matters(alloy, superheat):
    """Poured as usual, half the conductance costs a 20 mm plate less than a tenth more time."""
    usual, halved = (
        plate_time(alloy, "green-sand", superheat, joint) for joint in ("1000 W/m2K", "500 W/m2K")
    )
    assert usual < halved < 1.1 * usual


def test_the_joint_with_a_chill_matters_much():
    """The same halving for aluminum on iron."""
    usual, halved = (
        plate_time("a356", "iron-chill", more=chill_joint(conductance))
        for conductance in ("1000 W/m2K", "500 W/m2K")
    )
    assert halved > 1.5 * usual


def chill_joint(conductance):
    return f'[[interface]]\nbetween = ["alloy", "chill"]\nconductance = "{conductance}"'


@pytest.mark.parametrize("alloy", ["gray-iron", "a356"])
def test_more_superheat_freezes_later(alloy):
    times = [plate_time(alloy, "green-sand", superheat=superheat) for superheat in (0, 50, 100)]
    assert times[0] < 0.9 * times[1] < 0.9 * 0.95 * times[2]


def test_a_heavy_casting_is_still_hot_after_three_hours():
    """Common practice: a 55 lb gray-iron casting is still near 500 °F after 3 h in sand.

    Here a disk of 25 kg, 30 mm thick, under 80 mm of green sand: between 400 and 800 °F.
    """
    run = pour("""
title = "Disk of 25 kg"
[section]
view = "round"
cell = "5 mm"
[pour]
alloy = "gray-iron"
temperature = "1350 °C"
[mold]
sand = "green-sand"
box = { from = ["0 mm", "-80 mm"], to = ["280 mm", "110 mm"] }
[[part]]
name = "disk"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["195 mm", "30 mm"] }
[[probe]]
name = "skin"
at = ["97 mm", "29 mm"]
[cooling]
shake_out = "3 h"
""")
    fahrenheit = (run.probes[0].temperatures[-1] - ZERO_CELSIUS) * 1.8 + 32
    assert 400 < fahrenheit < 800
