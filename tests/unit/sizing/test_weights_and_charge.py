import pytest

from solidsim.errors import SizingError
from solidsim.sizing.weight import casting_yield, crucible_room, melt_charge, weight


def test_weight_of_a_casting():
    assert weight(2.5e-3, 7100.0) == pytest.approx(17.75)


def test_charge_closes_its_balance():
    charge = melt_charge(12.0, 6.0, pigged_share=0.1, melting_loss=0.04)
    assert charge.poured_weight == 18.0
    assert charge.charge == pytest.approx(
        charge.poured_weight + charge.pigged_weight + charge.lost_weight
    )
    assert charge.lost_weight == pytest.approx(0.04 * charge.charge)


def test_yield_is_the_share_of_casting():
    assert casting_yield(12.0, 6.0) == pytest.approx(2.0 / 3.0)
    assert casting_yield(12.0, 0.0) == 1.0


@pytest.mark.parametrize(
    ("charge", "heats", "left"), [(18.0, 1, 0.0), (18.1, 2, -0.1), (9.0, 1, 9.0)]
)
def test_room_in_a_crucible_of_20_kg_filled_to_nine_tenths(charge, heats, left):
    room = crucible_room(charge, 20.0)
    assert room.heats == heats
    assert room.room_left == pytest.approx(left)


def test_a_loss_above_half_is_refused():
    with pytest.raises(SizingError, match=r"melting loss must lie between 0 and 0\.5; given 3"):
        melt_charge(12.0, 6.0, melting_loss=3.0)
