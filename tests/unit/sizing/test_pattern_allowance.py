import pytest

from solidsim.errors import SizingError
from solidsim.quantities import read_quantity
from solidsim.sizing.allowance import (
    ALLOWANCES,
    machining_stock,
    pattern_allowance,
    pattern_size,
)


@pytest.mark.parametrize(
    ("alloy", "percent"),
    [  # "Shrinkage of Materials", reprint of the Westermann tables
        ("gray-iron", 1.0),
        ("steel", 2.0),
        ("malleable-iron", 1.6),
        ("bronze", 1.5),
        ("brass", 1.5),
        ("aluminum", 1.25),
        ("magnesium", 1.25),
    ],
)
def test_contraction_of_the_percent_table(alloy, percent):
    allowance = pattern_allowance(alloy)
    assert allowance.contraction == pytest.approx(percent / 100.0)
    assert allowance.scale == pytest.approx(1.0 + percent / 100.0)


@pytest.mark.parametrize(
    ("alloy", "per_foot"),
    [
        # Dooley 1919, Applied Science for Metal Workers, section 426
        ("gray-iron", "3/32 in/ft"),
        ("steel", "3/16 in/ft"),
        ("aluminum", "7/32 in/ft"),
        ("brass", "3/16 in/ft"),
        ("brass", "7/32 in/ft"),
        ("bronze", "5/32 in/ft"),
        ("zinc", "7/32 in/ft"),
        # patternmaker's shrink rules
        ("gray-iron", "1/8 in/ft"),
        ("steel", "1/4 in/ft"),
        ("aluminum", "5/32 in/ft"),
        ("bronze", "3/16 in/ft"),
        ("copper", "3/16 in/ft"),
        ("zinc", "5/16 in/ft"),
    ],
)
def test_range_holds_the_shrink_rules(alloy, per_foot):
    _, least, most, _ = pattern_allowance(alloy)
    contraction = read_quantity(per_foot, "contraction")
    assert least * (1.0 - 1e-12) <= contraction <= most * (1.0 + 1e-12)


def test_every_value_lies_in_its_range():
    for contraction, least, most in ALLOWANCES.values():
        assert least <= contraction <= most


def test_a_foot_of_gray_iron_on_an_eighth_rule():
    size = pattern_size(0.3048, read_quantity("1/8 in/ft", "contraction"))
    assert size.pattern_length == pytest.approx(read_quantity("12 1/8 in", "length"), rel=1e-12)


def test_stock_counts_on_each_machined_end_before_the_shrink():
    size = pattern_size(0.200, 0.01, stock=0.003, machined_ends=2)
    assert size.casting_length == pytest.approx(0.206)
    assert size.pattern_length == pytest.approx(0.206 * 1.01)


@pytest.mark.parametrize(
    ("side", "drag", "cope"),  # Badger Iron Works, typical minimum machine finish allowance
    [
        ("8 in", "0.125 in", "0.156 in"),
        ("8.1 in", "0.156 in", "0.1875 in"),
        ("14 in", "0.156 in", "0.1875 in"),
        ("14.1 in", "0.1875 in", "0.25 in"),
        ("18 in", "0.1875 in", "0.25 in"),
        ("18.1 in", "0.25 in", "0.3125 in"),
        ("24 in", "0.25 in", "0.3125 in"),
        ("24.1 in", "0.3125 in", "0.375 in"),
        ("30 in", "0.3125 in", "0.375 in"),
        ("30.1 in", "0.375 in", "0.5 in"),
        ("36 in", "0.375 in", "0.5 in"),
    ],
)
def test_machining_stock_of_the_table(side, drag, cope):
    stock = machining_stock(read_quantity(side, "length"))
    assert stock == pytest.approx((read_quantity(drag, "length"), read_quantity(cope, "length")))


def test_past_the_table_and_unknown_alloys_are_refused():
    with pytest.raises(SizingError, match="ends at a longest side of 36 in; given 40 in"):
        machining_stock(40 * 0.0254)
    with pytest.raises(SizingError, match='alloy "pewter" is not known; allowed: gray-iron'):
        pattern_allowance("pewter")
    with pytest.raises(SizingError, match="machined ends must be a whole number from 0 to 2"):
        pattern_size(0.2, 0.01, 0.003, 1.5)
