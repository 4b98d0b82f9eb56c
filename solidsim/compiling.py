"""The kernels are compiled the first time that they are called; here by two processes at once.

A process compiles one kernel at a time. What both have compiled lies in numba's cache, from where
this process and all later ones load it.
"""

import gc
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from solidsim.conduction import solver
from solidsim.conduction.state import start_conduction
from solidsim.conduction.super_time_steps import stage_coefficients
from solidsim.facts import judging_rules
from solidsim.model import Model
from solidsim.pour import start_pouring
from solidsim.second_process import second_process

SERVE = "from solidsim.compiling import serve; serve()"
SHORT = 0.0  # s, a step in which nothing happens
FEWEST = 3  # stages


def compile_kernels(model: Model) -> None:
    """Compile what a run of the model calls, unless it stands compiled.

    Where the second process cannot start, or dies, what it leaves is compiled when it is called.
    """
    if _stands_compiled(solver.stages.run_stages):
        return
    with tempfile.TemporaryFile() as errand:
        pickle.dump(model, errand)
        errand.seek(0)
        with second_process(SERVE, errand, subprocess.DEVNULL) as helper:
            _compile_first_half(model)
            if helper:
                helper.wait()


def serve() -> None:
    """Be the second process: compile one half for the model on stdin."""
    with suppress(Exception):  # the first process meets it, too, and says so
        _compile_second_half(pickle.load(sys.stdin.buffer))


def _stands_compiled(kernel: object) -> bool:
    """Whether the cache has an index of a kernel's, no older than its source; or none is needed."""
    if not hasattr(kernel, "stats"):
        return True  # numba is told to leave functions as they are
    function, stats = kernel.py_func, kernel.stats  # type: ignore[attr-defined]
    source = Path(function.__code__.co_filename)
    name = f"{source.stem}.{function.__name__}-{function.__code__.co_firstlineno}.*.nbi"
    indices = Path(stats.cache_path).glob(name)
    return any(index.stat().st_mtime >= source.stat().st_mtime for index in indices)


@contextmanager
def _without_collection() -> Iterator[None]:
    """Leave garbage for a block: the compiler makes so many objects that looking takes a tenth."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _compile_first_half(model: Model) -> None:
    """Compile a step's start and end; where metal flows, its stages as well."""
    with _without_collection():
        state = start_conduction(model)
        solver.freeze_conductances(state)
        solver.accept(state, 1.0, 1.0, 1.0)
        state.solid_share()
        state.solid_fraction()
        if model.pour.fill == "flowing":
            _compile_stages(model)


def _compile_second_half(model: Model) -> None:
    """Compile a step's stages, or the flow of the metal."""
    with _without_collection():
        if model.pour.fill != "flowing":
            _compile_stages(model)
        state = start_conduction(model)
        pouring = start_pouring(state, judging_rules(model).mold_effusivity)
        if pouring:
            pouring.let_in(state)


def _compile_stages(model: Model) -> None:
    state = start_conduction(model)
    solver.run_stages(state, SHORT, stage_coefficients(FEWEST))
