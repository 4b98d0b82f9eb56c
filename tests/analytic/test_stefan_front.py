"""Freezing of melt at its melting temperature from a wall held cold.

Problem: half-space of melt at Tm, wall at T0, constant solid properties, Ste = c (Tm - T0)/L.
Solution: front s = 2 r sqrt(alpha t) with sqrt(pi) r exp(r^2) erf(r) = Ste, solid temperature
T0 + (Tm - T0) erf(x/2 sqrt(alpha t))/erf r. Source: Carslaw & Jaeger 1959 §11.2.
"""

import numpy as np
import pytest
from exact.medium import Medium
from exact.similarity import Neumann, stefan_root
from pouring import alloy_card, bar_case, pour, solid_length

METAL = Medium(40.0, 800.0, 7000.0)
MELTING, FALL, LENGTH = 1200.0, 400.0, 0.1
KELVIN = 273.15


def test_roots(check_values):
    values = check_values["stefan"]
    found = [stefan_root(number) for number in values["number"]]
    assert found == pytest.approx(values["root"], abs=1e-6)


@pytest.mark.parametrize("stefan_number", [0.25, 1.0, 5.0])
def test_front_and_profile(stefan_number):
    latent_heat = METAL.specific_heat * FALL / stefan_number
    exact = Neumann(METAL, METAL, latent_heat, MELTING - FALL, MELTING, MELTING)
    assert exact.root == pytest.approx(stefan_root(stefan_number), abs=1e-9)
    duration = (0.8 * LENGTH / (2 * exact.root)) ** 2 / METAL.diffusivity
    card = alloy_card("metal", [METAL, METAL], latent_heat, ("isothermal", [MELTING], ""))
    wall = f'{{ temperature = "{MELTING - FALL} °C" }}'
    run = pour(bar_case(card, LENGTH / 200, 200, MELTING, wall, duration))
    assert solid_length(run) == pytest.approx(exact.front(duration), rel=5e-3)
    miss = run.fields["temperature"][0] - KELVIN
    miss = miss - exact.temperature(run.section.grid.x_centers, duration)
    assert np.sqrt(np.mean(miss**2)) <= 5e-3 * FALL
