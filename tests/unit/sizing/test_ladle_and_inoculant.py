import numpy as np
import pytest

from solidsim.errors import SizingError
from solidsim.sizing.inoculant import fade_clock, inoculant_amount
from solidsim.sizing.shake_out import shake_out_time
from solidsim.sizing.temperature import (
    ladle_cooling,
    ladle_radiation,
    pour_temperature,
    tap_temperature,
)


def test_ladles_of_the_technical_note():
    assert 60 * ladle_cooling("drum-1t").usual == pytest.approx(2.5)
    assert 60 * ladle_cooling("crucible-4t-lid").usual == pytest.approx(2.0)
    least, usual, most = (60 * rate for rate in ladle_cooling("hand"))
    assert (least, most) == pytest.approx((8.0, 20.0))
    assert least < usual < most


def test_radiation_alone_explains_the_rate_of_a_hand_ladle():
    """100 kg of iron at 1400 °C under an open surface of 0.3 m: within 8 to 20 K/min."""
    rate = 60 * ladle_radiation(100.0, np.pi / 4 * 0.30**2, 1673.0)
    assert 5.0 < rate < 20.0
    assert ladle_radiation(200.0, 0.07, 1673.0) < ladle_radiation(100.0, 0.07, 1673.0)


def test_tap_temperature_undoes_pour_temperature():
    poured = pour_temperature(1750.0, 120.0, 20.0, cooling_rate=0.2, tapping_loss=40.0)
    assert poured == pytest.approx((1710.0, 1686.0, 1682.0))
    assert tap_temperature(poured.first_metal, 120.0, 0.2, 40.0) == pytest.approx(1750.0)
    with pytest.raises(SizingError, match="temperature of the last metal must be above zero"):
        pour_temperature(1750.0, 1e5)


def test_inoculant_of_the_elkem_note():
    gray = inoculant_amount(50.0)
    assert gray == pytest.approx((0.100, 0.002, 0.0005, 0.003))
    assert inoculant_amount(300.0).coarsest_grain == 0.003
    assert inoculant_amount(301.0).coarsest_grain == 0.006
    assert inoculant_amount(400.0, "ductile-iron") == pytest.approx((3.0, 0.0075, 0.001, 0.006))


def test_fade_clock_warns_at_8_and_ends_at_12_minutes():
    assert fade_clock() == pytest.approx((8 * 60, 12 * 60))
    past = fade_clock(9 * 60.0)
    assert past.left_to_warning == pytest.approx(-60.0)
    assert past.left_to_limit == pytest.approx(180.0)


def test_shake_out_from_a_cooling_curve():
    time, hottest = np.array([0.0, 100.0, 300.0, 700.0]), np.array([1600.0, 1400.0, 800.0, 600.0])
    assert shake_out_time(time, hottest, 700.0) == pytest.approx(500.0)
    assert shake_out_time(time, hottest, 1600.0) == 0.0


def test_shake_out_waits_for_the_last_reheat():
    time, hottest = np.arange(5.0), np.array([900.0, 650.0, 750.0, 600.0, 550.0])
    assert shake_out_time(time, hottest, 700.0) == pytest.approx(2.0 + 50.0 / 150.0)


def test_a_run_that_ends_too_hot_says_so():
    with pytest.raises(SizingError, match="ends after 1 min 40 s with metal at 727 °C; shaking"):
        shake_out_time(np.array([0.0, 100.0]), np.array([1600.0, 1000.0]), 700.0)
