import math

import pytest

from solidsim.errors import SizingError
from solidsim.sizing.feeder import (
    feeder_by_caine,
    feeder_by_modulus,
    feeder_by_volume,
    feeder_neck,
    feeding_distance,
    shrinkage,
)
from solidsim.sizing.modulus import block_modulus, cylinder_modulus, sphere_modulus


def test_groover_10_3_feeder():
    """A cylinder as high as wide that freezes in 2.0 min beside a plate that takes 1.6 min."""
    plate = block_modulus(0.075, 0.125, 0.020)
    feeder = feeder_by_modulus(plate, math.sqrt(2.0 / 1.6), height_ratio=1.0, seat="beside")
    assert round(100 * feeder.diameter, 1) == 4.7
    assert feeder.diameter == pytest.approx(0.04702, abs=5e-6)
    assert round(1e6 * feeder.volume / 187.5, 2) == 0.44


def test_feeder_shapes_have_the_modulus_they_were_made_for():
    for seat, ends in (("beside", 2), ("on-top", 1)):
        feeder = feeder_by_modulus(0.010, height_ratio=1.5, seat=seat)
        assert feeder.modulus == pytest.approx(0.012)
        assert cylinder_modulus(feeder.diameter, feeder.height, ends) == pytest.approx(0.012)
    ball = feeder_by_modulus(0.010, shape="sphere")
    assert sphere_modulus(ball.diameter) == pytest.approx(0.012)
    assert ball.height == ball.diameter


def test_a_dome_is_a_half_sphere_on_a_cylinder():
    domed = feeder_by_modulus(0.010, shape="domed", height_ratio=0.5, seat="on-top")
    assert domed.volume == pytest.approx(math.pi / 12.0 * domed.diameter**3)
    assert domed.modulus == pytest.approx(domed.diameter / 6.0)
    tall = feeder_by_modulus(0.010, shape="domed", height_ratio=1.5, seat="beside")
    d, straight = tall.diameter, tall.diameter
    volume = math.pi / 12.0 * d**3 + math.pi / 4.0 * d**2 * straight
    area = math.pi / 2.0 * d**2 + math.pi * d * straight + math.pi / 4.0 * d**2
    assert tall.volume == pytest.approx(volume)
    assert tall.modulus == pytest.approx(volume / area)
    with pytest.raises(SizingError, match=r"height ratio of a dome must lie between 0\.5 and 10"):
        feeder_by_modulus(0.010, shape="domed", height_ratio=0.4)


def test_a_sleeve_saves_metal():
    bare, sleeved = (feeder_by_modulus(0.010, sleeve_factor=f) for f in (1.0, 1.25))
    assert sleeved.diameter == pytest.approx(bare.diameter / 1.25)
    with pytest.raises(SizingError, match=r"sleeve factor must lie between 1 and 2; given 0\.8"):
        feeder_by_modulus(0.010, sleeve_factor=0.8)


def test_feeder_volume_closes_the_balance_of_metal():
    feeder = feeder_by_volume(1e-3, shrinkage=0.05, feed_efficiency=0.14)
    assert 0.14 * feeder.volume == pytest.approx(0.05 * (1e-3 + feeder.volume))
    assert math.pi / 4 * feeder.diameter**2 * feeder.height == pytest.approx(feeder.volume)
    with pytest.raises(SizingError, match="shrinkage must be less than feed efficiency"):
        feeder_by_volume(1e-3, shrinkage=0.15)


def test_caine_steel():
    """Steel constants: X = 1.5 gives Y = 0.23, X = 1.2 gives 0.53."""
    assert feeder_by_caine("steel", 1e-3, 0.010, 0.015).volume_ratio == pytest.approx(0.23)
    assert feeder_by_caine("steel", 1e-3, 0.010, 0.012).volume_ratio == pytest.approx(0.53)


@pytest.mark.parametrize(
    ("alloy", "a", "b", "c"),
    [
        ("steel", 0.10, 0.03, 1.00),
        ("aluminum", 0.10, 0.06, 1.08),
        ("brass", 0.04, 0.017, 1.00),
        ("gray-iron", 0.33, 0.03, 1.00),
        ("aluminum-bronze", 0.24, 0.017, 1.00),
    ],
)
def test_caine_curve_of_each_alloy(alloy, a, b, c):
    """One unit of volume ratio above its floor b, a above the freezing ratio's floor c."""
    assert feeder_by_caine(alloy, 1.0, 1.0, c + a).volume_ratio == pytest.approx(1.0 + b)
    assert feeder_by_caine(alloy, 1.0, 1.0, 1e9).volume_ratio == pytest.approx(b)


def test_a_feeder_that_freezes_first_is_refused():
    with pytest.raises(SizingError, match=r"must be above 1\.08 times the casting's; given 1\.05"):
        feeder_by_caine("aluminum", 1.0, 1.0, 1.05)


def test_neck_lies_between_casting_and_feeder():
    neck, feeder = feeder_neck(0.010), feeder_by_modulus(0.010)
    assert 0.010 < neck.modulus < feeder.modulus
    assert cylinder_modulus(neck.size, 1e9) == pytest.approx(neck.modulus)
    slot = feeder_neck(0.010, "slot", slot_width=0.100)
    assert 0.1 * slot.size / (2 * (0.1 + slot.size)) == pytest.approx(slot.modulus)
    with pytest.raises(SizingError, match="twice the neck modulus must be less than slot width"):
        feeder_neck(0.010, "slot", slot_width=0.020)


def test_feeding_distances_of_bishop_and_pellini():
    assert feeding_distance("plate", 0.020) == pytest.approx(0.090)
    assert feeding_distance("plate", 0.020, "chill") == pytest.approx(0.140)
    assert feeding_distance("plate", 0.020, "feeder") == pytest.approx(0.080)
    thickness_mm = 50.0
    bar_mm = 1000.0 * feeding_distance("bar", thickness_mm / 1000.0)
    assert bar_mm == pytest.approx(30.24 * math.sqrt(thickness_mm), abs=0.05)
    assert 1000.0 * feeding_distance("bar", 0.050, "chill") == pytest.approx(bar_mm + 50.0)
    with pytest.raises(SizingError, match="no distance is known for a bar between feeders"):
        feeding_distance("bar", 0.050, "feeder")


def test_shrinkage_of_kalpakjian_and_the_liquid():
    assert shrinkage("aluminum").total == 0.066
    assert shrinkage("aluminum-copper").freezing == 0.063
    assert shrinkage("aluminum-silicon").freezing == 0.038
    assert shrinkage("copper").freezing == 0.049
    assert shrinkage("brass").freezing == 0.045
    assert 0.025 <= shrinkage("steel").freezing <= 0.03
    assert 0.04 <= shrinkage("white-iron").freezing <= 0.055
    assert shrinkage("steel", 100.0).liquid == pytest.approx(0.016)
    with pytest.raises(SizingError, match="superheat must not be below zero"):
        shrinkage("steel", -10.0)
