"""Margins are found by reruns, and a rerun at what they say bears them out."""

import pytest
from fed_block import fed_block

from solidsim.case import read_case_text
from solidsim.model import build_model
from solidsim.studies import margins
from solidsim.studies.changing import poured_at, until_solid, with_height, with_width
from solidsim.studies.margins import coarse_case, find_margins, holds, judged
from solidsim.studies.range_ends import at_range_ends


def case(width):
    return read_case_text(fed_block(width, side=48, cell=2))


@pytest.fixture(scope="module")
def wide():
    plain = case(40)
    coarse, held = coarse_case(plain, judged(until_solid(plain)))
    assert held
    return coarse, find_margins(coarse, held)


def turn(turns, name):
    return next(one for one in turns if one.name == name)


def test_coarse_cells_judge_as_the_fine_ones_do(wide):
    coarse, _ = wide
    assert build_model(coarse).section.metal_cell >= 0.0039
    assert holds(judged(coarse))


def test_quantities_of_the_founder_are_searched(wide):
    _, turns = wide
    assert [one.name for one in turns] == ["pour temperature", "width of neck", "height of feeder"]
    assert turn(turns, "width of neck").given == pytest.approx(0.040)
    assert turn(turns, "height of feeder").given == pytest.approx(0.090)


def test_the_neck_turns_where_it_says(wide):
    """It holds at the width given out, and fails one step of the search below it."""
    coarse, turns = wide
    found = turn(turns, "width of neck")
    assert 0.012 < found.at < 0.040
    assert holds(judged(with_width(coarse, "neck", found.at)))
    step = (found.given - found.searched) / 2**margins.HALVINGS
    assert not holds(judged(with_width(coarse, "neck", found.at - step)))


def test_what_does_not_turn_holds_to_the_end_of_the_search(wide):
    coarse, turns = wide
    changed = {
        "pour temperature": poured_at,
        "height of feeder": lambda c, v: with_height(c, "feeder", v),
    }
    for name, change in changed.items():
        found = turn(turns, name)
        if found.at is None:
            assert holds(judged(change(coarse, found.searched)))
        else:
            assert holds(judged(change(coarse, found.at)))


def test_a_failing_neck_is_told_how_wide_it_must_be():
    plain = case(20)
    coarse, held = coarse_case(plain, judged(until_solid(plain)))
    assert not held
    found = turn(find_margins(coarse, held), "width of neck")
    assert found.at > 0.020
    assert holds(judged(with_width(coarse, "neck", found.at)))


def test_range_ends_tell_which_value_turns_the_answer(wide):
    """A cutoff of 0.5 instead of 0.7 closes every way sooner; each value is run at both ends."""
    coarse, _ = wide
    ends = at_range_ends(coarse)
    keys = {(end.material, end.key) for end in ends}
    assert len(ends) == 2 * len(keys)
    assert ("carbon-steel-0.25", "feeding_cutoff") in keys
    assert ("dry-silica-sand", "sand.hot_contact") in keys
    assert not {"pattern_allowance", "afs_permeability"} & {key for _, key in keys}
    assert all(end.range_text for end in ends)


def test_what_cannot_be_drawn_is_not_judged(wide):
    """A neck thinner than a cell has no cells; the search goes less far then."""
    coarse, _ = wide
    assert judged(with_width(coarse, "neck", 0.0002)) is None
