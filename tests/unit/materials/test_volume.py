"""How melts change their volume."""

import numpy as np
import pytest

from solidsim.materials import library_material, library_names
from solidsim.materials.iron_formulas import eutectic_volume_change

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


def test_graphite_is_what_a_white_eutectic_lacks():
    """Heine: the eutectic changes by 2 (Gr - 2.80) percent, so graphite adds 2 Gr."""
    law, iron = (getattr(library_material("gray-iron"), name) for name in ("volume", "iron"))
    primary = iron.primary_share
    assert law.graphite_growth[law.solid_fraction <= primary + 1e-4] == pytest.approx(0.0, abs=1e-4)
    assert law.graphite_growth[-1] == pytest.approx(2.0 * iron.graphite_share)
    white = law.relative_volume - law.graphite_growth
    assert white[-1] - white[-2] == pytest.approx(-0.056, abs=2e-4)


def test_eutectic_volume_change_turns_at_2_8_percent_graphite():
    assert eutectic_volume_change(0.0279) < 0.0 < eutectic_volume_change(0.0281)
    assert eutectic_volume_change(0.028) == 0.0
    step = eutectic_volume_change(0.03) - eutectic_volume_change(0.02)
    assert step == pytest.approx(0.02)


@pytest.mark.parametrize("name", ["carbon-steel-0.25", "a356", "tin-bronze"])
def test_other_alloys_hold_no_graphite(name):
    assert not library_material(name).volume.graphite_growth.any()


def test_soft_molds_give_way_more_than_hard_ones():
    share = {name: library_material(name).wall_movement for name in library_names()}
    assert share["green-sand"] > share["oil-bonded-sand"] > share["dry-silica-sand"]
    assert share["dry-silica-sand"] > share["investment-shell"]
    for name, value in share.items():
        assert np.isfinite(value) == (library_material(name).kind == "mold")
