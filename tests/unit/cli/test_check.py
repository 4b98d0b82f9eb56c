"""``check`` shows the section as understood, without computing it."""

from pathlib import Path


def test_parts_and_assumptions(ask, case_file):
    result = ask("check", case_file)
    assert result.exit_code == 0
    assert "Bar with a feeder" in result.stdout
    assert "20 cm2" in result.stdout
    assert "assumed  part.*.depth" in result.stdout
    assert "preset   gray-iron" in result.stdout


def test_document(ask_json, case_file):
    document = ask_json("check", case_file)
    keys = {"title", "units", "section", "warnings", "values", "picture"}
    assert set(document) == keys
    bar = document["section"]["parts"][0]
    assert bar["name"] == "bar"
    assert abs(bar["gridded_area"] / 0.1 / 0.02 - 1) < 1e-9
    standings = {row["key"]: row["standing"] for row in document["values"]}
    assert standings["pour.temperature"] == "given"
    assert standings["mold.temperature"] == "assumed"


def test_warnings_go_to_stderr(ask, case_file, case_text):
    case_file.write_text(case_text.replace("1370 °C", "1100 °C"), encoding="utf-8")
    result = ask("check", case_file)
    assert result.exit_code == 0
    assert "below its liquidus" in result.stderr
    assert "below its liquidus" not in result.stdout


def test_picture(ask, case_file):
    assert ask("check", case_file, "--picture", "bar.png").exit_code == 0
    assert Path("bar.png").read_bytes().startswith(b"\x89PNG")
