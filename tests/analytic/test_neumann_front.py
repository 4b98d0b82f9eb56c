"""Freezing of superheated melt from a wall held cold.

Problem: half-space of melt at Ti > Tm, wall at T0, own constants for solid and liquid, equal
density. Solution: front s = 2 r sqrt(alpha_s t) with, nu = sqrt(alpha_s/alpha_l),
r sqrt(pi) = c_s (Tm - T0)/L [exp(-r^2)/erf r
             - k_l/k_s nu (Ti - Tm)/(Tm - T0) exp(-nu^2 r^2)/erfc(nu r)].
Source: Carslaw & Jaeger 1959 §11.2.
"""

import numpy as np
import pytest
from exact.medium import Medium
from exact.similarity import Neumann
from pouring import alloy_card, bar_case, pour, solid_length

KELVIN = 273.15
UNIT = Medium(1.0, 1.0, 1.0)


@pytest.fixture
def water(check_values):
    values = check_values["neumann_water"]
    temperatures = (values[key] for key in ("wall", "melting", "start"))
    solid, liquid = Medium(*values["solid"]), Medium(*values["liquid"])
    return Neumann(solid, liquid, values["latent_heat"], *temperatures)


def pour_water(water, cells, duration, length=0.5):
    changes = ("isothermal", [water.melting], "")
    card = alloy_card("metal", [water.solid, water.liquid], water.latent_heat, changes)
    wall = f'{{ temperature = "{water.wall} °C" }}'
    return pour(bar_case(card, length / cells, cells, water.start, wall, duration))


def test_roots(check_values, water):
    values = check_values["neumann"]
    found = [
        Neumann(UNIT, UNIT, 1 / number, 0.0, 1.0, 1.0 + heat).root
        for number, heat in zip(values["stefan_number"], values["superheat"], strict=True)
    ]
    assert found == pytest.approx(values["root"], abs=1e-6)
    assert water.root == pytest.approx(check_values["neumann_water"]["root"], abs=1e-6)
    published = check_values["neumann_water"]["front_after_one_day"]
    assert 1e3 * water.front(86400.0) == pytest.approx(published, abs=1e-3)


def test_front_and_profile(water):
    run = pour_water(water, 200, 86400.0)
    assert solid_length(run) == pytest.approx(water.front(86400.0), rel=5e-3)
    exact = water.temperature(run.section.grid.x_centers, 86400.0)
    miss = run.fields["temperature"][0] - KELVIN - exact
    assert np.sqrt(np.mean(miss**2)) <= 5e-3 * (water.start - water.wall)


def test_front_at_every_frame(water):
    """Once two cells are frozen the front stays within half a cell of its place at any time."""
    run = pour_water(water, 200, 86400.0)
    fronts = np.array([solid_length(run, n) for n in range(run.frames.times.size)])
    exact = water.front(run.frames.times)
    cell = run.section.grid.dx[0]
    late = exact > 2 * cell
    assert np.max(np.abs(fronts - exact)[late]) <= 0.5 * cell


@pytest.mark.slow
def test_front_converges(water):
    """To first order: conductances are kept over a step, and ice conducts four times as water, so
    that the front lags by up to a fifth of a cell.
    """
    misses = [
        abs(solid_length(pour_water(water, cells, 86400.0)) / water.front(86400.0) - 1)
        for cells in (100, 200, 400, 800)
    ]
    assert misses == sorted(misses, reverse=True)
    assert misses[-1] <= 1e-3
