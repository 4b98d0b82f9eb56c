"""Freezing time goes with the square of the modulus (volume over cooling surface).

Problem: textbook exercises on Chvorinov's rule t = B (V/A)^2; and metal that stays at its melting
temperature in thick sand, whose latent heat per surface equals what the sand takes up: plate
beta = 2 s/sqrt(pi), sphere beta = s (2/sqrt(pi) + 1/(3 beta)) exactly, cylinder by the flux
integral of Carslaw & Jaeger 1959 §13.5, with beta = (V/A)/sqrt(alpha_m t) and
s = (Tm - T0) (rho c)_mold/(rho L)_metal. Sources: N. Chvorinov 1940, Giesserei 27:177; Flemings
1974 ch. 1; Poirier & Geiger 1994 ch. 10; the exercises name theirs in shared/check_values.toml.
"""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from exact.chvorinov import (
    SandFreezing,
    cylinder_beta,
    cylinder_beta_formula,
    plate_beta,
    sphere_beta,
)
from exact.medium import Medium
from pouring import alloy_card, pour, sand_card

from solidsim.sizing import modulus as sizing

SAND = Medium(0.6, 1170.0, 1500.0)
RADIUS, CELLS, COLD, MELTING = 0.02, 40, 25.0, 660.0
KELVIN = 273.15
CONDUCTIVITY = 2e4  # W/mK: the metal is isothermal but for a thousandth of its fall to the sand


def rounded(value, printed):
    """Equal to the last printed digit."""
    digits = len(repr(printed).partition(".")[2])
    return value == pytest.approx(printed, abs=0.5 * 10.0**-digits * 1.0001)


def test_plate_and_its_feeder(check_values):
    values = check_values["chvorinov_plate"]
    plate = sizing.block_modulus(*values["sides_cm"])
    assert rounded(plate, values["modulus_cm"])
    constant = sizing.mold_constant(plate, values["minutes"])
    assert rounded(constant, values["constant"])
    diameter = values["feeder_diameter_cm"]  # as high as wide
    feeder = sizing.freezing_time(sizing.cylinder_modulus(diameter, diameter), constant)
    assert feeder == pytest.approx(values["feeder_minutes"], rel=2 * 0.05 / diameter)


def test_steel_plate(check_values):
    values = check_values["chvorinov_steel_plate"]
    plate = sizing.block_modulus(*values["sides_cm"])
    assert rounded(sizing.freezing_time(plate, values["constant"]), values["minutes"])


def test_aluminum_disk(check_values):
    values = check_values["chvorinov_disk"]
    disk = sizing.cylinder_modulus(values["diameter_mm"], values["thickness_mm"])
    assert rounded(sizing.freezing_time(disk, values["constant"]), values["seconds"])


def test_cube_gives_the_constant_for_a_cylinder(check_values):
    values = check_values["chvorinov_cube"]
    cube = sizing.block_modulus(*[values["side_mm"]] * 3)
    constant = sizing.mold_constant(cube, values["seconds"])
    assert rounded(constant, values["constant"])
    cylinder = sizing.cylinder_modulus(*values["cylinder_mm"])
    assert rounded(sizing.freezing_time(cylinder, constant), values["cylinder_seconds"])


def test_shapes_of_unit_volume(check_values):
    values = check_values["chvorinov_shapes"]
    ball, bar = (6 / pi) ** (1 / 3), (4 / pi) ** (1 / 3)  # diameters
    moduli = {
        "sphere": sizing.sphere_modulus(ball),
        "cube": sizing.block_modulus(1.0, 1.0, 1.0),
        "cylinder": sizing.cylinder_modulus(bar, bar),
    }
    for shape, modulus in moduli.items():
        assert rounded(sizing.freezing_time(modulus, 1.0), values[shape])


