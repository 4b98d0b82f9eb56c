"""Where the drawing shows that metal comes in."""

import pytest

from solidsim.case import read_case_text
from solidsim.fill.inlets import find_inlets
from solidsim.model import build_model
from solidsim.results import open_run, write_run
from solidsim.simulation import simulate

PLATE = """
title = "A plate"
[section]
view = "{view}"
cell = "4 mm"
depth = "30 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
{time}
[cooling]
shake_out = "1 s"
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["100 mm", "40 mm"] }}
{more}
"""
GATING = """
[gating]
basin = { area = "40 cm2", depth = "50 mm" }
sprue = { top = "130 mm", foot = "0 mm", top_area = "3 cm2", foot_area = "1.5 cm2" }
"""
INGATE = """
[[gating.ingate]]
name = "{0}"
part = "plate"
at = ["{1} mm", "{2} mm"]
area = "2.4 cm2"
"""


def plate(*ingates, view="upright", time=""):
    more = GATING + "".join(INGATE.format(*one) for one in ingates) if ingates else ""
    return build_model(read_case_text(PLATE.format(view=view, time=time, more=more)))


@pytest.mark.parametrize(
    ("at", "place", "way"),
    [((0, 4), (0.0, 4.0), (1.0, 0.0)), ((100, 20), (100.0, 20.0), (-1.0, 0.0)),
     ((50, 0), (50.0, 0.0), (0.0, 1.0)), ((50, 40), (50.0, 40.0), (0.0, -1.0))],
)  # fmt: skip
def test_an_inlet_lies_on_its_wall_and_points_inward(at, place, way):
    """8 mm of the wall are open, in whole cells of 4 mm: its middle is known to half a cell."""
    (inlet,) = find_inlets(plate(("gate", *at)))
    assert inlet.name == "gate"
    assert (1e3 * inlet.x, 1e3 * inlet.y) == pytest.approx(place, abs=2.01)
    assert (inlet.along_x, inlet.along_y) == way
    across = 1e3 * (inlet.x if way[0] else inlet.y)
    assert across == pytest.approx(place[0] if way[0] else place[1], abs=1e-6)


def test_metal_without_gating_wells_up_at_the_bottom():
    (inlet,) = find_inlets(plate(time='time = "2 s"'))
    assert inlet.name == ""
    assert (inlet.x, inlet.y) == pytest.approx((0.05, 0.0), abs=1e-9)
    assert (inlet.along_x, inlet.along_y) == (0.0, 1.0)


def test_in_plan_such_metal_has_no_direction():
    (inlet,) = find_inlets(plate(view="plan", time='time = "2 s"\nfill = "flowing"'))
    assert (inlet.along_x, inlet.along_y) == (0.0, 0.0)


def test_inlets_are_kept_with_the_run(tmp_path):
    model = plate(("left", 0, 4), ("right", 100, 4))
    run = simulate(model)
    assert run.fill.inlets == find_inlets(model)
    write_run(tmp_path / "run.h5", run)
    assert open_run(tmp_path / "run.h5").fill.inlets == run.fill.inlets
