"""Order of the scheme in space, for smooth fields that decay as one mode.

Problem: T = T0 + B M(x, y) exp(-s t) with a mode M of the conduction operator, started from the
exact field; the latent heat is so small that steps are short, and no cell comes near freezing.
Modes: product of sines beside cold walls and insulated ones; Bessel's J0 in the round view
(Carslaw & Jaeger 1959 §5.6, §7.6); cosine and sine in two layers with a thermal resistance
between them, -k1 T1' = -k2 T2' = H (T1 - T2) (§12.8).
Asked: the largest error falls at least with the 1.9th power of the cell size.
"""

from dataclasses import replace
from math import cos, pi, sin, sqrt

import numpy as np
from exact.medium import Medium
from pouring import alloy_card, pour
from scipy.optimize import brentq
from scipy.special import j0, jn_zeros

METAL, BLOCK = Medium(30.0, 700.0, 7000.0), Medium(60.0, 500.0, 7800.0)
MIDDLE, SWING, KELVIN = 1200.0, 100.0, 273.15
TINY_LATENT_HEAT = 1.0e3  # J/kg
ORDER = 1.9


def observed_order(errors):
    """Least order between neighbors of a series at grid ratio two."""
    return np.min(np.log2(np.array(errors[:-1]) / np.array(errors[1:])))


def error_of_mode(case, mode, rate, duration):
    """Largest error at the end as a share of the swing at the start."""

    def prepare(model):
        grid = model.section.grid
        start = MIDDLE + SWING * mode(*np.meshgrid(grid.x_centers, grid.y_centers)) + KELVIN
        h = np.zeros(grid.shape)
        for m, material in enumerate(model.materials):
            here = model.material_index == m
            h[here] = material.curve.enthalpy_at(start[here])
        return replace(model, initial_enthalpy=h)

    run = pour(case, prepare)
    grid = run.section.grid
    shape = mode(*np.meshgrid(grid.x_centers, grid.y_centers))
    found = (run.fields["temperature"] - KELVIN - MIDDLE) / SWING
    return np.max(np.abs(found - shape * np.exp(-rate * duration)))


def case_of(view, cell, width, height, sides, duration, more=""):
    extent = f'{{ from = ["0 m", "0 m"], to = ["{width:.12g} m", "{height:.12g} m"] }}'
    boundary = "\n".join(f"{side} = {what}" for side, what in sides.items())
    return f"""
title = "A mode that decays"
[section]
view = "{view}"
cell = "{cell:.12g} m"
[pour]
alloy = "metal"
temperature = "{MIDDLE} °C"
[mold]
box = {extent}
[[part]]
name = "melt"
role = "casting"
rectangle = {extent}
{more}
[boundary]
{boundary}
[cooling]
shake_out = "{duration:.12g} s"
{alloy_card("metal", [METAL, METAL], TINY_LATENT_HEAT, ("isothermal", [100.0], ""))}
"""


COLD, INSULATED = f'{{ temperature = "{MIDDLE} °C" }}', '"insulated"'


def test_sines_between_cold_and_insulated_walls():
    width, height = 0.08, 0.06
    sides = {"left": COLD, "bottom": COLD, "right": INSULATED, "top": INSULATED}
    u, v = pi / (2 * width), pi / (2 * height)
    rate = METAL.diffusivity * (u**2 + v**2)
    duration = 0.5 / rate
    errors = [
        error_of_mode(
            case_of("upright", height / n, width, height, sides, duration),
            lambda x, y: np.sin(u * x) * np.sin(v * y),
            rate,
            duration,
        )
        for n in (6, 12, 24, 48)
    ]
    assert observed_order(errors) >= ORDER


def test_bessel_mode_in_the_round_view():
    radius = 0.05
    sides = {"left": '"symmetry"', "right": COLD, "bottom": INSULATED, "top": INSULATED}
    u = jn_zeros(0, 1)[0] / radius
    rate = METAL.diffusivity * u**2
    duration = 0.5 / rate
    errors = [
        error_of_mode(
            case_of("round", radius / n, radius, radius / n, sides, duration),
            lambda r, z: j0(u * r),
            rate,
            duration,
        )
        for n in (8, 16, 32, 64)
    ]
    assert observed_order(errors) >= ORDER


