"""The rising fill against pencil arithmetic, and where metal goes in shapes that can be seen."""

import math
from dataclasses import replace

import numpy as np
import pytest

from solidsim.case import read_case_text
from solidsim.fill.starting import start_filling
from solidsim.model import Basin, Sprue, build_model
from solidsim.sizing.heads import bottom_fill_time, effective_head, emptying_time

CASE = """
title = "A vessel"
[section]
cell = "{cell} mm"
depth = "{depth} mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
{pour}
[mold]
cover = "20 mm"
"""
GATING = """
[gating.basin]
area = "100 cm2"
depth = "{basin} mm"
[gating.sprue]
top = "{top} mm"
foot = "0 mm"
top_area = "{wide} mm2"
foot_area = "{wide} mm2"
entry_loss = 0
bend_loss = 0
"""


def box(name, x0, y0, x1, y1, role="casting"):
    corners = f'from = ["{x0} mm", "{y0} mm"], to = ["{x1} mm", "{y1} mm"]'
    return f'[[part]]\nname = "{name}"\nrole = "{role}"\nrectangle = {{ {corners} }}\n'


def ingate(part, x, y, area, name="ingate"):
    return (
        f'[[gating.ingate]]\nname = "{name}"\npart = "{part}"\nat = ["{x} mm", "{y} mm"]\n'
        f'area = "{area} mm2"\n'
    )


def filling_of(text, change=lambda model: model):
    return start_filling(change(build_model(read_case_text(text))))


def vessel(mouth_height, area=400, head=250, height=200, gating=""):
    """100 cm2 in plan, 200 mm high; a basin level of 250 mm over its bottom."""
    text = CASE.format(cell=2, depth=100, pour="") + box("vessel", 0, 0, 100, height)
    text += GATING.format(basin=head - 210, top=210, wide=400_000)
    return text + gating + ingate("vessel", 0, mouth_height, area)


def fill_up(filling, solid=None):
    still = np.zeros(filling.model.section.grid.shape) if solid is None else solid
    while not filling.over and np.isnan(filling.fill_time[filling.model.section.metal]).any():
        filling.advance(filling.next_duration(), still)
    return filling


def lossless(filling):
    filling.supply.circuit.slender[:] = 0.0
    filling.supply.circuit.loss[0] = 0.0
    filling.supply.circuit.loss[1:] = 1.0
    return filling


def test_bottom_gate_takes_the_time_of_the_exact_integral():
    filling = fill_up(lossless(filling_of(vessel(0))))
    exact = bottom_fill_time(0.01, 4e-4, 0.25, 0.2)
    assert exact == pytest.approx(3.120, abs=5e-4)
    assert filling.time == pytest.approx(exact, rel=1e-4)
    handbook = (
        0.01 * 0.2 / (4e-4 * math.sqrt(2 * 9.80665 * effective_head(0.25, 0.2, 0.2).handbook))
    )
    assert filling.time / handbook == pytest.approx(1.066, abs=0.005)  # it is 6.6 % too short


def test_parting_gate_takes_the_time_of_the_exact_integral():
    filling = fill_up(lossless(filling_of(vessel(100, head=350))))
    heads = effective_head(0.25, 0.2, 0.1)
    assert heads.exact == pytest.approx(0.2210, abs=1e-4)
    steady = 4e-4 * math.sqrt(2 * 9.80665 * heads.exact)
    assert filling.time == pytest.approx(0.002 / steady, rel=1e-4)


def test_basin_drains_as_torricelli_says():
    def drained(model):
        gating = model.pour.gating
        hole = replace(gating.stretches[0], area=1e-5, perimeter=4 * 1e-5**0.5)
        gating = replace(
            gating,
            basin=Basin(1e-2, 1.0, rate=0.0),
            sprue=Sprue(1e-3, 0.0, 1e-2, 1e-2),
            stretches=(hole,),
        )
        return replace(model, pour=replace(model.pour, gating=gating))

    text = CASE.format(cell=20, depth=4000, pour="") + box("pit", 0, -2000, 1000, -1000)
    text += GATING.format(basin=1000, top=1, wide=10_000) + ingate("pit", 0, -1000, 10)
    filling = filling_of(text, drained)
    filling.supply.circuit.slender[:] = 0.0
    filling.supply.circuit.loss[:] = [0.0, 1.0 / 0.61**2]
    filling.supply.circuit.heights[:] = 0.0
    times = emptying_time(1e-2, 1e-5, 1.001, 0.501)
    still = np.zeros(filling.model.section.grid.shape)
    while filling.supply.basin_level > 0.501:
        filling.advance(0.25, still)
    assert filling.time == pytest.approx(times, rel=3e-3)


def test_poured_volume_is_what_stands_in_the_mold():
    filling = filling_of(vessel(0))
    fill_up(filling)
    assert filling.poured == pytest.approx(filling.volume, rel=1e-12)
    assert filling.pools.filled.sum() == pytest.approx(filling.poured, rel=1e-12)


def order(filling, *names):
    """Mean fill time of parts."""
    return [
        float(filling.fill_time[filling.model.section.part_cells(name)].mean()) for name in names
    ]


TWO_PITS = (
    CASE.format(cell=2, depth=20, pour='time = "8 s"')
    + box("left pit", 0, 0, 40, 40)
    + box("right pit", 80, -20, 120, 40)
    + box("bridge", 0, 40, 120, 60)
)