def test_constants_of_sand(check_values):
    """From the closed form here and from the founder's sizing rule, which share no code."""
    values = check_values["sand_freezing"]
    metals = zip(
        *(values[key] for key in ("density", "latent_heat", "melting", "rate", "constant")),
        strict=True,
    )
    sand, cold = Medium(*values["medium"]), values["cold"]
    for density, latent_heat, melting, rate, constant in metals:
        exact = SandFreezing(sand, density, latent_heat, melting, cold)
        assert 1e3 * exact.plate_rate == pytest.approx(rate, abs=6e-5)
        temperatures = melting + KELVIN, cold + KELVIN
        ruled = sizing.sand_mold_constant(
            *temperatures, density, latent_heat, sand.conductivity, sand.density, sand.specific_heat
        )
        assert ruled == pytest.approx(1 / exact.plate_rate**2, rel=1e-12)
        assert ruled / 60e4 == pytest.approx(constant, abs=6e-4)  # min/cm2


def test_round_bars_freeze_sooner_than_the_short_time_form_says(check_values):
    values = check_values["sand_shapes"]
    found = [cylinder_beta(share) for share in values["share"]]
    assert found == pytest.approx(values["cylinder"], abs=2e-4)
    formula = [cylinder_beta_formula(share) for share in values["share"]]
    assert formula == pytest.approx(values["cylinder_formula"], abs=1e-4)


def sand_freezing(share):
    """Metal whose latent heat makes the mold's share what is asked."""
    unit = SandFreezing(SAND, 2560.0, 1.0, MELTING, COLD)
    return replace(unit, latent_heat=unit.share / share)


def pour_in_round_sand(freezing, shape, top, sand_depth):
    metal = Medium(CONDUCTIVITY, 1090.0, freezing.metal_density)
    box_top = top if top < RADIUS else RADIUS + sand_depth
    return pour(f"""
title = "A round body in thick sand"
[section]
view = "round"
cell = "{RADIUS / CELLS:.12g} m"
[pour]
alloy = "metal"
temperature = "{MELTING} °C"
[mold]
sand = "sand"
temperature = "{COLD} °C"
box = {{ from = ["0 m", "0 m"], to = ["{RADIUS + sand_depth:.12g} m", "{box_top:.12g} m"] }}
[[part]]
name = "body"
role = "casting"
{shape}
[boundary]
left = "symmetry"
right = "insulated"
bottom = "symmetry"
top = "insulated"
[[interface]]
between = ["metal", "sand"]
conductance = "perfect"
{alloy_card("metal", [metal, metal], freezing.latent_heat, ("isothermal", [MELTING], ""))}
{sand_card("sand", *SAND)}
""")


@pytest.mark.parametrize("share", [0.5, 1.0, 2.0])
def test_long_cylinder_in_sand(share):
    freezing = sand_freezing(share)
    height = RADIUS / CELLS
    shape = f'rectangle = {{ from = ["0 m", "0 m"], to = ["{RADIUS} m", "{height:.12g} m"] }}'
    run = pour_in_round_sand(freezing, shape, height, 0.2)
    exact = freezing.time_of(RADIUS / 2, cylinder_beta(share))
    assert np.nanmax(run.fields["freezing_time"]) == pytest.approx(exact, rel=0.01)


def test_ball_in_sand():
    freezing = sand_freezing(1.0)
    shape = f'circle = {{ center = ["0 m", "0 m"], radius = "{RADIUS} m" }}'
    run = pour_in_round_sand(freezing, shape, RADIUS, 0.1)
    exact = freezing.time_of(RADIUS / 3, sphere_beta(1.0))
    assert np.nanmax(run.fields["freezing_time"]) == pytest.approx(exact, rel=0.01)


def test_order_of_plate_cylinder_and_ball():
    """At equal modulus round bodies freeze sooner: more sand stands around each face."""
    cylinder_ratio, ball_ratio = (
        (plate_beta(1.0) / beta) ** 2 for beta in (cylinder_beta(1.0), sphere_beta(1.0))
    )
    assert ball_ratio < cylinder_ratio < 1.0
    assert ball_ratio == pytest.approx(0.677, abs=1e-3)
