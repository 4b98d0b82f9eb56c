"""What happens once and for good: sand dries, sleeves burn, and the heat account stays closed."""

from functools import cache

import numpy as np
import pytest
from pouring import pour

from solidsim.case import read_case_text
from solidsim.conduction import lasting
from solidsim.conduction.solver import advance
from solidsim.conduction.state import start_conduction
from solidsim.materials import library_material
from solidsim.model import build_model

THIN = """
title = "A hot plate between sand"
[section]
cell = "2 mm"
[pour]
alloy = "steel-plate"
temperature = "900 °C"
[mold]
sand = "{sand}"
box = {{ from = ["-40 mm", "0 mm"], to = ["10 mm", "2 mm"] }}
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["10 mm", "2 mm"] }}
[cooling]
shake_out = "{until}"
[boundary]
left = {{ ambient = "20 °C", coefficient = "50 W/m2K", emissivity = 0 }}
right = "symmetry"
bottom = "insulated"
top = "insulated"
[material.steel-plate]
kind = "alloy"
density = "7800 kg/m3"
specific_heat = "600 J/kgK"
conductivity = "30 W/mK"
"""


@cache
def cooled(sand, until="60 h"):
    return pour(THIN.format(sand=sand, until=until))


def test_dried_sand_keeps_the_heat_of_its_steam():
    """Cold again, the mold holds just what boiled its water away, wherever it came to 100 °C."""
    run, sand = cooled("green-sand"), library_material("green-sand")
    np.testing.assert_allclose(run.fields["temperature"], 293.15, atol=0.5)
    peak = run.frames.temperature.max(axis=0)
    volumes = run.section.volumes
    dry = ~run.metal & (peak > 373.15 + 1.0)
    wet = ~run.metal & (peak < 373.15 - 0.5)
    assert dry.sum() >= 5
    assert (~run.metal & ~dry & ~wet).sum() <= 1  # the cell in which the front came to rest
    cold = np.array(293.15)
    steam = float(sand.dried.enthalpy_at(cold) - sand.curve.enthalpy_at(cold))
    kept = run.account.stored[-1]
    front = steam * (volumes[~run.metal].max())
    assert kept == pytest.approx(steam * volumes[dry].sum(), abs=front)
    assert steam == pytest.approx(1600.0 * 0.035 * (2.2564e6 + 4190.0 * 80.0), rel=0.01)


def test_dried_sand_cools_through_100_degrees_at_the_heat_it_dried_with():
    """Next to the plate: cold again, the sand still holds more than moist sand at 100 °C does."""
    state = start_conduction(
        build_model(read_case_text(THIN.format(sand="green-sand", until="9 h")))
    )
    cell = np.flatnonzero(~state.model.section.metal.ravel())[-1]
    peak = 0.0
    while state.time < 9 * 3600.0:
        advance(state, 9 * 3600.0)
        peak = max(peak, state.temperature.ravel()[cell])
    assert peak > 600.0
    assert state.temperature.ravel()[cell] < 340.0
    assert state.enthalpy.ravel()[cell] > library_material("green-sand").curve.enthalpy_at(373.0)


def test_moist_sand_that_stays_below_100_degrees_gives_all_back():
    """Nothing dries, nothing is kept."""
    text = THIN.format(sand="green-sand", until="60 h").replace('"900 °C"', '"95 °C"')
    run = pour(text)
    assert abs(run.account.stored[-1]) < 0.002 * run.account.released[-1]


SLEEVE = """
title = "A bar in a sleeve"
[section]
cell = "2 mm"
[pour]
alloy = "gray-iron"
temperature = "1350 °C"
[mold]
sand = "dry-silica-sand"
box = { from = ["-80 mm", "0 mm"], to = ["20 mm", "2 mm"] }
[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["20 mm", "2 mm"] }
[[part]]
name = "sleeve"
role = "sleeve"
material = "SLEEVE"
rectangle = { from = ["-12 mm", "0 mm"], to = ["0 mm", "2 mm"] }
[boundary]
right = "symmetry"
bottom = "insulated"
top = "insulated"
"""
DEAD = """
[material.dead]
base = "exothermic-sleeve"
reaction = { ignition = "600 °C", heat = "0.001 J/kg", duration = "90 s" }
"""


@cache
def sleeved(kind, more=""):
    return pour(SLEEVE.replace("SLEEVE", kind) + more)


def test_a_sleeve_gives_off_all_its_heat_once():
    run, card = sleeved("exothermic-sleeve"), library_material("exothermic-sleeve")
    sleeve = next(n for n, p in enumerate(run.section.parts, 1) if p.name == "sleeve")
    cells = run.section.part_index == sleeve
    peak = run.frames.temperature.max(axis=0)
    assert (peak[cells] > card.reaction.ignition_temperature).all()
    volume = run.section.volumes[cells].sum()
    assert run.account.added[-1] == pytest.approx(
        card.density * card.reaction.heat * volume, rel=1e-9
    )
    assert (np.diff(run.account.added) >= 0.0).all()
    assert (run.account.added > 0.0).any()


def test_it_burns_for_its_time_at_an_even_rate():
    """From the first cell lit to the last burnt out; each burns 90 s."""
    run = sleeved("exothermic-sleeve")
    burning = np.flatnonzero(np.diff(run.account.added) > 0.0)
    spent = run.account.times[burning[-1] + 1] - run.account.times[burning[0]]
    assert 90.0 <= spent < 200.0


def test_burning_makes_the_bar_freeze_later_than_its_dead_residue():
    burnt, dead = sleeved("exothermic-sleeve"), sleeved("dead", DEAD)
    times = [np.nanmax(run.fields["freezing_time"]) for run in (burnt, dead)]
    assert times[0] > 1.05 * times[1]


def test_steps_are_short_enough_to_follow_the_burning(monkeypatch):
    """With steps a quarter as long while it burns, the bar freezes at the same time to 0.1 %."""
    usual = np.nanmax(sleeved("exothermic-sleeve").fields["freezing_time"])
    monkeypatch.setattr(lasting, "BURNING_STEPS", 4 * lasting.BURNING_STEPS)
    finer = np.nanmax(pour(SLEEVE.replace("SLEEVE", "exothermic-sleeve")).fields["freezing_time"])
    assert finer == pytest.approx(usual, rel=1e-3)


def test_a_hot_top_of_the_same_stuff_burns_out_of_the_page():
    """A plate on the face of a bar of finite depth lies in the mold columns; it burns there."""
    text = SLEEVE.replace("SLEEVE", "insulating-sleeve").replace(
        'name = "bar"',
        'name = "bar"\ndepth = "40 mm"\n'
        'faces = { cope = { material = "exothermic-sleeve", thickness = "10 mm" }, drag = "mold" }',
    )
    run, card = pour(text), library_material("exothermic-sleeve")
    laid = 0.010 * 0.020 * 0.002 * card.density * card.reaction.heat
    assert 0.5 * laid < run.account.added[-1] < 1.5 * laid


def test_what_never_gets_hot_does_not_burn():
    text = SLEEVE.replace("SLEEVE", "shy") + DEAD.replace("dead", "shy").replace(
        "600 °C", "1400 °C"
    ).replace("0.001 J/kg", "1.5 MJ/kg")
    assert pour(text).account.added[-1] == 0.0
