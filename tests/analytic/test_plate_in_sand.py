"""Freezing time of a plate in thick sand.

Problem: plate of half thickness a, poured at its melting temperature into thick sand, perfect
contact. Without superheat the melt stays isothermal, so Schwarz's front is exact to the middle:
t = (a/(2 r))^2/alpha_s. Source: C. Schwarz 1931; Carslaw & Jaeger 1959 §11.2.
"""

import numpy as np
import pytest
from pouring import alloy_card, pour, sand_bar_case, sand_card
from test_schwarz_front import schwarz


def pour_plate(exact, half_thickness, cells):
    changes = ("isothermal", [exact.melting], "")
    cards = alloy_card("metal", [exact.solid, exact.liquid], exact.latent_heat, changes)
    cards += sand_card("sand", *exact.mold)
    return pour(sand_bar_case(cards, half_thickness / cells, cells, 0.16, exact.start, exact.cold))


@pytest.mark.parametrize("name", ["iron", "aluminum"])
def test_closed_form(check_values, name):
    values, exact = schwarz(check_values, name)
    published = [values["plate_10_mm"], values["plate_20_mm"]]
    assert [exact.plate_time(a) for a in (0.01, 0.02)] == pytest.approx(published, abs=0.01)


@pytest.mark.parametrize("name", ["iron", "aluminum"])
@pytest.mark.parametrize("half_thickness", [0.01, 0.02])
def test_freezing_time(check_values, name, half_thickness):
    _, exact = schwarz(check_values, name)
    run = pour_plate(exact, half_thickness, 40)
    last = np.nanmax(run.fields["freezing_time"])
    assert last == pytest.approx(exact.plate_time(half_thickness), rel=0.01)


def test_freezing_time_goes_with_thickness_squared(check_values):
    """Chvorinov's rule for plates, without a constant."""
    _, exact = schwarz(check_values, "aluminum")
    thin, thick = (
        np.nanmax(pour_plate(exact, a, 20).fields["freezing_time"]) for a in (0.006, 0.012)
    )
    assert thick / thin == pytest.approx(4.0, rel=0.01)
