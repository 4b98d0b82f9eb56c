"""A new case is whole from the start and writes over nothing."""

from pathlib import Path

import pytest

from solidsim.case import read_case


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_starter_is_whole(ask, ask_json, tmp_path, monkeypatch, units):
    monkeypatch.chdir(tmp_path)
    assert ask("new", "pump", "--units", units).exit_code == 0
    document = ask_json("check", "pump")
    assert document["units"] == units
    assert document["warnings"] == []
    assert read_case("pump").units == units


def test_a_file_instead_of_a_folder(ask_json, tmp_path):
    path = tmp_path / "pump.toml"
    assert Path(ask_json("new", path)["case"]) == path
    assert path.is_file()


def test_nothing_is_written_over(ask, tmp_path):
    path = tmp_path / "pump.toml"
    path.write_text("mine", encoding="utf-8")
    result = ask("new", path)
    assert result.exit_code == 1
    assert "choose another name" in result.stderr
    assert path.read_text(encoding="utf-8") == "mine"
