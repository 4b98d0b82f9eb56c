"""Layouts side by side from the command line."""

import pytest


@pytest.fixture
def layouts(case_file):
    other = case_file.with_name("narrow.toml")
    text = case_file.read_text(encoding="utf-8")
    other.write_text(text.replace('"70 mm", "80 mm"', '"46 mm", "80 mm"'), encoding="utf-8")
    return case_file, other


def test_two_cases_are_computed_once_and_compared(ask, layouts, tmp_path):
    result = ask("compare", *layouts)
    assert result.exit_code == 0, result.output
    assert "last-metal-in-feeder" in result.stdout
    assert "part.feeder.rectangle.to" in result.stdout
    assert "fewest findings that fail" in result.stdout
    for name in ("comparison.png", "comparison.html"):
        assert (tmp_path / "runs" / name).stat().st_size > 0
    assert "all runs were there already" in ask("compare", *layouts).stderr


def test_runs_and_cases_mix(ask, ask_json, layouts):
    assert ask("pour", layouts[0], "--no-pictures").exit_code == 0
    document = ask_json("compare", "runs/bar.h5", layouts[1], "--movie")
    assert document["best"] == "A"
    assert document["written"][1].endswith(".mp4")
    assert [row["key"] for row in document["differences"]] == ["part.feeder.rectangle.to"]


def test_one_layout_is_not_enough(ask, layouts):
    result = ask("compare", layouts[0])
    assert result.exit_code == 2
    assert "two layouts or more" in result.stderr