def test_two_layers_with_a_resistance_between():
    length, thickness, conductance = 0.04, 0.02, 2000.0
    total = length + thickness

    def numbers(rate):
        return sqrt(rate / METAL.diffusivity), sqrt(rate / BLOCK.diffusivity)

    def gap(rate):
        """Heat into the joint times the outer profile, less heat through it."""
        u, v = numbers(rate)
        into, out = METAL.conductivity * u * sin(u * length), BLOCK.conductivity * v
        a, b = cos(u * length), sin(v * thickness)
        return out * cos(v * thickness) * (into - conductance * a) + conductance * into * b

    rate = brentq(gap, 1e-8, (pi / (2 * length)) ** 2 * METAL.diffusivity)
    u, v = numbers(rate)
    share = METAL.conductivity * u * sin(u * length)
    share /= BLOCK.conductivity * v * cos(v * thickness)

    def mode(x, y):
        return np.where(x < length, np.cos(u * x), share * np.sin(v * (total - x)))

    sides = {"left": '"symmetry"', "right": COLD, "bottom": INSULATED, "top": INSULATED}
    duration = 0.5 / rate

    def layered(cell):
        chill = f"""
[[part]]
name = "block"
role = "chill"
material = "block"
rectangle = {{ from = ["{length} m", "0 m"], to = ["{total:.12g} m", "{cell:.12g} m"] }}
[[interface]]
between = ["metal", "block"]
conductance = "{conductance} W/m2K"
[material.block]
kind = "chill"
title = "block"
density = "{BLOCK.density} kg/m3"
specific_heat = "{BLOCK.specific_heat} J/kgK"
conductivity = "{BLOCK.conductivity} W/mK"
emissivity = 0.8
"""
        return case_of("upright", cell, total, cell, sides, duration, chill)

    errors = [error_of_mode(layered(length / n), mode, rate, duration) for n in (8, 16, 32, 64)]
    assert observed_order(errors) >= ORDER


def test_conductivity_and_heat_that_rise_together():
    """k and c both go with 1 + w, w = slope (T - 1200 °C): the enthalpy obeys the linear equation
    whatever the swing (Kirchhoff's transform, Carslaw & Jaeger 1959 §2.16), here while the
    conductivity of the melt falls from 1.5 to 0.6 of its middle.
    """
    slope, length, cells = 5e-3, 0.048, 48
    u = 1.5 * pi / length  # three quarters of a wave, from a cold wall to an insulated one
    rate = METAL.diffusivity * u**2
    duration = 0.5 / rate

    def temperature(x, time):
        heat = 0.6 * slope * SWING * np.sin(u * x) * np.exp(-rate * time)
        return MIDDLE + (np.sqrt(1 + 2 * heat) - 1) / slope  # w + w^2/2 = heat

    def prepare(model):
        curve = model.materials[model.metal].curve
        start = temperature(model.section.grid.x_centers, 0.0)
        return replace(model, initial_enthalpy=curve.enthalpy_at(start + KELVIN)[None, :])

    def rising(value, unit):
        ends = [(at, value * (1 + slope * (at - MIDDLE))) for at in (1010, 1390)]
        rows = ", ".join(f'["{at} °C", "{found} {unit}"]' for at, found in ends)
        return f'{{ table = [{rows}], source = "the check", grade = "handbook" }}'

    sides = {"left": COLD, "right": INSULATED, "bottom": INSULATED, "top": INSULATED}
    case = case_of("upright", length / cells, length, length / cells, sides, duration)
    case = case.replace(f'"{METAL.conductivity} W/mK"', rising(METAL.conductivity, "W/mK"))
    case = case.replace(f'"{METAL.specific_heat} J/kgK"', rising(METAL.specific_heat, "J/kgK"))
    run = pour(case, prepare)
    found = run.fields["temperature"][0] - KELVIN
    exact = temperature(run.section.grid.x_centers, duration)
    assert np.max(np.abs(found - exact)) <= 2e-3 * SWING
