"""Joints between materials."""

import numpy as np
import pytest

from solidsim.materials import interface_between, library_material


def test_the_gap_opens_as_the_skin_forms():
    iron, sand = library_material("gray-iron"), library_material("green-sand")
    joint = interface_between(iron, sand)
    assert joint.temperature[-1] == iron.liquidus
    assert joint.temperature[-2] == iron.solidus
    assert np.all(np.diff(joint.temperature) > 0)
    assert np.all(np.diff(joint.conductance) > 0)
    assert "from memory" in joint.source


def test_the_order_of_the_two_does_not_matter():
    bronze, chill = library_material("tin-bronze"), library_material("iron-chill")
    one, other = interface_between(bronze, chill), interface_between(chill, bronze)
    assert list(one.temperature) == list(other.temperature)


def test_a_chill_draws_better_than_sand_and_sand_better_than_a_sleeve():
    iron = library_material("gray-iron")
    names = ("iron-chill", "green-sand", "insulating-sleeve")
    best = [interface_between(iron, library_material(name)).conductance.max() for name in names]
    assert best == sorted(best, reverse=True)


@pytest.mark.parametrize("name", ["gray-iron", "still-air"])
def test_one_kind_or_a_gas_touches_perfectly(name):
    assert interface_between(library_material("gray-iron"), library_material(name)) is None
