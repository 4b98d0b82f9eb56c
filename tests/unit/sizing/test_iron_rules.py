import pytest

from solidsim.errors import SizingError
from solidsim.quantities import ZERO_CELSIUS
from solidsim.sizing.iron import carbon_equivalent, iron_eutectic, iron_graphite, iron_liquidus


def test_carbon_equivalent():
    found = carbon_equivalent(0.035, 0.020, 0.0005)
    assert round(100 * found.carbon_equivalent, 3) == 4.183
    assert 100 * found.above_eutectic == pytest.approx(4.1833 - 4.3, abs=1e-4)


@pytest.mark.parametrize(
    ("carbon", "silicon", "fitted", "classical"),
    [(0.035, 0.020, 1188.3, 1164.9), (0.033, 0.022, 1205.3, 1183.5)],
)
def test_both_liquidus_formulas(carbon, silicon, fitted, classical):
    found = iron_liquidus(carbon, silicon, 0.0005)
    assert found.fitted - ZERO_CELSIUS == pytest.approx(fitted, abs=0.051)
    assert found.classical - ZERO_CELSIUS == pytest.approx(classical, abs=0.051)
    assert found.difference == pytest.approx(found.fitted - found.classical)


def test_fitted_liquidus_carries_the_minor_elements():
    """3 Mn - 71 S - 2 Ni - 7 Cr; the carbon equivalent of the same paper is a 110th of each."""
    plain = iron_liquidus(0.033, 0.020).fitted
    alloyed = iron_liquidus(0.033, 0.020, 0.0, 0.006, 0.001, 0.010, 0.003).fitted
    assert alloyed - plain == pytest.approx(3 * 0.6 - 71 * 0.1 - 2 * 1.0 - 7 * 0.3)


@pytest.mark.parametrize(
    ("carbon", "silicon", "graphite", "change"),
    [(3.5, 2.0, 2.40, -0.80), (3.3, 2.2, 2.22, -1.16), (3.6, 2.6, 2.56, -0.48)],
)
def test_graphite_and_volume(carbon, silicon, graphite, change):
    found = iron_graphite(carbon / 100, silicon / 100)
    assert 100 * found.graphite == pytest.approx(graphite)
    assert 100 * found.volume_change == pytest.approx(change)


def test_eutectic_keeps_its_volume_at_2_80_percent_graphite():
    """C + 0.1 Si = 4.10 %; the slope is 2, and Karsay's index C + Si/7 is reckoned from 3.9 %."""
    assert iron_graphite(0.038, 0.030).volume_change == pytest.approx(0.0, abs=1e-15)
    assert iron_graphite(0.039, 0.030).volume_change == pytest.approx(0.002)
    assert iron_graphite(0.036, 0.021).above_karsay == pytest.approx(0.0, abs=1e-15)


def test_silicon_opens_the_window_between_the_eutectics():
    pure, gray = iron_eutectic(0.0), iron_eutectic(0.02)
    assert pure.graphite - ZERO_CELSIUS == pytest.approx(1153.0)
    assert pure.carbide - ZERO_CELSIUS == pytest.approx(1148.0)
    assert gray.graphite > pure.graphite > pure.carbide > gray.carbide
    assert gray.window == pytest.approx(5.0 + 2 * 16.0)


def test_what_the_formulas_cannot_take_is_refused():
    with pytest.raises(SizingError, match=r"carbon equivalent of 4\.3 % or less; given 4\.50 %"):
        iron_liquidus(0.037, 0.024)
    with pytest.raises(SizingError, match=r'carbon must lie between 0 and 10 %.*write "3\.5 %"'):
        carbon_equivalent(3.5, 2.0)
    with pytest.raises(SizingError, match=r"at least 1\.3 % carbon; given 0\.4 %"):
        iron_graphite(0.004, 0.004)
