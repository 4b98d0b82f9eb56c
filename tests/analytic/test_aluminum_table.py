"""Sixteen published temperatures of aluminum that freezes from a cold wall.

Problem: bar of 0.1 m, aluminum at 740 °C, wall at 580 °C, melting at 660 °C, own constants for
solid and liquid. Source: code_aster validation manual V4.22.002 (TTNL02), whose table belongs to
Neumann's solution with a latent heat of 9.0048e8 J/m3; the 1.08048e9 J/m3 that the manual states
holds 60 K of the solid's sensible heat as well, and gives other temperatures. Cells are 0.25 mm,
as the point at 5 mm and 1 s stands 0.12 mm from the front.
"""

import numpy as np
import pytest
from exact.medium import Medium
from exact.similarity import Neumann
from pouring import alloy_card, bar_case, pour, probe_at

KELVIN, DENSITY = 273.15, 1000.0  # volumetric heats are given; any density serves
CELL, CELLS = 0.25e-3, 400


def aluminum(values, latent_heat):
    solid, liquid = (
        Medium(k, heat / DENSITY, DENSITY) for k, heat in (values["solid"], values["liquid"])
    )
    temperatures = (values[key] for key in ("wall", "melting", "start"))
    return Neumann(solid, liquid, values[latent_heat] / DENSITY, *temperatures)


def pour_aluminum(values, latent_heat):
    exact = aluminum(values, latent_heat)
    changes = ("isothermal", [exact.melting], "")
    card = alloy_card("metal", [exact.solid, exact.liquid], exact.latent_heat, changes)
    probes = "".join(
        f'[[probe]]\nname = "{place}"\nat = ["{place} mm", "{CELL / 2} m"]\n'
        for place in values["places"]
    )
    wall = f'{{ temperature = "{exact.wall} °C" }}'
    duration = values["times"][-1]
    return pour(bar_case(card, CELL, CELLS, exact.start, wall, duration, probes))


def test_table_belongs_to_the_corrected_latent_heat(check_values):
    values = check_values["aluminum_table"]
    exact = aluminum(values, "latent_heat")
    places = np.array(values["places"]) / 1e3
    found = [exact.temperature(places, time) for time in values["times"]]
    assert np.array(found) == pytest.approx(np.array(values["temperatures"]), abs=0.01)
    assert exact.root == pytest.approx(values["root"], abs=1e-4)


def test_stated_latent_heat_gives_other_temperatures(check_values):
    values = check_values["aluminum_table"]
    stated = aluminum(values, "stated_latent_heat")
    assert stated.root == pytest.approx(values["stated_root"], abs=1e-6)
    found = float(stated.temperature(0.005, 1.0))
    assert found == pytest.approx(values["stated_temperature_5_mm_1_s"], abs=0.01)


def test_sixteen_temperatures(check_values):
    values = check_values["aluminum_table"]
    run = pour_aluminum(values, "latent_heat")
    found = [
        [probe_at(run, str(place), time) - KELVIN for place in values["places"]]
        for time in values["times"]
    ]
    assert np.array(found) == pytest.approx(np.array(values["temperatures"]), abs=1.0)


def test_solver_tells_the_two_latent_heats_apart(check_values):
    values = check_values["aluminum_table"]
    run = pour_aluminum(values, "stated_latent_heat")
    found = probe_at(run, "5.0", 1.0) - KELVIN
    assert found == pytest.approx(values["stated_temperature_5_mm_1_s"], abs=1.0)
