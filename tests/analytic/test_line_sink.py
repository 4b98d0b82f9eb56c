"""Freezing around a line that draws heat: the exact cylinder, in the round view.

Problem: melt at Ti around a line sink of Q W/m. Solution: front R = 2 r sqrt(alpha_s t),
Q/(4 pi) exp(-r^2) - k_l (Ti - Tm) exp(-z)/E1(z) = r^2 alpha_s rho L, z = r^2 alpha_s/alpha_l;
solid Tm - Q/(4 pi k_s) [E1(R'^2/4 alpha_s t) - E1(r^2)]. Source: S. Paterson 1952, Proc.
Glasgow Math. Assoc. 1:42; Carslaw & Jaeger 1959 §11.6.

The run starts from the exact field when the front stands at 15 cells, so that the singular line
is never met. The sink is a core of one cell, so heavy that it stays cold, behind a joint whose
conductance is tabulated against the surface temperature such that it always draws the same heat.
"""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from exact.curved import LineSink
from exact.medium import Medium
from pouring import alloy_card, pour

KELVIN, UNIT = 273.15, Medium(1.0, 1.0, 1.0)
CELL, START, END = 0.2e-3, 15, 45  # front in cells
MELTING = 300.0  # of a water shifted so far that the core can stay much colder; °C


def water(check_values, sink, superheat, melting=0.0):
    values = check_values["neumann_water"]
    solid, liquid = Medium(*values["solid"]), Medium(*values["liquid"])
    return LineSink(solid, liquid, values["latent_heat"], sink, melting, melting + superheat)


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


def case_of(exact, reach, duration):
    """Core, melt and the joint between them; the box ends at ``reach`` cells."""
    end = f'["{reach * CELL:.9g} m", "{CELL} m"]'
    drawn = exact.sink / (2 * pi * CELL)  # W/m2
    rows = ", ".join(
        f'["{at} °C", "{drawn / at:.9g} W/m2K"]' for at in range(100, int(MELTING) + 21, 4)
    )
    changes = ("isothermal", [exact.melting], "")
    return f"""
title = "Water around a line that draws heat"
[section]
view = "round"
cell = "{CELL} m"
[pour]
alloy = "water"
temperature = "{exact.start} °C"
[mold]
box = {{ from = ["0 m", "0 m"], to = {end} }}
[[part]]
name = "water"
role = "casting"
rectangle = {{ from = ["{CELL} m", "0 m"], to = {end} }}
[[part]]
name = "core"
role = "chill"
material = "heavy"
temperature = "0 °C"
rectangle = {{ from = ["0 m", "0 m"], to = ["{CELL} m", "{CELL} m"] }}
[boundary]
left = "symmetry"
right = "insulated"
bottom = "insulated"
top = "insulated"
[[interface]]
between = ["water", "heavy"]
conductance = [{rows}]
[cooling]
shake_out = "{duration:.15g} s"
{alloy_card("water", [exact.solid, exact.liquid], exact.latent_heat, changes)}
[material.heavy]
kind = "chill"
density = "1e9 kg/m3"
specific_heat = "1e5 J/kgK"
conductivity = "1e4 W/mK"
"""


def with_exact_start(exact):
    """A change of the model: the exact field of the time when the front is at ``START`` cells."""

    def prepare(model):
        edges = model.section.grid.x_edges
        curve = model.materials[model.metal].curve
        field = exact.temperature(model.section.grid.x_centers, exact.time_of(START * CELL))
        h = curve.enthalpy_at(field + KELVIN)
        molten = (edges[1:] ** 2 - (START * CELL) ** 2) / np.diff(edges**2)
        split = (molten > 0) & (molten < 1)
        solid, liquid = (
            curve.enthalpy_at(exact.melting + KELVIN, molten=side) for side in (False, True)
        )
        h[split] = solid + molten[split] * (liquid - solid)
        metal = model.section.metal
        return replace(model, initial_enthalpy=np.where(metal, h, model.initial_enthalpy))

    return prepare


@pytest.mark.parametrize(("sink", "superheat", "reach"), [(50.0, 0.0, 60), (200.0, 5.0, 300)])
def test_front(check_values, sink, superheat, reach):
    exact = water(check_values, sink, superheat, MELTING)
    start, end = (exact.time_of(front * CELL) for front in (START, END))
    run = pour(case_of(exact, reach, end - start), with_exact_start(exact))
    rings = np.diff(run.section.grid.x_edges**2)
    radii = np.sqrt(run.frames.solid_fraction[:, 0].astype(float) @ rings)  # the core is solid
    assert radii == pytest.approx(exact.front(start + run.frames.times), rel=0.02)
