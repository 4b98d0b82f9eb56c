"""Freezing around a line that draws heat: the exact cylinder, in the round view.

Problem: melt at Ti around a line sink of Q W/m. Solution: front R = 2 r sqrt(alpha_s t),
Q/(4 pi) exp(-r^2) - k_l (Ti - Tm) exp(-z)/E1(z) = r^2 alpha_s rho L, z = r^2 alpha_s/alpha_l;
solid Tm - Q/(4 pi k_s) [E1(R'^2/4 alpha_s t) - E1(r^2)]. Source: S. Paterson 1952, Proc.
Glasgow Math. Assoc. 1:42; Carslaw & Jaeger 1959 §11.6.

The run starts from the exact field when the front stands at 15 cells, so that the singular line
is never met; the sink is a narrow hole whose wall looks at surroundings so cold that what it
draws is the same at any wall temperature of the run.
"""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from exact.curved import LineSink
from exact.medium import Medium
from pouring import alloy_card, pour

from solidsim.model import Boundary

KELVIN, UNIT = 273.15, Medium(1.0, 1.0, 1.0)
CELL, START, END = 0.2e-3, 15, 45  # front in cells
FAR = 1e6  # K below the melting temperature


def water(check_values, sink, superheat):
    values = check_values["neumann_water"]
    solid, liquid = Medium(*values["solid"]), Medium(*values["liquid"])
    return LineSink(solid, liquid, values["latent_heat"], sink, 0.0, superheat)


def test_roots(check_values):
    values = check_values["line_sink"]
    found = [
        LineSink(UNIT, UNIT, 1.0, sink, 0.0, heat).root
        for sink, heat in zip(values["sink"], values["superheat"], strict=True)
    ]
    assert found == pytest.approx(values["root"], abs=1e-6)


def test_fronts_in_water(check_values):
    values = check_values["line_sink"]
    problems = zip(values["water_sink"], values["water_superheat"], strict=True)
    found = [1e3 * water(check_values, *problem).front(3600.0) for problem in problems]
    assert found == pytest.approx(values["water_front_one_hour"], abs=1e-3)


def with_exact_start(exact):
    """A change of the model: the exact field of the starting time, and the sink's wall."""

    def prepare(model):
        edges = model.section.grid.x_edges
        curve = model.materials[model.metal].curve
        time = exact.time_of(START * CELL)
        field = exact.temperature(model.section.grid.x_centers, time) + KELVIN
        h = curve.enthalpy_at(field)
        molten = (edges[1:] ** 2 - (START * CELL) ** 2) / np.diff(edges**2)
        split = (molten > 0) & (molten < 1)
        solid, liquid = (
            curve.enthalpy_at(exact.melting + KELVIN, molten=side) for side in (False, True)
        )
        h[split] = solid + molten[split] * (liquid - solid)
        coefficient = exact.sink / (2 * pi * edges[0] * FAR)
        wall = Boundary("ambient", exact.melting + KELVIN - FAR, coefficient)
        return replace(model, initial_enthalpy=h[None, :], sides=(wall, *model.sides[1:]))

    return prepare


@pytest.mark.parametrize(("sink", "superheat", "reach"), [(50.0, 0.0, 60), (200.0, 5.0, 300)])
def test_front(check_values, sink, superheat, reach):
    exact = water(check_values, sink, superheat)
    duration = exact.time_of(END * CELL) - exact.time_of(START * CELL)
    changes = ("isothermal", [exact.melting], "")
    extent = f'{{ from = ["{CELL} m", "0 m"], to = ["{reach * CELL!r} m", "{CELL} m"] }}'
    case = f"""
title = "Water around a line that draws heat"
[section]
view = "round"
cell = "{CELL} m"
[pour]
alloy = "water"
temperature = "{exact.start} °C"
[mold]
box = {extent}
[[part]]
name = "water"
role = "casting"
rectangle = {extent}
[boundary]
left = "insulated"
right = "insulated"
bottom = "insulated"
top = "insulated"
[cooling]
shake_out = "{duration!r} s"
{alloy_card("water", [exact.solid, exact.liquid], exact.latent_heat, changes)}
"""
    run = pour(case, with_exact_start(exact))
    edges = run.section.grid.x_edges
    for frame, time in enumerate(run.frames.times):
        frozen = run.frames.solid_fraction[frame, 0].astype(float) @ np.diff(edges**2)
        radius = np.sqrt(frozen + edges[0] ** 2)
        assert radius == pytest.approx(exact.front(exact.time_of(START * CELL) + time), rel=0.02)
