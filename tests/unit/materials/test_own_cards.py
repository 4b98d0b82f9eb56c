"""A founder's own card files."""

import pytest

from solidsim.errors import MaterialError
from solidsim.materials import card_material

CARD = """\
base = "green-sand"
title = "Our pit sand"

[moisture]
value = "2.5 %"
source = "our moisture tester, spring"
grade = "measured"
"""


def test_a_card_extends_one_of_the_library(tmp_path):
    path = tmp_path / "pit-sand.toml"
    path.write_text(CARD, encoding="utf-8")
    material = card_material(path)
    assert (material.name, material.title, material.kind) == ("pit-sand", "Our pit sand", "mold")
    standing = {own.key: (own.standing, own.grade) for own in material.properties}
    assert standing["moisture"] == ("given", "measured")
    assert standing["density"] == ("preset", "estimated")
    assert set(material.card) > {"moisture", "density", "conductivity"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"2.5 %"', '"2.5 kg"', r"pit-sand.toml:5:1: moisture.value: .*kg"),
        ('source = "our moisture tester, spring"', "", r":4:2: moisture.source: no source"),
        ('base = "green-sand"', 'base = "green-snad"', r":1:1: base: .*write \"green-sand\""),
        ('title = "Our pit sand"', 'titel = "Our pit sand"', r":2:1: titel: unknown key; .*title"),
        ('"2.5 %"', "2.5 %", r"pit-sand.toml:5:\d+: .*TOML"),
    ],
)
def test_a_fault_is_placed_in_the_file(tmp_path, old, new, said):
    path = tmp_path / "pit-sand.toml"
    path.write_text(CARD.replace(old, new), encoding="utf-8")
    with pytest.raises(MaterialError, match=said):
        card_material(path)
