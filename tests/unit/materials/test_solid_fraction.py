"""Freezing ranges by hand."""

from itertools import pairwise

import numpy as np
import pytest

from solidsim.materials.solid_fraction import isothermal, lever, linear, scheil, tabulated


def fractions(stretches, count=200):
    """Temperatures over all stretches and the solid fraction there."""
    pairs = []
    for stretch in stretches:
        if stretch.bottom == stretch.top:
            pairs += [
                (stretch.bottom, stretch.solid_at_bottom),
                (stretch.top, stretch.solid_at_top),
            ]
        else:
            temperature = np.linspace(stretch.bottom, stretch.top, count)
            pairs += list(zip(temperature, stretch.solid_fraction(temperature), strict=True))
    return np.array(pairs).T


CURVES = {
    "isothermal": isothermal(900.0),
    "linear": linear(850.0, 900.0),
    "linear with eutectic": linear(850.0, 900.0, 0.3),
    "lever": lever(1460.0, 1940.0, 0.5, 1430.0),
    "lever with a eutectic range": lever(1460.0, 1940.0, 0.5, 1430.0, 1410.0),
    "lever that ends above its eutectic": lever(1790.0, 1811.0, 0.6, 1420.0),
    "scheil": scheil(888.0, 933.0, 0.13, 850.0),
    "scheil with a eutectic range": scheil(888.0, 933.0, 0.13, 850.0, 830.0),
    "table": tabulated(np.array([830.0, 845.0, 848.0, 889.0]), np.array([1.0, 0.8, 0.5, 0.0])),
    "table with a eutectic": tabulated(
        np.array([830.0, 830.0, 848.0, 889.0]), np.array([1.0, 0.8, 0.5, 0.0])
    ),
}


@pytest.mark.parametrize("name", CURVES)
def test_a_curve_falls_from_solid_to_liquid_without_a_gap(name):
    stretches = CURVES[name]
    temperature, solid = fractions(stretches)
    assert len(stretches) <= 2
    assert solid[0] == pytest.approx(1.0, abs=1e-12)
    assert solid[-1] == pytest.approx(0.0, abs=1e-12)
    assert np.all(np.diff(temperature) >= 0)
    assert np.all(np.diff(solid) <= 1e-12)
    for below, above in pairwise(stretches):
        assert below.top == above.bottom
        assert below.solid_at_top == pytest.approx(above.solid_at_bottom)


def test_scheil_by_hand():
    """Al-7Si, k = 0.13: at 577 °C half is solid (1 - (83/45)^(-1/0.87) = 0.505)."""
    eutectic, primary = scheil(888.15, 933.15, 0.13, 850.15)
    assert eutectic.solid_at_top == pytest.approx(1 - (83 / 45) ** (-1 / 0.87), rel=1e-12)
    assert float(primary.solid_fraction(np.array(888.15))) == pytest.approx(0.0, abs=1e-12)


def test_lever_by_hand():
    """Straight boundaries, k = 0.5: the solidus lies twice as far below the pure metal."""
    (primary,) = lever(1000.0, 1100.0, 0.5, 800.0)
    assert primary.bottom == pytest.approx(900.0)
    # at 950 the liquid holds 1.5 times the alloy's solute, the solid 0.75: (1.5 - 1) / 0.75
    assert float(primary.solid_fraction(np.array(950.0))) == pytest.approx(2 / 3)


def test_scheil_leaves_more_liquid_than_the_lever_rule():
    temperature = np.linspace(905.0, 995.0, 50)
    even = lever(1000.0, 1100.0, 0.5, 800.0)[-1].solid_fraction(temperature)
    uneven = scheil(1000.0, 1100.0, 0.5, 800.0)[-1].solid_fraction(temperature)
    assert np.all(uneven < even)


def test_a_table_is_cut_where_its_slope_changes_most():
    below, above = CURVES["table"]
    assert (below.top, above.bottom) == (848.0, 848.0)
    assert below.nodes == (845.0,)
