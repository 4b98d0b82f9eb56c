"""Ten broken case files: one line each with its place, exit code 3, nothing lost."""

import json
from pathlib import Path

import pytest

SLIPS = {  # what is broken: text of the whole case, what stands there instead, the key in fault
    "wrong unit": ('"1370 °C"', '"1370 mm"', "pour.temperature"),
    "bare number": ('cell = "5 mm"', "cell = 5", "section.cell"),
    "unknown key": ("alloy =", "aloy =", "pour.aloy"),
    "open polygon": (
        'rectangle = { from = ["0 mm", "0 mm"], to = ["100 mm", "20 mm"] }',
        'polygon = [["0 mm", "0 mm"], ["100 mm", "20 mm"]]',
        "part.bar.polygon",
    ),
    "overlapping names": ('name = "feeder"', 'name = "bar"', "part"),
    "part outside the box": ('"70 mm", "80 mm"]', '"70 mm", "180 mm"]', "part.feeder.rectangle"),
    "missing alloy": ('alloy = "gray-iron"', "", "pour.alloy"),
    "negative size": ('"5 mm"', '"-5 mm"', "section.cell"),
    "bad TOML": ('title = "Bar', 'title = Bar"', "syntax"),
    "below absolute zero": ('"1370 °C"', '"-300 °C"', "pour.temperature"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_one_line_with_its_place(ask, case_file, case_text, slip):
    kept = Path("runs/bar.h5")
    kept.parent.mkdir()
    kept.write_bytes(b"the last good run")
    before, after, key = SLIPS[slip]
    assert case_text.count(before) == 1
    case_file.write_text(case_text.replace(before, after), encoding="utf-8")
    result = ask("pour", case_file)
    assert (result.exit_code, result.stdout) == (3, "")
    lines = result.stderr.splitlines()
    if slip == "unknown key":  # the alloy is missing, too
        lines = [line for line in lines if "aloy: unknown key" in line]
    (line,) = lines
    number = case_text[: case_text.index(before)].count("\n") + 1
    places = {number} if slip != "missing alloy" else {number, number - 1}
    assert any(line.startswith(f"bar.toml:{place}:") for place in places), line
    assert key in line
    assert "Traceback" not in result.output
    assert kept.read_bytes() == b"the last good run"
    assert list(kept.parent.iterdir()) == [kept]


def test_all_faults_at_once(ask, case_file, case_text):
    text = case_text.replace('"1370 °C"', '"hot"').replace('role = "feeder"', 'role = "riser"')
    case_file.write_text(text, encoding="utf-8")
    result = ask("check", case_file)
    assert result.exit_code == 3
    assert len(result.stderr.splitlines()) == 2


def test_faults_as_a_document(ask, case_file, case_text):
    case_file.write_text(case_text.replace('"gray-iron"', '"gray-irn"'), encoding="utf-8")
    result = ask("pour", case_file, "--json")
    assert result.exit_code == 3
    document = json.loads(result.stdout)
    assert document["exit_code"] == 3
    (fault,) = document["faults"]
    assert (fault["key"], fault["line"], fault["write"]) == ("pour.alloy", 7, '"gray-iron"')


def test_no_such_case(ask, tmp_path):
    result = ask("pour", tmp_path / "none.toml")
    assert result.exit_code == 3
    assert "none.toml" in result.stderr


def test_traceback_free_in_a_shell(shell, case_file, case_text):
    case_file.write_text(case_text.replace('"5 mm"', '"5 K"'), encoding="utf-8")
    answer = shell("pour", case_file)
    assert answer.returncode == 3
    assert answer.stdout == ""
    assert answer.stderr.startswith("bar.toml:4:1: section.cell")
