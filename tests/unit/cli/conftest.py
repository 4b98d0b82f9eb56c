"""A small case that pours in a blink, and a hand on the command line."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from bar_case import CASE
from click.testing import CliRunner

from solidsim.cli import main


@pytest.fixture
def case_text():
    return CASE


@pytest.fixture
def case_file(tmp_path, monkeypatch):
    """A case file in a fresh folder, which is where commands are typed."""
    monkeypatch.chdir(tmp_path)
    path = Path("bar.toml")
    path.write_text(CASE, encoding="utf-8")
    return path


@pytest.fixture
def ask():
    """Type a command in this process; gives click's result."""

    def type_command(*words):
        return CliRunner().invoke(main, [str(word) for word in words])

    return type_command


@pytest.fixture
def ask_json(ask):
    """Type a command with ``--json``; gives the document."""

    def type_command(*words):
        result = ask(*words, "--json")
        assert result.exit_code == 0, result.output
        return json.loads(result.stdout)

    return type_command


def command_line(*words):
    """The same as a command of a process of its own."""
    start = "from solidsim.cli import main; main(prog_name='solidsim')"
    return [sys.executable, "-c", start, *map(str, words)]


@pytest.fixture
def shell():
    """Type a command in a process of its own; gives the finished process."""

    def type_command(*words, **options):
        return subprocess.run(
            command_line(*words), capture_output=True, text=True, check=False, **options
        )

    return type_command


@pytest.fixture
def shell_started():
    """Start a command in a process of its own; it is killed at the end of the test."""
    started = []

    def type_command(*words):
        pipe = subprocess.PIPE
        process = subprocess.Popen(command_line(*words), stdout=pipe, stderr=pipe, text=True)
        started.append(process)
        return process

    yield type_command
    for process in started:
        process.kill()
        process.communicate()


@pytest.fixture(autouse=True)
def _quiet_terminal(monkeypatch):
    monkeypatch.setitem(os.environ, "PYTHONIOENCODING", "utf-8")
