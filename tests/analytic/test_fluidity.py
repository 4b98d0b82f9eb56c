"""How far metal runs in a channel of cold mold, against the one-dimensional fluidity relation.

Problem: metal that freezes over a range rises at a steady speed V in a channel of half width a,
between sand at T0 that takes heat through a conductance h, until its front is solid to the share
at which it stops. Solution for a front that goes on meeting cold sand:

    L = a V / h * integral of rho dH / (T - T0) * (1 + B / 2),   B = h sqrt(pi X / V) / b

with b the heat diffusivity sqrt(k rho c) of the sand and X the length of the front over which the
metal mixes, the one constant that is not known beforehand. Its range of temperature is small in
the book, which takes the heat over one mean T - T0. Source: M. C. Flemings 1974, Solidification
Processing, chapter 7; from memory.

Metal comes in by the lowest cell at the middle of the channel, however fine the cells are.
"""

import math

import pytest
from pouring import alloy_card, pour, sand_card

DENSITY, HEAT, LATENT = 2500.0, 1000.0, 390e3  # kg/m3, J/kgK, J/kg; chosen
SOLIDUS, LIQUIDUS, COLD, STOP = 560.0, 610.0, 20.0, 0.3  # °C and solid fraction; chosen
HALF_WIDTH, LENGTH, SPEED, CONDUCTANCE = 0.003, 0.45, 0.05, 1000.0  # m, m, m/s, W/m2K; chosen
SAND_HEAT = 1.6e6  # J/m3K; about that of sand
MIXING = 0.050  # m: X from one run on four cells, b = 1600 W s^1/2/m2K and 690 °C
CHANNEL = f"""
title = "A channel"
[section]
cell = "{{cell}} m"
[pour]
alloy = "metal"
temperature = "{{hot}} °C"
time = "{LENGTH / SPEED} s"
[mold]
sand = "sand"
temperature = "{COLD} °C"
box = {{{{ from = ["0 m", "0 m"], to = ["0.04 m", "{LENGTH} m"] }}}}
[[part]]
name = "channel"
role = "casting"
rectangle = {{{{ from = ["0 m", "0 m"], to = ["{HALF_WIDTH} m", "{LENGTH} m"] }}}}
[boundary]
left = "symmetry"
right = "insulated"
bottom = "insulated"
top = "insulated"
[[interface]]
between = ["metal", "sand"]
conductance = "{CONDUCTANCE} W/m2K"
"""


def run_length(hot, diffusivity, cells=1):
    """Length that the metal comes to, [m], on so many cells across the half width."""
    metal = alloy_card(
        "metal", [(100.0, HEAT, DENSITY)] * 3, LATENT, ("linear", [SOLIDUS, LIQUIDUS], "")
    )
    sand = sand_card("sand", diffusivity**2 / SAND_HEAT, SAND_HEAT / 1600.0, 1600.0)
    case = CHANNEL.format(hot=hot, cell=HALF_WIDTH / cells)
    fill = pour(case + metal + f"coherency = {STOP}\n" + sand).fill
    return LENGTH * fill.filled / fill.volume


def relation(hot, diffusivity):
    """Length by the fluidity relation, [m]; hot in °C, heat diffusivity in W s^1/2/m2K."""
    freezing = LIQUIDUS - SOLIDUS
    stop = LIQUIDUS - STOP * freezing
    heat = HEAT * math.log((hot - COLD) / (LIQUIDUS - COLD))
    heat += (HEAT + LATENT / freezing) * math.log((LIQUIDUS - COLD) / (stop - COLD))
    b = CONDUCTANCE * math.sqrt(math.pi * MIXING / SPEED) / diffusivity
    return HALF_WIDTH * SPEED * DENSITY * heat / CONDUCTANCE * (1.0 + b / 2.0)


@pytest.fixture(scope="module")
def lengths():
    """Lengths [m] by superheat, for three sands."""
    cases = [(hot, b) for hot in (640.0, 690.0, 740.0) for b in (800.0, 1600.0, 3200.0)]
    return {case: run_length(*case) for case in cases}


def test_lengths_are_those_of_the_relation(lengths):
    """Within 15 %: cells are 2 % of the shortest length, and X is one for three sands."""
    for case, length in lengths.items():
        assert length < 0.95 * LENGTH
        assert length == pytest.approx(relation(*case), rel=0.15)


def test_finer_cells_across_give_the_same_length():
    """On four cells within the same 15 %: the middle, which stops last, is h (T - T0) a / 6 k =
    3 K hotter than the mean, with a tenth of the heat that is given off on the way."""
    for case in ((640.0, 800.0), (690.0, 1600.0), (740.0, 3200.0)):
        assert run_length(*case, cells=4) == pytest.approx(relation(*case), rel=0.15)


def test_length_grows_in_a_line_with_superheat(lengths):
    """As the integral grows with it, in the same sand: within 10 % (6 found)."""
    for b in (800.0, 1600.0, 3200.0):
        for hot in (640.0, 740.0):
            grown = relation(hot, b) / relation(690.0, b)
            assert lengths[hot, b] / lengths[690.0, b] == pytest.approx(grown, rel=0.10)


def test_length_falls_with_the_heat_diffusivity_of_the_mold(lengths):
    for hot in (640.0, 690.0, 740.0):
        assert lengths[hot, 800.0] > 1.1 * lengths[hot, 1600.0] > 1.21 * lengths[hot, 3200.0]
