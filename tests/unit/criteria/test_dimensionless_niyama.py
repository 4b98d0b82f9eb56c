"""The dimensionless Niyama value against its closed form."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from solidsim.criteria.dimensionless_niyama import (
    PorosityConstants,
    critical_value,
    critical_value_of_curve,
    dimensionless_niyama,
    onset_liquid,
    pore_fraction,
)

# share of liquid: Ny* for a linear solid fraction, evaluated from the closed form
CLOSED_FORM = {
    0.01: 127.83, 0.02: 87.11, 0.05: 50.13, 0.1: 30.87, 0.2: 16.87, 0.3: 10.61, 0.5: 4.524,
}  # fmt: skip


@pytest.mark.parametrize(("onset", "expected"), CLOSED_FORM.items())
def test_closed_form(onset, expected):
    assert critical_value(onset) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("onset", CLOSED_FORM)
def test_closed_form_is_the_integral_of_the_resistance(onset):
    integral, _ = quad(lambda g: 180.0 * (1.0 - g) ** 2 / g**2, onset, 1.0)
    assert critical_value(onset) ** 2 == pytest.approx(integral, rel=1e-6)


@pytest.mark.parametrize("onset", CLOSED_FORM)
def test_a_linear_curve_gives_the_closed_form_however_it_is_cut(onset):
    nodes = np.sort(np.random.default_rng(3).random(40))
    liquid = np.concatenate([[0.0], nodes, [1.0]])
    assert critical_value_of_curve(liquid, liquid, onset) == pytest.approx(critical_value(onset))


def test_any_curve_is_the_integral_over_it():
    """theta = g^2, as when little is left to freeze near the solidus."""
    liquid = np.linspace(0.0, 1.0, 4001)
    integral, _ = quad(lambda g: 180.0 * (1.0 - g) ** 2 / g**2 * 2.0 * g, 0.05, 1.0)
    found = critical_value_of_curve(liquid, liquid**2, 0.05)
    assert found**2 == pytest.approx(integral, rel=1e-3)


def test_onset_turns_the_closed_form_round():
    for onset in CLOSED_FORM:
        assert onset_liquid(critical_value(onset)) == pytest.approx(onset, rel=1e-9)
    assert onset_liquid(0.0) == 1.0


def test_more_gradient_less_porosity_and_faster_more():
    constants = PorosityConstants(1e-4, 5e-3, 0.05, 60.0, 1e5)
    gradients = np.array([200.0, 400.0, 800.0, 1600.0])
    values = dimensionless_niyama(gradients, np.full(4, 0.5), constants)
    assert values == pytest.approx(values[0] * gradients / gradients[0])
    pores = [pore_fraction(float(value), 0.05) for value in values]
    assert all(more > less for more, less in pairwise(pores))
    faster = dimensionless_niyama(gradients, np.full(4, 4.0), constants)
    assert faster == pytest.approx(values * 8.0 ** (-5.0 / 6.0))


def test_pores_never_exceed_the_shrinkage():
    assert pore_fraction(0.0, 0.05) == pytest.approx(0.05 / 1.05)
