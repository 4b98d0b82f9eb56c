"""A card file beside a case is found, used, kept in the run, and its faults are placed in it."""

import pytest

from solidsim.case import read_case
from solidsim.errors import CaseError
from solidsim.model import build_model

CASE = """\
title = "Bar"
[section]
cell = "5 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
[mold]
sand = "pit-sand"
[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["100 mm", "20 mm"] }
"""
CARD = """\
base = "green-sand"
title = "Our pit sand"
moisture = { value = "2.5 %", source = "our tester", grade = "measured" }
"""


@pytest.fixture
def build(tmp_path):
    """Build the model of the case with cards beside it, by name."""

    def with_cards(case=CASE, case_name="bar", **cards):
        for name, text in cards.items():
            (tmp_path / f"{name.replace('_', '-')}.toml").write_text(text, encoding="utf-8")
        path = tmp_path / f"{case_name}.toml"
        path.write_text(case, encoding="utf-8")
        return build_model(read_case(path))

    return with_cards


def test_a_card_beside_the_case_is_used_and_kept(build):
    model = build(pit_sand=CARD)
    sand = model.materials[model.mold]
    assert (sand.name, sand.title) == ("pit-sand", "Our pit sand")
    assert model.provenance["card_texts"] == {"pit-sand.toml": CARD}
    assert model.provenance["cards"]["pit-sand"]["moisture"]["value"] == "2.5 %"
    assert model.provenance["cards"]["pit-sand"]["sand"]["grain"] == "silica"
    first = model.provenance["case_hash"]
    assert build(pit_sand=CARD.replace("2.5", "2.6")).provenance["case_hash"] != first


def test_it_overrides_a_library_card_of_the_same_name(build):
    model = build(CASE.replace("pit-sand", "green-sand"), green_sand=CARD)
    assert model.materials[model.mold].title == "Our pit sand"


def test_a_table_in_the_case_goes_before_it(build):
    table = '[material.pit-sand]\nbase = "zircon-sand"\ntitle = "In the case"\n'
    model = build(CASE + table, pit_sand=CARD)
    assert model.materials[model.mold].title == "In the case"
    assert model.provenance["card_texts"] == {}


def test_names_may_be_written_in_words(build):
    model = build(CASE.replace('"pit-sand"', '"Pit sand"'), pit_sand=CARD)
    assert model.materials[model.mold].title == "Our pit sand"


def test_cases_are_no_cards(build):
    """A case may be named after its alloy, and so may another case beside it."""
    model = build(CASE.replace("pit-sand", "green-sand"), "gray-iron", green_sand=CASE)
    assert [material.title for material in model.materials] == [
        "Gray iron, soft",
        "Green silica sand, 3.5 % water",
    ]


def test_faults_are_placed_in_the_card(build, tmp_path):
    broken = CARD.replace('"2.5 %"', '"2.5 kg"').replace("title", "titel")
    with pytest.raises(CaseError) as caught:
        build(pit_sand=broken)
    path = str(tmp_path / "pit-sand.toml")
    assert [(f.file, f.line, f.key) for f in caught.value.faults] == [
        (path, 2, "titel"),
        (path, 3, "moisture.value"),
    ]


def test_faults_of_case_and_card_come_together(build):
    case = CASE.replace('"gray-iron"', '"gray-irn"')
    with pytest.raises(CaseError) as caught:
        build(case, pit_sand="density = 3")
    assert {fault.key for fault in caught.value.faults} >= {"pour.alloy", "density"}


def test_a_card_that_is_no_text(build, tmp_path):
    (tmp_path / "pit-sand.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(CaseError, match=r"pit-sand.toml:1:1: file: not a utf-8 text"):
        build()


def test_no_card_outside_the_folder(build, tmp_path):
    (tmp_path.parent / "far.toml").write_text(CARD, encoding="utf-8")
    with pytest.raises(CaseError, match="no material"):
        build(CASE.replace('"pit-sand"', '"../far"'))
