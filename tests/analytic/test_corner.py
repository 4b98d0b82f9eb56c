"""Freezing in a corner of two cold walls.

Problem: quarter-plane of melt, both walls at Tw, equal constant properties in both phases,
(Ti - Tm)/(Tm - Tw) = 0.3 and L/(c (Tm - Tw)) = 0.25. Solution (semi-analytic): front
y = [r^m + C/(x^m - r^m)]^(1/m) in lengths over sqrt(4 alpha t), r the root of the plane front.
Source: Rathjen & Jiji 1971, J. Heat Transfer 93:101; C and m from memory.
"""

import numpy as np
import pytest
from exact.curved import Corner
from exact.medium import Medium
from exact.similarity import Neumann
from pouring import alloy_card, pour

METAL = Medium(10.0, 1000.0, 1000.0)
WALL, MELTING, SIDE, REACH = 0.0, 100.0, 0.08, 3.2  # side of the box is 3.2 sqrt(4 alpha t)
DURATION = (SIDE / REACH) ** 2 / (4 * METAL.diffusivity)


@pytest.fixture
def corner(check_values):
    values = check_values["corner"]
    return Corner(values["root"], values["constant"], values["exponent"])


def pour_corner(values, cells):
    fall = MELTING - WALL
    latent_heat = values["latent_share"] * METAL.specific_heat * fall
    card = alloy_card("metal", [METAL, METAL], latent_heat, ("isothermal", [MELTING], ""))
    square = f'{{ from = ["0 m", "0 m"], to = ["{SIDE} m", "{SIDE} m"] }}'
    return pour(f"""
title = "Corner of two cold walls"
[section]
cell = "{SIDE / cells:.12g} m"
[pour]
alloy = "metal"
temperature = "{MELTING + values["superheat"] * fall} °C"
[mold]
box = {square}
[[part]]
name = "corner"
role = "casting"
rectangle = {square}
[boundary]
left = {{ temperature = "{WALL} °C" }}
bottom = {{ temperature = "{WALL} °C" }}
right = "insulated"
top = "insulated"
[cooling]
shake_out = "{DURATION:.12g} s"
{card}
""")


def heights(run, places):
    """Front above the bottom wall at x over sqrt(4 alpha t): solid fraction summed up a column."""
    grid = run.section.grid
    columns = run.frames.solid_fraction[-1].astype(float).T @ grid.dy
    length = SIDE / REACH
    return np.interp(np.array(places) * length, grid.x_centers, columns) / length


def diagonal(run):
    """Front on the diagonal, as x over sqrt(4 alpha t)."""
    along = np.diagonal(run.frames.solid_fraction[-1]).astype(float)
    return float(along @ run.section.grid.dx) * REACH / SIDE


def test_curve(check_values, corner):
    values = check_values["corner"]
    assert corner.height(values["places"]) == pytest.approx(values["heights"], abs=1e-4)
    assert corner.diagonal == pytest.approx(values["diagonal"], abs=1e-5)
    unit = Medium(1.0, 1.0, 1.0)
    plane = Neumann(unit, unit, values["latent_share"], 0.0, 1.0, 1.0 + values["superheat"])
    assert plane.root == pytest.approx(values["root"], abs=1e-6)


@pytest.fixture(scope="module")
def run(check_values):
    return pour_corner(check_values["corner"], 160)


def test_front(check_values, corner, run):
    places = check_values["corner"]["places"]
    assert heights(run, places) == pytest.approx(corner.height(places), rel=0.015)
    assert diagonal(run) == pytest.approx(corner.diagonal, rel=0.015)


def test_front_is_alike_along_both_walls(run):
    fraction = run.frames.solid_fraction[-1]
    np.testing.assert_allclose(fraction, fraction.T, atol=1e-5)


def test_front_far_from_the_corner_is_plane(corner, run):
    assert heights(run, [3.0])[0] == pytest.approx(corner.root, rel=5e-3)
