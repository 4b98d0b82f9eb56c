"""Cards at the ends of their stated ranges, and cards to start from."""

import tomllib

import pytest

from solidsim.materials import (
    at_range_end,
    build_material,
    card_template,
    library_material,
    library_names,
    ranged_keys,
    read_card,
)


def build(data):
    faults = []
    material = build_material(
        "x", data, standing="given", report=lambda *fault: faults.append(fault)
    )
    assert not faults
    return material


@pytest.mark.parametrize("name", library_names())
def test_every_card_builds_at_both_ends_of_every_range(name):
    card, material = read_card(name), library_material(name)
    for key in ranged_keys(material):
        for end in ("low", "high"):
            assert build(at_range_end(card, material, key, end)).name == "x"


def test_a_list_gives_its_ends_and_a_share_scales_the_table():
    card, material = read_card("tin-bronze"), library_material("tin-bronze")
    low, high = (build(at_range_end(card, material, "latent_heat", end)) for end in ("low", "high"))
    assert (low.latent_heat, high.latent_heat) == (180e3, 207e3)
    better = build(at_range_end(card, material, "conductivity", "high"))
    at = material.curve.enthalpy_at(500.0)
    assert better.curve.conductivity_at(at) == pytest.approx(
        1.25 * material.curve.conductivity_at(at), rel=0.01
    )


def test_what_follows_from_a_composition_follows():
    card, material = read_card("gray-iron"), library_material("gray-iron")
    lean = build(at_range_end(card, material, "iron.carbon", "low"))
    assert lean.iron.carbon == pytest.approx(0.032)
    assert lean.liquidus == pytest.approx(material.liquidus + 22, abs=0.5)


def test_a_case_card_is_moved_as_written_there():
    card = {"base": "green-sand", "moisture": "3 %"}
    material = build(card)
    tight = build(at_range_end(card, material, "sand.hot_contact", "high"))
    at = 1200.0
    assert tight.curve.conductivity_at(
        tight.curve.enthalpy_at(at)
    ) > material.curve.conductivity_at(material.curve.enthalpy_at(at))
    plateau = tight.curve.zones[1].enthalpy
    assert plateau[-1] - plateau[0] == pytest.approx(1600 * 0.03 * 2.2564e6)


def test_freezing_shrinkage_moves_with_the_solid():
    card, material = read_card("gray-iron"), library_material("gray-iron")
    more = build(at_range_end(card, material, "freezing_volume", "low")).volume
    assert more.relative_volume[0] == 1.0
    gap = material.volume.relative_volume[-1] - more.relative_volume[-1]
    assert gap == pytest.approx(0.01, abs=1e-4)


@pytest.mark.parametrize("name", library_names())
def test_a_card_to_start_from_is_its_base_until_changed(name):
    text = card_template(name, "Ours")
    data = tomllib.loads(text)
    assert data == {"base": name, "title": "Ours"}
    assert build(data).density == library_material(name).density


def test_an_entry_of_it_can_be_taken_into_use():
    text = card_template("tin-bronze")
    entry = next(part for part in text.split("\n\n") if part.startswith("# [latent_heat]"))
    used = entry.replace("# ", "").replace("192 kJ/kg", "188 kJ/kg")
    assert build(tomllib.loads(text.replace(entry, used))).latent_heat == 188e3
