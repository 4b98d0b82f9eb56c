"""Cases for tests: cards of constant properties, and a pour whose energy account must close."""

import numpy as np

from solidsim.case import read_case_text
from solidsim.model import build_model
from solidsim.simulation import simulate

IMBALANCE = 1e-6  # of the heat moved, in every run


def pour(text, prepare=None):
    """Run a case from its text; ``prepare`` may change the model, e.g. its starting field."""
    model = build_model(read_case_text(text))
    run = simulate(prepare(model) if prepare else model)
    assert run.account.imbalance <= IMBALANCE
    return run


def sand_card(name, conductivity, specific_heat, density):
    """A mold material with constant properties."""
    return f"""
[material.{name}]
kind = "mold"
title = "{name}"
density = "{density} kg/m3"
specific_heat = "{specific_heat} J/kgK"
conductivity = "{conductivity} W/mK"
emissivity = 0.9
"""


def alloy_card(name, phases, latent_heat, solid_fraction):
    """An alloy with one set of constant properties a phase.

    ``phases`` is ``[(conductivity, specific heat, density), ...]`` parted by the temperatures of
    ``solid_fraction`` (curve name, temperatures in °C from the coldest, further keys).
    """
    curve, changes, more = solid_fraction
    names = ["temperature"] if curve == "isothermal" else ["solidus", "liquidus"]
    limits = ", ".join(f'{key} = "{at!r} °C"' for key, at in zip(names, changes, strict=True))
    return f"""
[material.{name}]
kind = "alloy"
title = "{name}"
density = "{phases[0][2]} kg/m3"
specific_heat = {_stairs([phase[1] for phase in phases], changes, "J/kgK")}
conductivity = {_stairs([phase[0] for phase in phases], changes, "W/mK")}
latent_heat = "{latent_heat} J/kg"
solid_fraction = {{ curve = "{curve}", {limits}{more} }}
emissivity = 0.9
"""


def _stairs(values, changes, unit):
    if len(set(values)) == 1:
        return f'"{values[0]} {unit}"'
    edges = [-270.0, *changes, 3000.0]
    rows = []
    for value, low, high in zip(values, edges[:-1], edges[1:], strict=True):
        rows += [f'["{at} °C", "{value} {unit}"]' for at in (low, high)]
    table = ", ".join(rows)
    return f'{{ table = [{table}], source = "the check", grade = "handbook" }}'


def bar_case(card, cell, cells, start, left, duration=None, more=""):
    """One row of metal from a wall at x = 0 to an insulated end; lengths in m, °C, s.

    ``left`` is the wall's boundary as the case file writes it; the card's name is ``metal``. Ends
    when all is solid if there is no ``duration``.
    """
    corner = f'["{cell * cells:.9g} m", "{cell:.9g} m"]'
    cooling = f'[cooling]\nshake_out = "{duration:.15g} s"' if duration else ""
    return f"""
title = "A bar of metal from a wall"
[section]
cell = "{cell:.9g} m"
[pour]
alloy = "metal"
temperature = "{start} °C"
[mold]
box = {{ from = ["0 m", "0 m"], to = {corner} }}
[[part]]
name = "bar"
role = "casting"
rectangle = {{ from = ["0 m", "0 m"], to = {corner} }}
[boundary]
left = {left}
right = "insulated"
bottom = "insulated"
top = "insulated"
{cooling}
{more}
{card}
"""


def sand_bar_case(cards, cell, cells, sand_depth, start, cold, more=""):
    """Half a plate from x = 0 to its insulated middle, behind sand at x < 0; lengths in m, °C.

    The cards' names are ``metal`` and ``sand``; they meet in perfect contact.
    """
    corner = f'["{cell * cells:.9g} m", "{cell:.9g} m"]'
    return f"""
title = "Half a plate in sand"
[section]
cell = "{cell:.9g} m"
[pour]
alloy = "metal"
temperature = "{start} °C"
[mold]
sand = "sand"
temperature = "{cold} °C"
box = {{ from = ["-{sand_depth:.9g} m", "0 m"], to = {corner} }}
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 m", "0 m"], to = {corner} }}
[boundary]
left = {{ temperature = "{cold} °C" }}
right = "symmetry"
bottom = "insulated"
top = "insulated"
[[interface]]
between = ["metal", "sand"]
conductance = "perfect"
{more}
{cards}
"""


def solid_length(run, frame=-1, row=0):
    """Length frozen along a row of metal cells [m]: the sum of solid fraction times width.

    This is the place of a sharp front to a share of a cell, whatever its cell has frozen so far.
    """
    fraction = run.frames.solid_fraction[frame, row].astype(float)
    metal = run.metal[row]
    return float(np.sum(fraction[metal] * run.section.grid.dx[metal]))


def probe_at(run, name, time):
    """Temperature of a probe at a time [K], linear between its recorded points."""
    curve = next(probe for probe in run.probes if probe.name == name)
    return float(np.interp(time, curve.times, curve.temperatures))
