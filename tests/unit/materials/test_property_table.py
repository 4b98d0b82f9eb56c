"""Property tables against slow, obvious integrals."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solidsim.materials.property_table import PropertyTable


def naive_integral(table: PropertyTable, start: float, end: float) -> float:
    """Sum over the pieces between nodes, each a trapezoid."""
    inner = [t for t in table.temperature if min(start, end) < t < max(start, end)]
    corners = sorted({start, end, *inner})
    total = 0.0
    for low, high in pairwise(corners):
        left, right = float(table.at(low, "above")), float(table.at(high, "below"))
        total += 0.5 * (left + right) * (high - low)
    return total if end >= start else -total


@st.composite
def tables(draw):
    gaps = draw(st.lists(st.floats(0.5, 300.0), min_size=1, max_size=6))
    nodes = 300.0 + np.cumsum([0.0, *gaps])
    steps = draw(st.lists(st.booleans(), min_size=nodes.size, max_size=nodes.size))
    nodes = np.sort(np.concatenate([nodes, nodes[np.array(steps)]]))
    count = nodes.size
    value = draw(st.lists(st.floats(0.1, 5000.0), min_size=count, max_size=count))
    return PropertyTable(nodes, np.array(value))


@given(tables(), st.floats(100.0, 2500.0), st.floats(100.0, 2500.0))
def test_the_integral_is_that_of_the_straight_lines(table, start, end):
    expected = naive_integral(table, start, end)
    assert float(table.integral(end, start)) == pytest.approx(expected, rel=1e-9, abs=1e-6)


def test_a_step_has_two_sides():
    table = PropertyTable(np.array([300.0, 400.0, 400.0, 500.0]), np.array([1.0, 2.0, 5.0, 6.0]))
    assert table.at(400.0, "below") == 2.0
    assert table.at(400.0, "above") == 5.0
    assert list(table.at(np.array([350.0, 450.0]))) == [1.5, 5.5]


def test_outside_the_table_the_end_values_hold():
    table = PropertyTable(np.array([300.0, 300.0, 500.0, 500.0]), np.array([1.0, 2.0, 4.0, 9.0]))
    assert list(table.at(np.array([100.0, 900.0]))) == [1.0, 9.0]
    assert list(table.at(np.array([100.0, 900.0]), "below")) == [1.0, 9.0]
    assert list(table.at(np.array([300.0, 500.0]), "below")) == [1.0, 4.0]
    assert list(table.at(np.array([300.0, 500.0]), "above")) == [2.0, 9.0]


def test_a_constant_is_the_same_everywhere():
    table = PropertyTable.constant(7.0)
    assert list(table.at(np.array([1.0, 298.15, 2000.0]))) == [7.0, 7.0, 7.0]
    assert float(table.integral(400.0, 300.0)) == pytest.approx(700.0)
