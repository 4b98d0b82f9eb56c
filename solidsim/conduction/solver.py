"""Heat conduction with freezing, one adaptive step at a time."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction import conductance_kernels as conductances
from solidsim.conduction import stage_kernels as stages
from solidsim.conduction.columns import layers_awake
from solidsim.conduction.lasting import longest_burning_step
from solidsim.conduction.lasting_kernels import burn
from solidsim.conduction.state import (
    ADDED,
    COOLING,
    ELSEWHERE,
    Conduction,
    dry_out,
    look_up_temperatures,
)
from solidsim.conduction.super_time_steps import stage_coefficients, stages_for
from solidsim.errors import SolverError

Array = NDArray[np.float64]

LONGEST_STEP, LONGEST_COOLING_STEP = 200.0, 1000.0  # s, while metal freezes and after
FIRST_STEP = 5.0  # explicit steps
SAFETY = 0.9
MOST_REFUSALS = 40  # in a row, before a step is given up


@dataclass(frozen=True)
class StepReport:
    """One accepted step.

    Parameters
    ----------
    start, length : float, [s]
    stages, refused : int
        Stages of the step, and the tries that changed too much.
    heat : ndarray, shape (5,), [J]
        Taken up by metal, by all else, and by what stands outside; what of both last came
        through the out-of-plane faces; what burning added to all else.
    sample_times : ndarray, shape (stages,), [s]
    samples : ndarray, shape (stages, np), [K]
    """

    start: float
    length: float
    stages: int
    refused: int
    heat: Array
    sample_times: Array
    samples: Array


def advance(state: Conduction, latest: float = math.inf) -> StepReport:
    """Take one step that ends at ``latest`` [s] or before.

    The step is as long as the wanted accuracy allows and is repeated when it changed too much.

    Raises
    ------
    SolverError
        When a cell leaves the finite numbers, or no step is short enough.
    """
    limit = _freeze_conductances(state)
    freezing = state.watched.pending[-1] > 0
    longest = min(LONGEST_STEP if freezing else LONGEST_COOLING_STEP, _burning_limit(state))
    tolerance = state.tolerance * (1.0 if freezing else COOLING)
    if state.next_length == 0.0:
        state.next_length = FIRST_STEP * min(limit, LONGEST_STEP)
    for refused in range(MOST_REFUSALS):
        length = _fitted(min(state.next_length, longest), latest - state.time)
        count = stages_for(length, limit)
        coefficients = stage_coefficients(count)
        samples = np.zeros((count, state.watched.samples.size))
        change = stages.run_stages(
            state.time, length, coefficients, state.arrays, state.faces, state.columns,
            state.active, state.tables, state.scales, state.watched, samples,
        )  # fmt: skip
        _turn_temperatures(state)
        layers = state.active * state.columns.T.shape[1]
        state.cell_updates += count * (state.model.material_index.size + layers)
        if not math.isfinite(change):
            raise SolverError(f"heat: a cell left the finite numbers at {state.time:.6g} s")
        fit = SAFETY * tolerance / change if change > 0.0 else math.inf
        state.next_length = length * min(max(fit, 0.5), 1.5)
        if change <= 2.0 * tolerance:
            start = state.time
            heat = _accept(state, length)
            times = start + length * coefficients.time[1:]
            return StepReport(start, length, count, refused, heat, times, samples)
        look_up_temperatures(state)
        stages.forget_passed(state.arrays.u, state.watched)
    raise SolverError(f"heat: no step is short enough at {state.time:.6g} s (tried {length:.3g} s)")


def _turn_temperatures(state: Conduction) -> None:
    """Put the newest temperatures in front, where an odd number of stages left them behind."""
    arrays, columns = state.arrays, state.columns
    state.arrays = arrays._replace(T=arrays.T_last, T_last=arrays.T)
    state.columns = columns._replace(T=columns.T_last, T_last=columns.T)


def _accept(state: Conduction, length: float) -> Array:
    """Make the newest change the state; heat by group [J]."""
    heat = np.zeros(ADDED + 1)
    stages.accept(
        state.arrays, state.columns, state.active, state.group, state.column_group,
        state.watched, heat,
    )  # fmt: skip
    state.time += length
    heat[ADDED] = _burn(state, length)
    heat[ELSEWHERE] += heat[ADDED]
    dry_out(state)
    state.active = layers_awake(state.columns, state.active, state.model.mold_temperature)
    return heat


def _burning_limit(state: Conduction) -> float:
    """Longest step [s] that follows what burns."""
    if not np.isfinite(state.lasting.ignition).any():
        return math.inf
    cells, layers = state.fuel
    return longest_burning_step(
        state.lasting, (state.arrays.material, cells), (state.columns.material, layers)
    )


def _burn(state: Conduction, length: float) -> float:
    """Let what is lit burn for the length of a step [s], light what is hot; the heat [J]."""
    arrays, columns, (cells, layers) = state.arrays, state.columns, state.fuel
    if not np.isfinite(state.lasting.ignition).any():
        return 0.0
    awake = np.s_[: state.active]
    heat = burn(
        length, arrays.u, arrays.T, arrays.inverse_C, arrays.material, cells, state.lasting
    ) + burn(
        length, columns.u[awake], columns.T[awake], columns.inverse_C[awake],
        columns.material[awake], layers[awake], state.lasting,
    )  # fmt: skip
    if heat:
        look_up_temperatures(state)
    return float(heat)


def _fitted(wanted: float, left: float) -> float:
    """Step that does not overshoot, nor leave a sliver for the next one, [s]."""
    if wanted >= left:
        return left
    return min(wanted, left / 2.0) if wanted > left / 2.0 else wanted


def _freeze_conductances(state: Conduction) -> float:
    """Set temperatures and conductances for the state as it is; the explicit limit [s]."""
    return conductances.prepare_step(
        state.time, state.arrays, *state.conductivity, state.joints, state.faces, state.columns,
        state.active, state.tables, *state.room,
    )  # fmt: skip
