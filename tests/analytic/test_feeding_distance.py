"""Feeding distance of a wide steel plate, in the band between two published rules.

Pellini and Bishop (1950): 2 T by the feeder and 2.5 T by the end, 4.5 T together (from memory).
Carlson, Ou, Hardin & Beckermann (2002), Metall. Mater. Trans. B 33: longer distances, about twice
the old, by a Niyama value of 0.1 (K s)^1/2/mm (abstract; limit from memory). The plates and the
limit are those of ``benchmarks/feeding_distance.py``.
"""

import importlib.util
import sys
from pathlib import Path

import pytest

PLACE = Path(__file__).parents[2] / "benchmarks" / "feeding_distance.py"
OLD, LATER = 4.5, 9.0  # thicknesses


@pytest.fixture(scope="module")
def bench():
    spec = importlib.util.spec_from_file_location("feeding_distance", PLACE)
    module = importlib.util.module_from_spec(spec)
    sys.modules["feeding_distance"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def plates(bench):
    return {thickness: bench.plate(thickness) for thickness in (25, 75)}


@pytest.mark.parametrize("thickness", [25, 75])
def test_distance_lies_between_the_rules(plates, thickness):
    one = plates[thickness]
    assert OLD < one.reach < LATER
    assert one.by_feeder > 2.0
    assert one.by_end > 2.5


def test_distance_goes_with_the_thickness(plates):
    assert plates[25].reach == pytest.approx(plates[75].reach, rel=0.05)


def test_finer_cells_find_the_same(bench, plates):
    assert bench.plate(75, cells=19).reach == pytest.approx(plates[75].reach, rel=0.05)


def test_a_plate_within_the_distance_is_sound_and_one_beyond_it_is_not(bench, plates):
    """The distance is told from one long plate; plates of these lengths bear it out."""
    reach = plates[75].reach
    assert bench.plate(75, length=round(reach - 1.5)).niyama.min() > bench.LIMIT
    assert bench.plate(75, length=round(reach + 1.5)).niyama.min() < bench.LIMIT
