"""What iron founders know: thick, rich, inoculated iron is gray, and rich iron feeds itself."""

from itertools import pairwise

import numpy as np
import pytest
from pouring import pour

from solidsim.criteria.chilled_edge import chill_tendency
from solidsim.judgment import feeding_of, judge
from solidsim.materials import library_material
from solidsim.materials.irons import Iron

IRON = Iron(0.034, 0.02, 0.006, 0.001, 0.0006)


def plate(half_mm=6.0, carbon="3.4 %", silicon="2.0 %", inoculated="true", feeder=False):
    """Half a plate between sands, upright; optionally fed from above."""
    more = f"""
[[part]]
name = "feeder"
role = "feeder"
rectangle = {{ from = ["-20 mm", "40 mm"], to = ["{half_mm} mm", "80 mm"] }}
[[part]]
name = "cover"
role = "insulation"
rectangle = {{ from = ["-20 mm", "80 mm"], to = ["{half_mm} mm", "90 mm"] }}
"""
    return pour(f"""
title = "Half a plate of gray iron"
[section]
cell = "{half_mm / 6} mm"
[pour]
alloy = "iron"
temperature = "1380 °C"
[mold]
box = {{ from = ["-70 mm", "-60 mm"], to = ["{half_mm} mm", "110 mm"] }}
[boundary]
right = "symmetry"
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{half_mm} mm", "40 mm"] }}
{more if feeder else ""}
[material.iron]
base = "gray-iron"
[material.iron.iron]
carbon = "{carbon}"
silicon = "{silicon}"
manganese = "0.6 %"
phosphorus = "0.1 %"
sulfur = "0.06 %"
graphite = "flakes"
inoculated = {inoculated}
""")


def edge(**changes):
    run = plate(**changes)
    return next(finding.value for finding in judge(run) if finding.name == "chilled-edge")


def falling(values):
    return all(high > low for high, low in pairwise(values))


def test_thicker_iron_is_grayer():
    assert falling([edge(half_mm=mm) for mm in (3.0, 6.0, 12.0)])


def test_more_carbon_is_grayer():
    assert falling([edge(carbon=c) for c in ("3.0 %", "3.3 %", "3.6 %")])


def test_more_silicon_is_grayer():
    assert falling([edge(silicon=si) for si in ("1.4 %", "2.0 %", "2.6 %")])


def test_inoculated_iron_is_grayer():
    assert edge(inoculated="false") > edge(inoculated="true")


def test_an_inch_is_gray_and_a_quarter_inch_is_near_white():
    """A 6 mm section of ordinary iron can chill; 25 mm does not: trade lore, from memory."""
    assert edge(half_mm=12.5) < 0.8
    assert edge(half_mm=3.0) > 0.8


@pytest.mark.parametrize("times", [np.array([1.0, 4.0, 16.0, 64.0])])
def test_half_the_undercooling_takes_four_times_as_long(times):
    ratio = chill_tendency(IRON, times)
    assert ratio[:-1] / ratio[1:] == pytest.approx(2.0)


def test_ductile_iron_and_steel_have_no_chilled_edge():
    assert library_material("carbon-steel-0.25").iron is None
    run = pour("""
title = "Ductile"
[section]
cell = "4 mm"
[pour]
alloy = "ductile-iron"
temperature = "1380 °C"
[[part]]
name = "block"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["30 mm", "30 mm"] }
""")
    assert "chilled-edge" not in {finding.name for finding in judge(run)}


def test_richer_iron_pipes_less():
    volumes = [
        feeding_of(plate(carbon=c, feeder=True)).balance.pipe.sum()
        for c in ("3.1 %", "3.4 %", "3.7 %")
    ]
    assert falling(volumes)