def test_metal_spills_over_the_bridge_into_the_other_pit():
    text = TWO_PITS.replace("time", 'fill = "rising"\ntime')
    text += box("gate", -10, 0, 0, 10, role="ingate")
    filling = fill_up(filling_of(text))
    left, right, bridge = order(filling, "left pit", "right pit", "bridge")
    assert left < right < bridge
    assert filling.time == pytest.approx(8.0, rel=1e-6)
    assert not filling.met  # one stream, which has nothing to meet


def test_two_gates_meet_on_the_bridge():
    text = TWO_PITS + box("gate", -10, 0, 0, 10, role="ingate")
    text += box("other gate", 120, 0, 130, 10, role="ingate")
    filling = fill_up(filling_of(text))
    assert len(filling.met) == 1
    _, run, *_ = filling.met[0]
    assert filling.pools.runs.bottom[run] == pytest.approx(0.040)


def surface(filling, name):
    """Height of the metal in a part."""
    runs, pools = filling.pools.runs, filling.pools
    own = np.unique(runs.number[filling.model.section.part_cells(name)])
    own = own[pools.filled[own] > 0.0]
    tops = runs.bottom[own] + runs.height[own] * pools.filled[own] / runs.volume[own]
    return tops.max(initial=0.0)


def test_legs_of_a_pipe_stand_at_one_height():
    text = CASE.format(cell=2, depth=20, pour='time = "8 s"') + box("foot", 0, 0, 100, 10)
    text += box("left leg", 0, 10, 20, 60) + box("right leg", 70, 10, 100, 60)
    filling = filling_of(text)
    still = np.zeros(filling.model.section.grid.shape)
    for _ in range(4):
        filling.advance(1.0, still)
        tops = [surface(filling, name) for name in ("left leg", "right leg")]
        assert tops[0] == pytest.approx(tops[1], abs=1e-9)


def test_metal_meets_behind_a_core():
    text = CASE.format(cell=2, depth=20, pour='time = "8 s"') + box("block", 0, 0, 100, 80)
    text += box("core", 30, 30, 70, 50, role="core")
    filling = fill_up(filling_of(text))
    (met,) = filling.met
    assert filling.pools.runs.bottom[met[1]] == pytest.approx(0.050)


def test_air_under_a_dome_waits_for_the_sand_to_let_it_out():
    text = CASE.format(cell=2, depth=20, pour='time = "8 s"')
    text += box("web", 0, 0, 120, 20) + box("dome", 0, 20, 30, 50)
    text += box("feeder", 90, 20, 120, 70, role="feeder")
    text += box("sky", 90, 70, 120, 90, role="air")

    def tight(share):
        def change(model):
            materials = list(model.materials)
            sand = materials[model.mold]
            materials[model.mold] = replace(sand, permeability=sand.permeability * share)
            return replace(model, materials=tuple(materials))

        return change

    airy, dense = (fill_up(filling_of(text, tight(share))) for share in (1.0, 1e-3))
    (found,) = airy.shut_in
    assert found.y == pytest.approx(0.050)
    assert found.volume == pytest.approx(0.030 * 0.030 * 0.020, rel=0.01)
    late = [order(f, "dome")[0] - order(f, "feeder")[0] for f in (airy, dense)]
    assert late[0] < 0.0 < late[1] or np.isnan(late[1])


def test_frozen_metal_takes_no_more():
    filling = filling_of(vessel(0))
    grid = filling.model.section.grid
    for _ in range(30):
        filling.advance(filling.next_duration(), np.zeros(grid.shape))
    high = np.nanmax(np.where(np.isfinite(filling.fill_time), grid.y_centers[:, None], np.nan))
    frozen = np.where(np.isfinite(filling.fill_time), 1.0, 0.0)
    frozen.flat[filling.mouth_cells] = 0.0
    filling.advance(filling.next_duration(), frozen)
    after = np.nanmax(np.where(np.isfinite(filling.fill_time), grid.y_centers[:, None], np.nan))
    assert after == high
    filling.advance(filling.next_duration(), np.ones(grid.shape))
    assert filling.over


def test_a_heavier_casting_than_the_section_fills_slower():
    light = fill_up(lossless(filling_of(vessel(0))))
    weight = light.volume * light.model.materials[light.model.metal].density
    heavy = vessel(0).replace(
        "[gating.basin]", f'[gating]\nweight = "{2 * weight} kg"\n[gating.basin]'
    )
    assert fill_up(lossless(filling_of(heavy))).time == pytest.approx(2.0 * light.time, rel=2e-3)


@pytest.mark.parametrize(("x", "first"), [(0, "left pit"), (120, "right pit")])
def test_metal_falls_into_the_pit_under_its_gate(x, first):
    text = CASE.format(cell=2, depth=20, pour="")
    text += box("left pit", 0, 0, 40, 40) + box("right pit", 80, 0, 120, 40)
    text += box("bridge", 0, 40, 120, 60) + GATING.format(basin=40, top=100, wide=2000)
    filling = fill_up(filling_of(text + ingate("bridge", x, 41, 100)))
    one, other = order(filling, "left pit", "right pit")
    assert (one < other) == (first == "left pit")
    assert not filling.met
