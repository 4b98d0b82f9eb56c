"""Records beside cases: where they stand, the form, and faults in the words of a case."""

import re
from datetime import date
from pathlib import Path

import pytest

from solidsim.case import read_case_text, read_record, record_form, record_path
from solidsim.case.record import RecordDescription
from solidsim.errors import CaseError

WHOLE = (Path(__file__).parent / "whole" / "cheek.toml").read_text(encoding="utf-8")
PARTS = ("cheek", "boss")


@pytest.fixture
def record(tmp_path):
    def write(text):
        path = tmp_path / "record.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_a_record_stands_beside_its_case():
    assert record_path(Path("bracket/case.toml")) == Path("bracket/record.toml")
    assert record_path(Path("bracket/chills.toml")) == Path("bracket/chills.record.toml")


def test_values_are_in_si(record):
    text = 'date = 2024-05-17\npour_temperature = "2500 °F"\nwedge = "1/4 in"\nfill_time = "9 s"\n'
    read = read_record(record(text), PARTS).description
    assert read.date_ == date(2024, 5, 17)
    assert read.pour_temperature == pytest.approx((2500 + 459.67) / 1.8)
    assert (read.wedge, read.fill_time) == (0.25 * 0.0254, 9.0)


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_form_is_empty_until_the_marks_are_taken_off(units, record):
    form = record_form(read_case_text(f'units = "{units}"\n{WHOLE}'))
    assert read_record(record(form), PARTS).description == RecordDescription()
    form = form.replace('"web"', '"boss"')
    filled = re.sub(r"^# (?=\[\[|\w+ += )", "", form, flags=re.MULTILINE)
    read = read_record(record(filled), PARTS).description
    assert read.defect[0].part == "boss"
    assert None not in read.model_dump().values()
    assert ("°F" in form) == (units == "inch")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('pour_temp = "1370 °C"', ("1:1: pour_temp: unknown key", "write pour_temperature")),
        ("wedge = 5", ("1:1: wedge: 5 has no unit", 'write "5 mm"')),
        ('\nfill_time = "-9 s"', ('2:1: fill_time: "-9 s"', 'write "9 s"')),
        ('date = "soon"', ('1:1: date: "soon"', "a date; write 2024-05-17")),
        ('[[defect]]\npart = "bos"\nkind = "gas"', ("2:1: defect.1.part", 'write "boss"')),
        ('[[defect]]\nkind = "gaz"', ("2:1: defect.1.kind", 'write "gas"')),
        ('[[defect]]\npart = "boss"', ("defect.1.kind: missing", 'kind = "shrinkage"')),
        ("wedge = ", ("1:9: syntax",)),
    ],
)
def test_faults_say_where_and_what_to_write(text, expected, record):
    path = record(text)
    with pytest.raises(CaseError) as caught:
        read_record(path, PARTS)
    (fault,) = caught.value.faults
    assert str(fault).startswith(f"{path}:")
    assert all(words in str(fault) for words in expected)


def test_a_missing_record_is_a_fault(tmp_path):
    with pytest.raises(CaseError, match="a record file"):
        read_record(tmp_path / "none.toml", PARTS)


def test_the_workshop_is_read_and_stays_out_of_what_was_not_written():
    case = read_case_text(f'{WHOLE}\n[workshop]\ncrucible = "60 lb"\nflask = ["18 in", "9 in"]')
    shop = case.description.workshop
    assert shop.crucible == pytest.approx(60 * 0.45359237)
    assert shop.flask == pytest.approx((18 * 0.0254, 9 * 0.0254))
    assert (case.standing("workshop.crucible"), case.standing("workshop.parting")) == (
        "given",
        "assumed",
    )
    assert read_case_text(WHOLE).description.workshop is None


def test_faults_of_the_workshop_are_those_of_any_table():
    with pytest.raises(CaseError) as caught:
        read_case_text(f'{WHOLE}\n[workshop]\ncrucibel = "30 kg"\nparting = 0')
    assert [fault.write for fault in caught.value.faults] == ["crucible", '"0 mm"']
