"""What every founder knows must come out: thicker, hotter and better insulated freezes later."""

from itertools import pairwise

import numpy as np
import pytest
from pouring import alloy_card, pour, sand_bar_case, sand_card

CHANGES = ("linear", [1140.0, 1190.0], "")
COLD, POUR, HALF = 20.0, 1350.0, 0.010


def plate(half=HALF, start=POUR, conductivity=0.7, latent_heat=220e3, joint="perfect", more=""):
    metal = alloy_card("metal", [(35.0, 750.0, 7000.0)] * 3, latent_heat, CHANGES)
    cards = metal + sand_card("sand", conductivity, 1100.0, 1550.0)
    case = sand_bar_case(cards, half / 10, 10, 0.12, start, COLD, more)
    return pour(case.replace('"perfect"', f'"{joint}"'))


def last_time(**changes):
    return np.nanmax(plate(**changes).fields["freezing_time"])


def rising(values):
    return all(low < high for low, high in pairwise(values))


def test_thicker_freezes_later():
    assert rising([last_time(half=mm / 1e3) for mm in (4, 6, 10, 16)])


def test_hotter_pour_freezes_later():
    assert rising([last_time(start=temperature) for temperature in (1200, 1300, 1350, 1450)])


def test_more_latent_heat_freezes_later():
    assert rising([last_time(latent_heat=heat) for heat in (150e3, 220e3, 300e3)])


def test_poorer_sand_freezes_later():
    assert rising([last_time(conductivity=k) for k in (1.2, 0.9, 0.6)])


def test_gap_freezes_later():
    assert rising([last_time(joint=f"{h} W/m2K") for h in (3000, 1000, 300)])


def test_sand_mold_hardly_minds_the_joint():
    """The sand itself is the resistance: half of 1000 W/m2K changes a 20 mm plate by < 10 %."""
    full, half = (last_time(joint=f"{h} W/m2K") for h in (1000, 500))
    assert half == pytest.approx(full, rel=0.10)


def test_surface_freezes_before_the_middle():
    times = plate().fields["freezing_time"][0]
    assert rising(times[np.isfinite(times)])


def test_no_temperature_leaves_the_span_of_start_and_surroundings():
    run = plate(
        more='[cooling]\nshake_out = "1 h"\n[[probe]]\nname = "skin"\nat = ["0.5 mm", "0.5 mm"]'
    )
    low, high = COLD + 273.15, POUR + 273.15
    frames = run.frames.temperature
    assert frames.min() >= low - 1.0 / 32.0  # frames are kept to a sixteenth of a kelvin
    assert frames.max() <= high + 1.0 / 32.0
    for temperatures in (run.fields["temperature"], run.probes[0].temperatures):
        assert temperatures.min() >= low * (1 - 1e-6)
        assert temperatures.max() <= high * (1 + 1e-6)


def test_solid_fraction_never_falls_while_a_plate_cools():
    fraction = plate().frames.solid_fraction
    assert np.all(np.diff(fraction, axis=0) >= -1e-6)
    assert fraction.min() >= 0.0
    assert fraction.max() <= 1.0
