import math

import pytest

from solidsim.errors import SizingError
from solidsim.sizing.gating import gate_speed
from solidsim.sizing.kinds import INCH
from solidsim.sizing.pouring import (
    copper_pouring_time,
    ductile_pouring_time,
    iron_pouring_time,
    quiet_pouring_time,
    steel_pouring_time,
)


def test_iron_of_20_kg_and_of_a_ton():
    """Worked from the AFS equations as printed in Rao, Manufacturing Technology."""
    assert round(iron_pouring_time(20.0, 0.015, 28 * INCH), 2) == 7.63
    assert round(iron_pouring_time(1000.0, 0.040, 0.75 * 40 * INCH), 2) == 27.29


@pytest.mark.parametrize(("pounds", "inches"), [(10, 0.25), (100, 1.0), (800, 3.0)])
def test_iron_in_pounds_and_inches(pounds, inches):
    """The imperial form K (0.95 + T / 0.853) sqrt(W)."""
    ours = iron_pouring_time(pounds * 0.45359237, inches * INCH, 40 * INCH)
    assert ours == pytest.approx((0.95 + inches / 0.853) * math.sqrt(pounds), rel=1e-3)


def test_the_small_form_holds_up_to_450_kg():
    small, large = (iron_pouring_time(kg, 0.015) for kg in (450.0, 450.1))
    assert large / small == pytest.approx(0.317, abs=1e-3)


def test_steel_of_20_and_100_kg():
    assert round(steel_pouring_time(20.0), 2) == 8.58
    assert round(steel_pouring_time(100.0), 2) == 16.43
    with pytest.raises(SizingError, match="poured weight must be less than weight at which"):
        steel_pouring_time(2e5)


def test_ductile_and_copper_constants():
    assert ductile_pouring_time(25.0) == pytest.approx(1.82 * 5.0)
    assert copper_pouring_time(27.0, "tin-bronze") == pytest.approx(8.4)
    assert copper_pouring_time(27.0, "top-gated") < copper_pouring_time(27.0, "bottom-gated")


def test_quiet_time_gives_the_speed_it_was_made_for():
    time = quiet_pouring_time(3.0, 2400.0, 3e-4)
    assert gate_speed(3.0, 2400.0, time, 3e-4).velocity == pytest.approx(0.5)
