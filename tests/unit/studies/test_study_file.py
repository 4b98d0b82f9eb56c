"""Studies as they are written: ranges, plans and faults."""

import pytest

from solidsim.errors import CaseError, QuantityError
from solidsim.studies.planning import planned_values
from solidsim.studies.ranges import list_input, range_input
from solidsim.studies.study_file import read_study

PATH = ("pour", "temperature")


def test_a_grid_takes_every_value_with_every_other(study_file):
    values = planned_values(read_study(study_file))
    assert values == [
        (width, height) for width in ("20 mm", "30 mm", "40 mm") for height in ("40 mm", "60 mm")
    ]


def test_a_latin_hypercube_takes_each_stratum_once(changed_study):
    study = read_study(
        changed_study(
            'case = "bar.toml"', 'case = "bar.toml"\nmethod = "latin-hypercube"\ncount = 8'
        )
    )
    rows = planned_values(study)
    assert rows == planned_values(study)
    widths = [study.inputs[0].number_of(width) for width, _ in rows]
    assert sorted(int((width - 0.02) / 0.02 * 8) for width in widths) == list(range(8))
    assert [height for _, height in rows].count("40 mm") == 4


@pytest.mark.parametrize(
    ("ends", "middle", "number"),
    [
        (["1200 °C", "1400 °C"], "1300 °C", 1573.15),
        (["1 in", "2 in"], "1.5 in", 0.0381),
        (["2400 °F", "2500 °F"], "2450 °F", 1616.4833),
        ([0.2, 0.4], 0.3, 0.3),
    ],
)
def test_ranges_in_the_units_they_are_written_in(ends, middle, number):
    one = range_input("it", PATH, tuple(ends), 3, "metric")
    assert one.values[1] == pytest.approx(middle) if middle == 0.3 else one.values[1] == middle
    assert one.numbers[1] == pytest.approx(number, rel=1e-6)
    assert one.at(0.5) == one.values[1]


def test_words_are_numbered():
    one = list_input("sand", ("mold", "sand"), ["green-sand", "dry-silica-sand"])
    assert one.kind == "word"
    assert one.number_of("dry-silica-sand") == 2.0
    assert [one.at(share) for share in (0.0, 0.49, 0.5, 1.0)] == [
        *["green-sand"] * 2, *["dry-silica-sand"] * 2,
    ]  # fmt: skip


@pytest.mark.parametrize("ends", [("40 mm", "20 mm"), ("20 mm", "30 s"), ("a", "b")])
def test_no_range(ends):
    with pytest.raises(QuantityError):
        range_input("it", PATH, ends, 3, "metric")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("steps = 3", "stips = 3", r"feeder.toml:8:1: input.1.stips: unknown key"),
        ('part["feeder"].width', 'part["feder"].width', '"feder" in the case.*"feeder"'),
        ('values = ["40 mm", "60 mm"]', 'ends = true\nrange = ["40 mm", "60 mm"]', "exactly one"),
        ('range = ["20 mm", "40 mm"]', 'range = ["20", "40 mm"]', "two quantities of one kind"),
        ('case = "bar.toml"', 'case = "ber.toml"', "no such file"),
        ('plus = "20 mm"', 'plus = "20"', "input|link.2: .*no unit"),
    ],
)
def test_faults_say_where_and_what(changed_study, old, new, said):
    with pytest.raises(CaseError, match=said):
        read_study(changed_study(old, new))
