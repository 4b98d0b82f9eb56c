"""Freezing over a range of temperature: solid, mush and liquid.

Problem: melt at Ti, wall at T0; between solidus and liquidus the latent heat is freed evenly with
temperature, but for a share at the solidus. Solution: error functions in the three regions,
joined by the heat balance at both isotherms. Source: Carslaw & Jaeger 1959 §11.2.
"""

import numpy as np
import pytest
from exact.medium import Medium
from exact.similarity import FreezingRange
from pouring import alloy_card, bar_case, pour

KELVIN, DURATION = 273.15, 60.0
NAMES = ["aluminum alloy, even", "aluminum alloy, a tenth eutectic", "steel"]


def freezing_range(check_values, name):
    values = next(entry for entry in check_values["freezing_range"] if entry["name"] == name)
    media = (Medium(*values[key]) for key in ("solid", "mush", "liquid"))
    rest = ("latent_heat", "eutectic", "wall", "solidus", "liquidus", "start")
    return values, FreezingRange(*media, *(values[key] for key in rest))


def place_of(run, temperature):
    """Where an isotherm stands, linear between cell middles [m]."""
    return float(
        np.interp(temperature, run.fields["temperature"][0] - KELVIN, run.section.grid.x_centers)
    )


@pytest.mark.parametrize("name", NAMES)
def test_roots(check_values, name):
    values, exact = freezing_range(check_values, name)
    assert exact.roots == pytest.approx(values["roots"], abs=1e-6)
    found = [1e3 * place for place in exact.isotherms(DURATION)]
    assert found == pytest.approx(values["isotherms_60_s"], abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_isotherms(check_values, name):
    _, exact = freezing_range(check_values, name)
    changes = [exact.solidus, exact.liquidus]
    curve = ("linear", changes, f", eutectic_share = {exact.eutectic}")
    phases = [exact.solid, exact.mush, exact.liquid]
    card = alloy_card("metal", phases, exact.latent_heat, curve)
    wall = f'{{ temperature = "{exact.wall} °C" }}'
    solidus, liquidus = exact.isotherms(DURATION)
    cell = round(liquidus / 60, 6)
    run = pour(bar_case(card, cell, 360, exact.start, wall, DURATION))
    assert place_of(run, exact.liquidus) == pytest.approx(liquidus, rel=0.01)
    assert place_of(run, exact.solidus) == pytest.approx(solidus, rel=0.01)
