"""``pour`` computes, judges, draws, keeps; ``judge``, ``movie``, ``export`` open what it kept."""

import csv
import json
import shutil
from pathlib import Path

import h5py
import pytest
from bar_case import CASE

from solidsim.results.opening import open_run

DOCUMENT_KEYS = {
    "title",
    "alloy",
    "finished",
    "stop_reason",
    "end_time",
    "findings",
    "warnings",
    "section",
    "steps",
    "heat_account",
}
VERDICTS = ("fails", "close", "holds", "note")


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    """A stored run; copied into each test's folder by ``run_file``."""
    from click.testing import CliRunner

    from solidsim.cli import main

    folder = tmp_path_factory.mktemp("stored")
    (folder / "bar.toml").write_text(CASE, encoding="utf-8")
    words = ["pour", str(folder / "bar.toml"), "--out", str(folder), "--no-pictures"]
    assert CliRunner().invoke(main, words).exit_code == 0
    return folder / "bar.h5"


@pytest.fixture
def run_file(stored, tmp_path):
    return Path(shutil.copy(stored, tmp_path / "bar.h5"))


def test_answer(ask, case_file):
    result = ask("pour", case_file)
    assert result.exit_code == 0, result.output
    title, metal, *lines, wrote, caution = result.stdout.splitlines()
    findings = [line for line in lines if line.split()[1] in VERDICTS]
    assert title == "Bar with a feeder"
    assert metal.endswith("poured at 1370 °C")
    assert 3 <= len(findings) <= 10
    verdicts = [line.split()[1] for line in findings]
    assert verdicts == sorted(verdicts, key=VERDICTS.index)
    assert "margin" in findings[0]
    maps = ("bar_section", "bar", "bar_feeding", "bar_niyama", "bar_edges")
    pictures = [Path("runs") / f"{name}.png" for name in maps]
    assert wrote == f"wrote {Path('runs/bar.h5')}, {', '.join(map(str, pictures))}"
    assert "competent founder" in caution
    assert open_run("runs/bar.h5").finished
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in pictures)


def test_document(ask_json, case_file):
    document = ask_json("pour", case_file, "--no-pictures", "--movie", "--out", "mine")
    assert set(document) == DOCUMENT_KEYS | {"written", "on_finer_cells", "margins", "wall_times"}
    assert set(document["written"]) == {"run", "movie"}
    assert document["heat_account"]["imbalance"] < 1e-6
    assert document["findings"][0]["verdict"] in VERDICTS
    assert all(Path(path).stat().st_size for path in document["written"].values())


def test_details(ask, case_file):
    answer = ask("pour", case_file, "--no-pictures", "-v").stdout
    assert "heat: " in answer
    assert "volume: the metal shrinks by" in answer
    assert "refused" in answer
    assert "assumed  section.depth" in answer
    assert "wall time: reading" in answer


def test_a_case_of_a_folder_takes_its_name(ask, case_file, case_text):
    Path("bracket").mkdir()
    Path("bracket/case.toml").write_text(case_text, encoding="utf-8")
    assert ask("pour", "bracket", "--no-pictures").exit_code == 0
    assert Path("runs/bracket.h5").is_file()


def test_confirm(ask, ask_json, case_file):
    document = ask_json("pour", case_file, "--no-pictures", "--confirm")
    last = next(row for row in document["on_finer_cells"] if row["name"] == "last-metal-in-feeder")
    assert last["change"] == pytest.approx(last["finer_value"] - last["value"])
    assert 0 < abs(last["change"]) < 0.1 * last["value"]
    table = ask("pour", case_file, "--no-pictures", "--confirm").stdout
    assert "On cells half as wide" in table


def test_margins(ask, ask_json, case_file):
    margins = ask_json("pour", case_file, "--no-pictures", "--margins")["margins"]
    pour, height = margins["turns"]
    assert (pour["name"], height["name"]) == ("pour temperature", "height of feeder")
    assert height["given"] == pytest.approx(0.060)
    assert margins["cell"] == pytest.approx(0.015, rel=0.2)
    assert len(margins["range_ends"]) > 20
    answer = ask("pour", case_file, "--no-pictures", "--margins").stdout
    assert "by reruns on cells of" in answer
    assert "over the ranges of" in answer


def test_fail_on(ask, case_file, case_text):
    words = ("pour", case_file, "--no-pictures", "--fail-on")
    assert ask(*words, "fails").exit_code == 0
    feeder = case_text.index('[[part]]\nname = "feeder"')
    bare = case_text[:feeder] + case_text[case_text.index("[[probe]]") :]
    case_file.write_text(bare, encoding="utf-8")
    assert ask(*words, "close").exit_code == 4
    assert ask(*words, "fails").exit_code == 4
    assert ask(*words[:-1]).exit_code == 0


def test_piped_answer_is_plain(shell, case_file):
    answer = shell("pour", case_file, "--no-pictures", "--json")
    assert answer.returncode == 0, answer.stderr
    json.loads(answer.stdout)
    assert "\x1b" not in answer.stdout + answer.stderr


def test_judge_says_it_again(ask, ask_json, run_file):
    document = ask_json("judge", run_file)
    assert set(document) == DOCUMENT_KEYS
    result = ask("judge", run_file)
    assert "last, " in result.stdout
    assert "competent founder" in result.stdout


def test_judge_refuses_what_is_no_run(ask, tmp_path):
    path = tmp_path / "notes.h5"
    path.write_text("no run")
    for file in (path, tmp_path / "none.h5"):
        result = ask("judge", file)
        assert (result.exit_code, result.stdout) == (1, "")
        assert len(result.stderr.splitlines()) == 1


def test_movie(ask_json, run_file):
    film = Path(ask_json("movie", run_file)["movie"])
    assert film.parent == run_file.parent
    assert film.stat().st_size > 1000


def test_export_cells(ask_json, run_file):
    path = Path(ask_json("export", run_file, "cells")["cells"])
    with path.open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == open_run(run_file).section.part_index.size
    assert {row["part"] for row in rows} == {"mold", "bar", "feeder", "cover"}


def test_export_curves(ask_json, run_file):
    path = Path(
        ask_json("export", run_file, "curves", "--out", run_file.parent / "my.csv")["curves"]
    )
    assert path.name == "my.csv"
    assert "middle (°C)" in path.read_text(encoding="utf-8-sig").splitlines()[0]


def test_export_vtkhdf(ask_json, run_file):
    path = ask_json("export", run_file, "vtkhdf")["vtkhdf"]
    with h5py.File(path) as file:
        assert file["VTKHDF"].attrs["Type"] == b"UnstructuredGrid"
