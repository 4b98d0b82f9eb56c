import pytest

from solidsim.errors import SizingError
from solidsim.quantities import GRAVITY
from solidsim.sizing.cope_lift import cope_lift, core_lift

METAL, SAND = 0.0771e6 / GRAVITY, 0.0165e6 / GRAVITY  # kg/m3, of 0.0771 and 0.0165 N/cm3


def test_rao_pipe():
    """Pipe of 12.5 cm over a core of 10 cm, 180 cm long, head 20 cm, flask 200 x 25 x 20 cm.

    The book prints a net lift of 2676.7 N; its own parts add up to 2676.2 N.
    """
    sand = SAND * 2.00 * 0.25 * 0.20
    lift = cope_lift(METAL, 0.20, 0.125 * 1.80, sand, 14137.2e-6, SAND, safety_factor=1.0)
    assert round(lift.metal_lift, 1) == 3469.5
    assert round(lift.core_lift_textbook, 1) == 856.7
    assert round(lift.cope_weight, 1) == 1650.0
    assert round(lift.net_lift_textbook, 1) == round(856.7 + 3469.5 - 1650.0, 1)
    assert lift.added_weight_textbook == pytest.approx(lift.net_lift_textbook / GRAVITY)


def test_both_conventions_of_the_core():
    textbook, ignored = core_lift(14137.2e-6, METAL, SAND)
    assert ignored - textbook == pytest.approx(14137.2 * 0.0165)
    lift = cope_lift(METAL, 0.20, 0.225, 168.0, 14137.2e-6, SAND, 1.5)
    more = lift.added_weight_core_weight_ignored - lift.added_weight_textbook
    assert more == pytest.approx(1.5 * 14137.2 * 0.0165 / GRAVITY)


def test_lead_core():
    """1875 cm3 of core (1.6 g/cm3) in lead (11.3 g/cm3): 178.4 N."""
    assert round(core_lift(1875e-6, 11300.0, 1600.0).textbook, 1) == 178.4


@pytest.mark.parametrize(
    ("metal", "buoyancy_kgf", "cavity", "casting"),
    [(8620.0, 14.0, 4500e-6, 21.60), (7820.0, 23.0, 5000e-6, 10.18)],
)
def test_castings_found_from_the_buoyancy_of_their_core(metal, buoyancy_kgf, cavity, casting):
    """The core that lifts so much leaves a casting of the printed weight in its cavity."""
    core = cavity - casting / metal
    assert core_lift(core, metal, 1600.0).textbook / GRAVITY == pytest.approx(
        buoyancy_kgf, abs=5e-3
    )


def test_iron_under_half_a_meter_of_head():
    """7000 kg/m3 under 0.5 m presses with 34 kPa."""
    lift = cope_lift(7000.0, 0.5, 1.0, 0.0, safety_factor=1.0)
    assert round(lift.metal_lift / 1000) == 34


def test_a_heavy_cope_needs_no_weight():
    lift = cope_lift(7000.0, 0.1, 0.01, 100.0)
    assert lift.net_lift_textbook < 0.0
    assert lift.added_weight_textbook == lift.added_weight_core_weight_ignored == 0.0


def test_a_factor_below_one_is_refused():
    with pytest.raises(SizingError, match=r"safety factor must lie between 1 and 10; given 0\.5"):
        cope_lift(7000.0, 0.1, 0.01, 100.0, safety_factor=0.5)
