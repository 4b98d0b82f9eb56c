"""The command line answers at once and says what it can do."""

import os
import sys
import time

import pytest

from solidsim.cli.group import COMMANDS
from solidsim.cli.progress import COMPILING, PATIENCE, step_by_step

HEAVY = ("numpy", "numba", "scipy", "matplotlib", "h5py", "pydantic", "shapely", "rich")
QUICK, COMPILE = 0.15, 15.0  # s


def processor_time(shell, *words):
    """Seconds that a command keeps processors busy, which other work does not stretch."""
    before = os.times()
    answer = shell(*words)
    after = os.times()
    assert answer.returncode == 0, answer.stderr
    spent = after.children_user + after.children_system
    return spent - before.children_user - before.children_system, answer.stderr


@pytest.mark.slow
def test_help_is_quick(shell):
    assert min(processor_time(shell, "--help")[0] for _ in range(5)) < QUICK


@pytest.mark.parametrize("words", [["--help"], *([name, "--help"] for name in COMMANDS)], ids=str)
def test_help_loads_nothing_heavy(shell, words, monkeypatch):
    monkeypatch.setenv("PYTHONPROFILEIMPORTTIME", "1")
    answer = shell(*words)
    loaded = {line.split("|")[-1].strip() for line in answer.stderr.splitlines()}
    assert "click" in loaded
    assert not loaded & set(HEAVY)


def test_help_names_every_command(ask):
    answer = ask("--help").stdout
    assert all(name in answer for name in COMMANDS)


def test_version(ask):
    assert "version" in ask("--version").stdout


@pytest.mark.parametrize("words", [["por", "x"], ["pour"], ["check", "x", "--nonsense"]], ids=str)
def test_misuse_exits_with_2(ask, words):
    result = ask(*words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "Usage" in result.stderr


def test_nearest_command(ask):
    assert "did you mean 'pour'?" in ask("por", "x").stderr


@pytest.mark.skipif(sys.platform == "win32", reason="one kind of locale")
def test_speaks_ascii_where_it_must(shell, case_file, monkeypatch):
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    answer = shell("pour", case_file, "--no-pictures")
    assert answer.returncode == 0, answer.stderr
    assert "\n+ holds" in answer.stdout


def test_kernels_are_compiled_once_and_that_is_said(shell, case_file, monkeypatch, tmp_path):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "kernels"))
    words = ("pour", case_file, "--no-pictures")
    cold, warm = (shell(*words) for _ in range(2))
    assert COMPILING in cold.stderr
    assert COMPILING not in warm.stderr


@pytest.mark.slow
def test_kernels_compile_in_seconds(shell, case_file, monkeypatch, tmp_path):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "kernels"))
    words = ("pour", case_file, "--no-pictures")
    cold, warm = (processor_time(shell, *words)[0] for _ in range(2))
    assert 1.0 < cold - warm < COMPILE


def test_a_long_wait_is_explained(capsys):
    with step_by_step(lambda *_: None):
        time.sleep(PATIENCE + 0.5)
    assert "compiling" in capsys.readouterr().err
    with step_by_step(lambda *_: None) as stepped:
        stepped(0.0, 0.0, "freezing")
        time.sleep(PATIENCE + 0.5)
    assert capsys.readouterr().err == ""
