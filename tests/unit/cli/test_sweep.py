"""The sweep from the command line."""

import re

import pytest
from bar_case import WIDTH_STUDY

STUDY = WIDTH_STUDY + 'values = ["30 mm", "40 mm"]\n'


@pytest.fixture
def study(case_file):
    path = case_file.with_name("feeder.toml")
    path.write_text(STUDY, encoding="utf-8")
    return path


def test_a_sweep_writes_its_table_and_picture(ask, study, tmp_path):
    result = ask("sweep", study)
    assert result.exit_code == 0, result.output
    assert re.search(r"^30 mm .* (fails|close|holds)$", result.stdout, re.MULTILINE)
    assert re.search(r"computed 2 runs, [\d.]+ a minute$", result.stderr, re.MULTILINE)
    for name in ("feeder.csv", "feeder.h5", "feeder.png"):
        assert (tmp_path / "runs" / name).stat().st_size > 0
    assert "all runs were there already" in ask("sweep", study).stderr


def test_a_sweep_as_json(ask_json, study):
    document = ask_json("sweep", study)
    assert [row["width"] for row in document["rows"]] == [0.03, 0.04]
    assert all(row["melt-weight"] > 0 for row in document["rows"])


def test_a_faulty_study_is_said_in_a_line(ask, study):
    study.write_text(STUDY.replace("values", "valves"), encoding="utf-8")
    result = ask("sweep", study)
    assert result.exit_code == 3
    assert "input.1.valves: unknown key" in result.stderr


def test_no_scheduler_is_said_in_a_line(ask, study):
    pytest.importorskip("distributed")
    result = ask("sweep", study, "--scheduler", "tcp://127.0.0.1:9")
    assert result.exit_code == 1
    assert "no dask scheduler answers" in result.stderr
