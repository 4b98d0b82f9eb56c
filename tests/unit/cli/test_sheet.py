"""The full round: case, pour, sheet, record, judge with prediction against record."""

from pathlib import Path

import pytest

DEEP = '[section]\ncell = "5 mm"\ndepth = "50 mm"\n'


@pytest.fixture
def deep_case(case_file):
    text = case_file.read_text(encoding="utf-8")
    case_file.write_text(text.replace('[section]\ncell = "5 mm"\n', DEEP), encoding="utf-8")
    return case_file


def test_full_round(deep_case, ask, ask_json):
    assert ask("pour", deep_case, "--no-pictures").exit_code == 0
    said = ask("sheet", deep_case, "--record").stdout
    assert said == "wrote bar-sheet.pdf, bar.record.toml\n"
    assert Path("bar-sheet.pdf").read_bytes().startswith(b"%PDF")

    said = ask("judge", "runs/bar.h5").stdout
    assert "Prediction against record (bar.record.toml):\nnothing is filled in yet" in said
    Path("bar.record.toml").write_text(
        'date = 2024-05-17\npour_temperature = "1350 °C"\ncasting_weight = "0.75 kg"\n'
        '[[defect]]\npart = "bar"\nkind = "shrinkage"\nnote = "a pea"\n',
        encoding="utf-8",
    )
    said = ask("judge", "runs/bar.h5").stdout
    assert "Prediction against record of 2024-05-17 (bar.record.toml):" in said
    row = next(line for line in said.splitlines() if line.startswith("pour temperature"))
    assert row.split() == "pour temperature 1370 °C 1350 °C -20 °C".split()
    rows = {row["name"]: row for row in ask_json("judge", "runs/bar.h5")["against_record"]}
    assert rows["casting_weight"]["measured"] == 0.75
    expected = 0.1 * 0.02 * 0.05 * 7100.0
    assert rows["casting_weight"]["predicted"] == pytest.approx(expected, rel=0.05)
    assert rows["shrinkage"]["measured"] == "a pea"


def test_a_sheet_without_a_run_says_so(deep_case, ask_json):
    document = ask_json("sheet", deep_case, "--paper", "letter")
    assert document["with_run"] is False
    assert document["paper"] == "letter"
    assert b"[ 0 0 612 792 ]" in Path(document["sheet"]).read_bytes()


def test_only_the_run_of_this_very_case_counts(deep_case, ask, ask_json):
    ask("pour", deep_case, "--no-pictures")
    assert ask_json("sheet", deep_case)["with_run"] is True
    text = deep_case.read_text(encoding="utf-8")
    deep_case.write_text(f'{text}\n[workshop]\ncrucible = "9 kg"\n', encoding="utf-8")
    assert ask_json("sheet", deep_case)["with_run"] is True
    deep_case.write_text(text.replace("1370", "1350"), encoding="utf-8")
    result = ask("sheet", deep_case)
    assert result.exit_code == 0
    assert "before a change, and is left out" in result.stderr
    result = ask("sheet", deep_case, "--run", "runs/bar.h5")
    assert result.exit_code == 1
    assert "is the run of another case" in result.stderr


def test_record_writes_a_form_once(deep_case, ask):
    assert "wrote bar.record.toml" in ask("record", deep_case).stdout
    form = Path("bar.record.toml").read_text(encoding="utf-8")
    assert "# Parts: bar, feeder, cover." in form
    result = ask("record", deep_case)
    assert result.exit_code == 1
    assert "is not written over" in result.stderr
    assert Path("bar.record.toml").read_text(encoding="utf-8") == form


def test_a_faulty_record_is_a_faulty_input(deep_case, ask):
    ask("pour", deep_case, "--no-pictures")
    Path("bar.record.toml").write_text("wedge = 5\n", encoding="utf-8")
    result = ask("judge", "runs/bar.h5")
    assert result.exit_code == 3
    assert result.stderr.startswith("bar.record.toml:1:1: wedge: 5 has no unit")
    elsewhere = Path("other.toml")
    elsewhere.write_text('wedge = "5 mm"\n', encoding="utf-8")
    assert "wedge" in ask("judge", "runs/bar.h5", "--record", elsewhere).stdout


def test_a_run_keeps_no_path_of_the_machine(deep_case, ask, tmp_path):
    ask("pour", deep_case.resolve(), "--no-pictures")
    assert str(tmp_path).encode() not in Path("runs/bar.h5").read_bytes()
    Path("bar.record.toml").write_text('wedge = "5 mm"\n', encoding="utf-8")
    assert "Prediction against record" not in ask("judge", "runs/bar.h5").stdout
