"""How melts change their volume."""

import numpy as np
import pytest

from solidsim.materials import library_material, library_names

ALLOYS = [name for name in library_names() if library_material(name).kind == "alloy"]


@pytest.mark.parametrize("name", ALLOYS)
def test_every_alloy_says_how_it_shrinks(name):
    material = library_material(name)
    assert float(material.volume.at(0.0, 0.0)) == 1.0
    assert 1.005 < float(material.volume.at(100.0, 0.0)) < 1.02
    assert -0.07 < float(material.volume.at(0.0, 1.0)) - 1 < 0.01
    assert 0.003 < material.pattern_allowance < 0.025


def test_gray_iron_by_hand():
    """Austenite 3.5 % of a tenth; eutectic 2 (2.3 - 2.8) percent."""
    material = library_material("gray-iron")
    primary = material.iron.primary_share
    volume = material.volume.at(0.0, np.array([primary, 1.0]))
    assert volume[0] == pytest.approx(1 - 0.035 * primary, abs=1e-4)
    assert volume[1] - volume[0] == pytest.approx(-0.010, abs=1e-4)
    assert float(material.volume.at(200.0, 0.0)) == pytest.approx(1.03)


def test_rich_iron_grows_where_lean_iron_and_steel_shrink():
    rich, lean, steel = (
        float(library_material(name).volume.at(0.0, 1.0))
        for name in ("ductile-iron", "gray-iron-class-40", "carbon-steel-0.25")
    )
    assert steel < lean < rich
    assert rich == pytest.approx(1 + 2 * (0.0255 - 0.028), abs=1e-4)
