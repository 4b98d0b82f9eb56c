"""What every test stands on: loud floating-point errors, no display, a seeded generator."""

import os
import tomllib
from pathlib import Path

import numpy as np
import pytest

os.environ.setdefault("MPLBACKEND", "Agg")
os.environ.setdefault("OMP_WAIT_POLICY", "passive")

CHECK_VALUES = Path(__file__).parents[1] / "shared" / "check_values.toml"


@pytest.fixture(autouse=True)
def _loud_floats():
    """Overflow, invalid and divide raise; underflow is harmless."""
    with np.errstate(all="raise", under="ignore"):
        yield


@pytest.fixture
def rng():
    return np.random.default_rng(20240517)


@pytest.fixture(scope="session")
def check_values():
    """Published values, each table with its source and certainty."""
    return tomllib.loads(CHECK_VALUES.read_text(encoding="utf-8"))
