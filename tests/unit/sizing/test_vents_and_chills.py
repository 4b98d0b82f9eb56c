import math

import pytest

from solidsim.errors import SizingError
from solidsim.sizing.chill import chill_face, chill_weight, chilled_modulus
from solidsim.sizing.vents import vents_by_choke, vents_by_pressure


def test_vents_pass_at_least_the_choke():
    vents = vents_by_choke(240e-6, vent_diameter=0.005)
    assert vents.area == pytest.approx(240e-6)
    assert vents.number == 13  # 12.2 holes of 19.6 mm2
    assert vents_by_choke(240e-6, area_ratio=2.0).area == pytest.approx(480e-6)


def test_a_whole_number_of_vents_is_not_rounded_up():
    assert vents_by_choke(4 * math.pi / 4 * 0.005**2, vent_diameter=0.005).number == 4


def test_vent_pressure_is_that_of_bernoulli():
    """With cold air, C = 1 and 0.5 rho v^2 of back pressure, the vent takes V / (t v)."""
    density = 101325.0 / (287.05 * 293.15)
    vents = vents_by_pressure(1e-3, 10.0, 0.5 * density * 20.0**2, 0.005, 293.15, 293.15, 1.0)
    assert vents.area == pytest.approx(1e-4 / 20.0)


def test_the_choke_rule_is_on_the_safe_side_of_the_pressure_rule():
    """20 kg of iron in 7.6 s through a choke of 240 mm2."""
    assert vents_by_pressure(20.0 / 6900.0, 7.6).area < vents_by_choke(240e-6).area


def test_chill_face_brings_the_modulus_down():
    face = chill_face(1e-3, 0.06, 0.012, chill_factor=3.0)
    assert face.area == pytest.approx((1e-3 / 0.012 - 0.06) / 2.0)
    assert chilled_modulus(1e-3, 0.06, face.area, 3.0) == pytest.approx(0.012)
    assert face.share == pytest.approx(face.area / 0.06)


def test_chills_that_cannot_be_are_refused():
    with pytest.raises(SizingError, match="wanted modulus must be less than modulus without"):
        chill_face(1e-3, 0.06, 0.020)
    with pytest.raises(SizingError, match=r"modulus would be 5\.56 mm; wanted 5 mm"):
        chill_face(1e-3, 0.06, 0.005)
    with pytest.raises(SizingError, match="chilled area must not be larger"):
        chilled_modulus(1e-3, 0.06, 0.07)


def test_chill_takes_up_the_heat():
    assert chill_weight(2.0, 270e3, 540.0, 500.0) == pytest.approx(2.0)
