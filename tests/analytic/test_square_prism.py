"""Freezing of a square prism whose walls are suddenly cold.

Problem: prism of half width a, melt at its melting temperature, walls at T0, b = L/(c (Tm - T0)).
Asked is the freezing time of the middle over a^2/alpha. There is no closed form: the values are
the limit of an explicit enthalpy march on finer and finer grids, which the first test repeats.
Quasi-steady limit for large b: slab b/2, cylinder b/4. Sources: Allen & Severn 1962, Q. J. Mech.
Appl. Math. 15:53 and Crank & Gupta 1975, Int. J. Heat Mass Transfer 18:1101 for the problem.
"""

import numpy as np
import pytest
from exact.curved import limit_of, prism_freezing_time
from exact.medium import Medium
from exact.similarity import stefan_root
from pouring import alloy_card, bar_case, pour

METAL = Medium(30.0, 600.0, 7000.0)
MELTING, FALL, HALF = 1000.0, 500.0, 0.02


def card_of(latent_share):
    latent_heat = latent_share * METAL.specific_heat * FALL
    return alloy_card("metal", [METAL, METAL], latent_heat, ("isothermal", [MELTING], ""))


def last_time(run):
    """Freezing time of the last cell over a^2/alpha."""
    return np.nanmax(run.fields["freezing_time"]) * METAL.diffusivity / HALF**2


def pour_prism(latent_share, cells):
    square = f'{{ from = ["0 m", "0 m"], to = ["{HALF} m", "{HALF} m"] }}'
    cold = f'{{ temperature = "{MELTING - FALL} °C" }}'
    return pour(f"""
title = "A quarter of a square prism with cold walls"
[section]
cell = "{HALF / cells:.12g} m"
[pour]
alloy = "metal"
temperature = "{MELTING} °C"
[mold]
box = {square}
[[part]]
name = "prism"
role = "casting"
rectangle = {square}
[boundary]
left = {cold}
bottom = {cold}
right = "symmetry"
top = "symmetry"
{card_of(latent_share)}
""")


def prism_values(check_values):
    values = check_values["prism"]
    keys = ("latent_share", "freezing_time", "uncertainty")
    return zip(*(values[key] for key in keys), strict=True)


def test_limit_of_the_march(check_values):
    latent_share, known, uncertainty = next(prism_values(check_values))
    series = [prism_freezing_time(latent_share, cells) for cells in (20, 40, 80)]
    assert limit_of(*series) == pytest.approx(known, abs=uncertainty)


@pytest.mark.slow
def test_limit_of_the_march_for_all(check_values):
    for latent_share, known, uncertainty in prism_values(check_values):
        series = [prism_freezing_time(latent_share, cells) for cells in (20, 40, 80)]
        assert limit_of(*series) == pytest.approx(known, abs=uncertainty)


def test_freezing_time(check_values):
    for latent_share, known, _ in prism_values(check_values):
        found = last_time(pour_prism(latent_share, 64))
        assert found == pytest.approx(known, rel=5e-3), latent_share


def test_slab_freezes_by_stefan():
    """The same walls without the second pair: exact, and near b/2 when b is large."""
    latent_share = 50.0
    cold = f'{{ temperature = "{MELTING - FALL} °C" }}'
    case = bar_case(card_of(latent_share), HALF / 50, 50, MELTING, cold)
    exact = 0.25 / stefan_root(1 / latent_share) ** 2
    assert exact == pytest.approx(latent_share / 2, rel=0.02)
    assert last_time(pour(case)) == pytest.approx(exact, rel=5e-3)
