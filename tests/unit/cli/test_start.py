"""The command line answers at once and says what it can do."""

import resource
import sys

import pytest

from solidsim.cli.group import COMMANDS

HEAVY = ("numpy", "numba", "scipy", "matplotlib", "h5py", "pydantic", "shapely", "rich")
QUICK = 0.15  # s


def processor_time(shell, *words):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert shell(*words).returncode == 0
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def test_help_is_quick(shell):
    """By processor time, which a busy machine does not stretch; the best of a few."""
    assert min(processor_time(shell, "--help") for _ in range(5)) < QUICK


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


@pytest.mark.skipif(sys.platform == "win32", reason="one kind of locale")
def test_speaks_ascii_where_it_must(shell, case_file, monkeypatch):
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    answer = shell("pour", case_file, "--no-pictures")
    assert answer.returncode == 0, answer.stderr
    assert "\n+ holds" in answer.stdout
