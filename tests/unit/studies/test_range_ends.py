"""Findings at the ends of the ranges that cards give: which turn, and for cards of every origin."""

from dataclasses import replace
from pathlib import Path

import pytest

from solidsim.case import read_case
from solidsim.materials import ranged_keys
from solidsim.studies import range_ends
from solidsim.studies.confirming import with_cell

PAWL = Path(__file__).parents[3] / "cases" / "winch_pawl"
CARD = """\
base = "green-sand"
title = "Our pit sand"
moisture = { value = "3 %", range = ["2 %", "4 %"], source = "our tester", grade = "measured" }
"""


@pytest.fixture
def only(monkeypatch):
    """Let only some keys be moved; gives the ends."""

    def ends(case, *keys):
        def chosen(material):
            return tuple(key for key in ranged_keys(material) if key in keys)

        monkeypatch.setattr(range_ends, "ranged_keys", chosen)
        return range_ends.at_range_ends(with_cell(case, 7.5e-3))

    return ends


def test_an_iron_known_by_its_class_turns_over_its_range(only):
    """Feeding to 90 % solid instead of 70, the pawl is fed; carbon alone turns nothing."""
    ends = {
        (one.key, one.end): one
        for one in only(read_case(PAWL / "case.toml"), "feeding_cutoff", "iron.carbon")
    }
    assert len(ends) == 4
    turned = ends["feeding_cutoff", "high"]
    assert turned.holds
    assert ("feeding", "pawl") in turned.turned
    assert turned.range_text == "0.5 to 0.9"
    assert not ends["feeding_cutoff", "low"].holds
    assert not ends["iron.carbon", "low"].turned


def test_what_the_case_gives_has_no_range(only):
    given = read_case(PAWL / "full_composition.toml")
    assert only(given, "feeding_cutoff", "iron.carbon", "iron.silicon") == ()


def test_a_founder_s_own_card_file_is_moved_too(only, tmp_path):
    (tmp_path / "pit-sand.toml").write_text(CARD, encoding="utf-8")
    path = tmp_path / "pawl.toml"
    text = (PAWL / "case.toml").read_text(encoding="utf-8")
    path.write_text(text.replace('"green-sand"', '"pit-sand"'), encoding="utf-8")
    ends = only(read_case(path), "moisture")
    assert [(one.material, one.end) for one in ends] == [("pit-sand", "low"), ("pit-sand", "high")]
    assert ends[0] == replace(ends[1], end="low", turned=ends[0].turned, holds=ends[0].holds)
