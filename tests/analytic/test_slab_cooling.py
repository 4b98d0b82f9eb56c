"""Cooling of a slab by convection, no phase change.

Problem: slab of half thickness a at T1, surroundings at T0, Bi = h a/k. Solution: sum over the
roots of z tan z = Bi of 4 sin z/(2 z + sin 2z) cos(z x/a) exp(-z^2 alpha t/a^2). Source: Carslaw
& Jaeger 1959 §3.11. The metal is a melt that never reaches its melting temperature.
"""

import numpy as np
import pytest
from exact.medium import Medium
from exact.series import slab_roots, slab_temperature
from pouring import alloy_card, bar_case, pour, probe_at

METAL = Medium(30.0, 700.0, 7000.0)
START, AROUND, KELVIN = 1500.0, 600.0, 273.15
HALF, CELL, CELLS = 0.03, 3e-4, 100
UNFROZEN = ("isothermal", [100.0], "")


def test_first_root(check_values):
    assert slab_roots(1.0)[0] == pytest.approx(check_values["biot"]["slab_root"], abs=5e-5)


def test_series_starts_from_one():
    assert slab_temperature(0.3, 5e-3, 2.0) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("biot", [0.1, 1.0, 10.0])
def test_cooling_curves(biot):
    duration = 1.5 * HALF**2 / METAL.diffusivity
    coefficient = biot * METAL.conductivity / HALF
    around = f'{{ ambient = "{AROUND} °C", coefficient = "{coefficient} W/m2K", emissivity = 0 }}'
    places = {"middle": HALF - CELL / 2, "half way": HALF / 2, "skin": CELL / 2}
    probes = "".join(
        f'[[probe]]\nname = "{name}"\nat = ["{x} m", "{CELL / 2} m"]\n'
        for name, x in places.items()
    )
    card = alloy_card("metal", [METAL, METAL], 2e5, UNFROZEN)
    run = pour(bar_case(card, CELL, CELLS, START, around, duration, probes))
    for share in (0.05, 0.2, 1.0):
        fourier = share * duration * METAL.diffusivity / HALF**2
        for name, x in places.items():
            found = (probe_at(run, name, share * duration) - KELVIN - AROUND) / (START - AROUND)
            exact = slab_temperature(1 - x / HALF, fourier, biot)
            assert found == pytest.approx(exact, abs=2e-3), (name, share)


def test_fixed_surface():
    """Bi without limit: the profile of a slab whose face is suddenly cold."""
    duration = 0.2 * HALF**2 / METAL.diffusivity
    card = alloy_card("metal", [METAL, METAL], 2e5, UNFROZEN)
    run = pour(bar_case(card, CELL, CELLS, START, f'{{ temperature = "{AROUND} °C" }}', duration))
    x = run.section.grid.x_centers
    exact = [slab_temperature(1 - at / HALF, 0.2, 1e9) for at in x]
    found = (run.fields["temperature"][0] - KELVIN - AROUND) / (START - AROUND)
    assert found == pytest.approx(np.array(exact), abs=1e-3)
