"""Freezing of a casting half-space against a mold half-space, both conducting.

Problem: melt at Ti on x > 0, mold at T0 on x < 0, perfect contact, b = sqrt(k rho c). Solution:
front s = 2 r sqrt(alpha_s t) with, M = b_s/b_m and nu = sqrt(alpha_s/alpha_l),
sqrt(pi) r = c_s (Tm - T0)/L exp(-r^2)/(M + erf r)
             - c_s (Ti - Tm)/L b_l/b_s exp(-nu^2 r^2)/erfc(nu r);
the contact stays at T0 + (Tm - T0) M/(M + erf r). When the contact of mold and liquid lies above
Tm there is no root. Source: C. Schwarz 1931, Arch. Eisenhuettenwes. 5:177; Carslaw & Jaeger
1959 §11.2.
"""

from dataclasses import replace

import numpy as np
import pytest
from exact.medium import Medium
from exact.similarity import NoFreezingError, Schwarz
from pouring import alloy_card, pour, sand_bar_case, sand_card, solid_length

KELVIN, DURATION = 273.15, 60.0


def schwarz(check_values, name):
    values = next(entry for entry in check_values["schwarz"] if entry["name"] == name)
    sand = check_values["sand"]
    return values, Schwarz(
        Medium(*values["solid"]),
        Medium(*values["liquid"]),
        Medium(*values.get("mold", sand["medium"])),
        values["latent_heat"],
        sand["cold"],
        values["melting"],
        values["start"],
    )


@pytest.mark.parametrize(
    "name",
    [
        "iron",
        "aluminum",
        "aluminum with superheat",
        "iron with superheat",
        "iron against copper",
    ],
)
def test_roots(check_values, name):
    values, exact = schwarz(check_values, name)
    assert exact.root == pytest.approx(values["root"], abs=1e-6)
    assert exact.contact == pytest.approx(values["contact"], abs=1e-3)
    assert 1e3 * exact.front(DURATION) == pytest.approx(values["front_60_s"], rel=5e-5)


@pytest.mark.parametrize("name", ["iron", "aluminum"])
def test_profile(check_values, name):
    values, exact = schwarz(check_values, name)
    places = np.array([exact.front(DURATION) / 2, -0.005, -0.010])
    keys = ("half_front_60_s", "sand_5_mm_60_s", "sand_10_mm_60_s")
    published = [values[key] for key in keys]
    assert exact.temperature(places, DURATION) == pytest.approx(published, abs=0.006)


def test_too_hot_to_freeze_is_said(check_values):
    _, exact = schwarz(check_values, "aluminum with superheat")
    with pytest.raises(NoFreezingError, match=r"contact stays at 678\.8"):
        _ = replace(exact, start=720.0).root


@pytest.mark.parametrize(
    ("name", "cell", "cells"),
    [("iron", 5e-5, 200), ("aluminum", 5e-5, 200), ("iron with superheat", 1e-4, 1000)],
)
def test_front_and_profile(check_values, name, cell, cells):
    _, exact = schwarz(check_values, name)
    changes = ("isothermal", [exact.melting], "")
    cards = alloy_card("metal", [exact.solid, exact.liquid], exact.latent_heat, changes)
    cards += sand_card("sand", *exact.mold)
    stop = f'[cooling]\nshake_out = "{DURATION} s"'
    run = pour(sand_bar_case(cards, cell, cells, 0.04, exact.start, exact.cold, stop))
    assert solid_length(run) == pytest.approx(exact.front(DURATION), rel=5e-3)
    x = run.section.grid.x_centers
    known = x < 0.9 * exact.front(DURATION)
    miss = run.fields["temperature"][0, known] - KELVIN - exact.temperature(x[known], DURATION)
    assert np.sqrt(np.mean(miss**2)) <= 5e-3 * (exact.melting - exact.cold)
