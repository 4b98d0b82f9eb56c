"""Cooling of a long cylinder by convection in the round view, no phase change.

Problem: cylinder of radius a at T1, surroundings at T0, Bi = h a/k. Solution: sum over the roots
of z J1(z) = Bi J0(z) of 2 J1(z)/(z (J0^2 + J1^2)) J0(z r/a) exp(-z^2 alpha t/a^2). Source:
Carslaw & Jaeger 1959 §7.7. The metal is a melt that never reaches its melting temperature.
"""

import numpy as np
import pytest
from exact.medium import Medium
from exact.series import cylinder_roots, cylinder_temperature
from pouring import alloy_card, pour

METAL = Medium(30.0, 700.0, 7000.0)
START, AROUND, KELVIN, RADIUS, CELLS = 1500.0, 600.0, 273.15, 0.03, 100


def test_first_root(check_values):
    known = check_values["biot"]["cylinder_root"]
    assert cylinder_roots(1.0)[0] == pytest.approx(known, abs=5e-5)


@pytest.mark.parametrize("biot", [0.1, 1.0, 10.0])
@pytest.mark.parametrize("fourier", [0.05, 0.4])
def test_profile(biot, fourier):
    duration = fourier * RADIUS**2 / METAL.diffusivity
    coefficient = biot * METAL.conductivity / RADIUS
    corner = f'["{RADIUS} m", "{RADIUS / CELLS:.12g} m"]'
    run = pour(f"""
title = "A long cylinder in moving air"
[section]
view = "round"
cell = "{RADIUS / CELLS:.12g} m"
[pour]
alloy = "metal"
temperature = "{START} °C"
[mold]
box = {{ from = ["0 m", "0 m"], to = {corner} }}
[[part]]
name = "cylinder"
role = "casting"
rectangle = {{ from = ["0 m", "0 m"], to = {corner} }}
[boundary]
left = "symmetry"
right = {{ ambient = "{AROUND} °C", coefficient = "{coefficient} W/m2K", emissivity = 0 }}
bottom = "insulated"
top = "insulated"
[cooling]
shake_out = "{duration:.12g} s"
{alloy_card("metal", [METAL, METAL], 2e5, ("isothermal", [100.0], ""))}
""")
    r = run.section.grid.x_centers / RADIUS
    exact = np.array([cylinder_temperature(at, fourier, biot) for at in r])
    found = (run.fields["temperature"][0] - KELVIN - AROUND) / (START - AROUND)
    assert found == pytest.approx(exact, abs=2e-3)
