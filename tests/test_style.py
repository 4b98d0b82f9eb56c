"""Lint, layout and types are clean: no check is only advice."""

import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).parents[1]


@pytest.mark.parametrize("words", ["ruff check", "ruff format --check", "mypy"])
def test_clean(words):
    found = subprocess.run(
        [sys.executable, "-m", *words.split()],
        cwd=HOME,
        capture_output=True,
        text=True,
        check=False,
    )
    assert found.returncode == 0, found.stdout + found.stderr
