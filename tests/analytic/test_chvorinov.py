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
    chvorinov_constant,
    chvorinov_time,
    cylinder_beta,
    cylinder_beta_formula,
    plate_beta,
    sphere_beta,
)
from exact.medium import Medium
from pouring import alloy_card, pour, sand_card

SAND = Medium(0.6, 1170.0, 1500.0)
RADIUS, CELLS, COLD, MELTING = 0.02, 24, 25.0, 660.0
CONDUCTIVITY = 4000.0  # W/mK: the shell's own resistance is a few thousandths of the sand's


def block(sides):
    a, b, c = sides
    return a * b * c, 2 * (a * b + b * c + c * a)


def cylinder(diameter, height):
    return pi / 4 * diameter**2 * height, pi * diameter * (diameter / 2 + height)


def rounded(value, printed):
    """Equal to the last printed digit."""
    digits = len(repr(printed).partition(".")[2])
    return value == pytest.approx(printed, abs=0.5 * 10.0**-digits * 1.0001)


def test_plate_and_its_feeder(check_values):
    values = check_values["chvorinov_plate"]
    volume, surface = block(values["sides_cm"])
    assert rounded(volume / surface, values["modulus_cm"])
    constant = chvorinov_constant(volume, surface, values["minutes"])
    assert rounded(constant, values["constant"])
    diameter = 6 * np.sqrt(values["feeder_minutes"] / constant)  # a cylinder's modulus is D/6
    assert rounded(diameter, values["feeder_diameter_cm"])
    assert cylinder(diameter, diameter)[0] == pytest.approx(values["feeder_volume_cm3"], rel=2e-3)


def test_steel_plate(check_values):
    values = check_values["chvorinov_steel_plate"]
    found = chvorinov_time(*block(values["sides_cm"]), values["constant"])
    assert rounded(found, values["minutes"])


def test_aluminum_disk(check_values):
    values = check_values["chvorinov_disk"]
    size = cylinder(values["diameter_mm"], values["thickness_mm"])
    assert rounded(chvorinov_time(*size, values["constant"]), values["seconds"])


def test_cube_gives_the_constant_for_a_cylinder(check_values):
    values = check_values["chvorinov_cube"]
    constant = chvorinov_constant(*block([values["side_mm"]] * 3), values["seconds"])
    assert rounded(constant, values["constant"])
    found = chvorinov_time(*cylinder(*values["cylinder_mm"]), constant)
    assert rounded(found, values["cylinder_seconds"])


def test_shapes_of_unit_volume(check_values):
    values = check_values["chvorinov_shapes"]
    radius, diameter = (3 / (4 * pi)) ** (1 / 3), (4 / pi) ** (1 / 3)
    assert rounded(chvorinov_time(1.0, 4 * pi * radius**2, 1.0), values["sphere"])
    assert rounded(chvorinov_time(*block([1.0] * 3), 1.0), values["cube"])
    assert rounded(chvorinov_time(*cylinder(diameter, diameter), 1.0), values["cylinder"])


def test_constants_of_sand(check_values):
    values = check_values["sand_freezing"]
    metals = zip(values["density"], values["latent_heat"], values["melting"], strict=True)
    freezing = [SandFreezing(Medium(*values["medium"]), *metal, values["cold"]) for metal in metals]
    rates = [metal.plate_rate for metal in freezing]  # m/s^1/2
    assert [1e3 * rate for rate in rates] == pytest.approx(values["rate"], abs=6e-5)
    minutes = [1 / (60 * (100 * rate) ** 2) for rate in rates]
    assert minutes == pytest.approx(values["constant"], abs=6e-4)


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
cell = "{RADIUS / CELLS!r} m"
[pour]
alloy = "metal"
temperature = "{MELTING} °C"
[mold]
sand = "sand"
temperature = "{COLD} °C"
box = {{ from = ["0 m", "0 m"], to = ["{RADIUS + sand_depth!r} m", "{box_top!r} m"] }}
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
    shape = f'rectangle = {{ from = ["0 m", "0 m"], to = ["{RADIUS} m", "{height!r} m"] }}'
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
