"""Kernels are compiled by two processes, and by one where a second one cannot be had."""

import os
import subprocess
import sys

import pytest
from bar_case import CASE

from solidsim.compiling import _stands_compiled
from solidsim.conduction.stage_kernels import run_stages

SHOW = """
import sys
from solidsim import build_model, compiling, simulate
from solidsim.case import read_case_text
from solidsim.conduction.conductance_kernels import prepare_step
from solidsim.conduction.stage_kernels import run_stages
model = build_model(read_case_text(sys.stdin.read()))
if "alone" in sys.argv:
    compiling.SERVE = "raise SystemExit(1)"
compiling.compile_kernels(model)
simulate(model)
for kernel in (prepare_step, run_stages):
    print(sum(kernel.stats.cache_misses.values()), sum(kernel.stats.cache_hits.values()))
"""


@pytest.mark.parametrize("alone", [False, pytest.param(True, marks=pytest.mark.slow)])
def test_a_second_process_compiles_the_stages(tmp_path, alone):
    words = [sys.executable, "-c", SHOW, *(["alone"] if alone else [])]
    env = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path / "kernels")}
    ended = subprocess.run(words, env=env, input=CASE, capture_output=True, text=True, check=True)
    assert ended.stdout.split("\n")[:2] == ["1 0", "1 0" if alone else "0 1"]


def test_what_is_older_than_its_source_is_not_compiled(monkeypatch, tmp_path):
    class Kernel:
        py_func = run_stages.py_func

        class stats:
            cache_path = str(tmp_path)

    line = run_stages.py_func.__code__.co_firstlineno
    index = tmp_path / f"stage_kernels.run_stages-{line}.py3.nbi"
    assert not _stands_compiled(Kernel)
    index.touch()
    assert _stands_compiled(Kernel)
    os.utime(index, (1.0, 1.0))
    assert not _stands_compiled(Kernel)
