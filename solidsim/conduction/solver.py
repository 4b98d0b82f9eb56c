"""Heat conduction with freezing, one adaptive step at a time."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction import conductance_kernels as conductances
from solidsim.conduction import stage_kernels as stages
from solidsim.conduction import step_end_kernels as steps
from solidsim.conduction.columns import layers_awake
from solidsim.conduction.lasting import longest_burning_step
from solidsim.conduction.lasting_kernels import burn
from solidsim.conduction.state import (
    ADDED,
    COOLING,
    ELSEWHERE,
    OUTSIDE,
    Conduction,
    dry_out,
    look_up_temperatures,
)
from solidsim.conduction.super_time_steps import (
    StageCoefficients,
    stage_coefficients,
    stages_for,
)
from solidsim.errors import SolverError

Array = NDArray[np.float64]

LONGEST_STEP, LONGEST_COOLING_STEP = 200.0, 1000.0  # s, while metal freezes and after
FIRST_STEP = 1e-4  # s
SAFETY = 0.9
LEAST_GROWTH, MOST_GROWTH = 0.5, 1.5  # of the length from step to step
FAR, FAR_GROWTH = 4.0, 2.0  # a step that might have been so many times as long grows by more
FARTHEST_OFF = 8.0  # times what counts as on the line: T(u) off it spoils a step
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

    The step is as long as the wanted accuracy allows. It is repeated when it changed too much, or
    when a cell that counted as straight met a bend of T(u).

    Raises
    ------
    SolverError
        When a cell leaves the finite numbers, or no step is short enough.
    """
    if state.next_length == 0.0:
        state.next_length = FIRST_STEP
    limit = freeze_conductances(state)
    freezing = state.watched.pending[-1] > 0
    longest = min(LONGEST_STEP if freezing else LONGEST_COOLING_STEP, _burning_limit(state))
    tolerance = state.tolerance * (1.0 if freezing else COOLING)
    most, farthest = 2.0 * tolerance, FARTHEST_OFF * state.cut * (1.0 if freezing else COOLING)
    for refused in range(MOST_REFUSALS):
        length = _fitted(min(state.next_length, longest), latest - state.time)
        count = stages_for(length, limit)
        coefficients = stage_coefficients(count)
        samples, outside = run_stages(state, length, coefficients)
        change, off, heat = accept(state, coefficients.share[-1], most, farthest)
        heat[OUTSIDE] += outside
        layers = state.active * state.columns.T.shape[1]
        state.cell_updates += count * (state.model.material_index.size + layers)
        if not math.isfinite(change):
            raise SolverError(f"heat: a cell left the finite numbers at {state.time:.6g} s")
        fit = SAFETY * tolerance / change if change > 0.0 else math.inf
        growth = FAR_GROWTH if fit > FAR else min(max(fit, LEAST_GROWTH), MOST_GROWTH)
        state.next_length = length * growth
        if off > farthest:
            state.next_length = LEAST_GROWTH * length
        elif change <= most:
            start = state.time
            _go_on(state, length, heat)
            times = start + length * coefficients.time[1:]
            return StepReport(start, length, count, refused, heat, times, samples)
        look_up_temperatures(state)
        steps.forget_passed(state.arrays.u, state.watched)
    raise SolverError(f"heat: no step is short enough at {state.time:.6g} s (tried {length:.3g} s)")


def run_stages(
    state: Conduction, length: float, coefficients: StageCoefficients
) -> tuple[Array, float]:
    """Take all stages of a step of a length [s]: samples (stages, np) [K], heat of the ring [J]."""
    samples = np.zeros((coefficients.mu.size - 1, state.watched.samples.size))
    outside = stages.run_stages(
        state.time, length, coefficients, state.arrays, state.faces.Gx, state.faces.Gy,
        state.columns, state.active, state.bends, state.near, state.tables.T0, state.tables.dT,
        state.scales.floor, state.watched, samples,
    )  # fmt: skip
    return samples, outside


def accept(
    state: Conduction, share: float, most: float, farthest: float
) -> tuple[float, float, Array]:
    """Make the change of a step the state, if it is small enough.

    Gives the largest change, how far T(u) was off its line [K], and the heat by group [J] without
    that of the ring; see ``step_end_kernels.accept``.
    """
    heat = np.zeros(ADDED + 1)
    change, off = steps.accept(
        share, state.arrays, state.columns, state.active, state.scales, state.tables.T0,
        state.tables.dT, most, farthest, state.group, state.column_group, state.watched, heat,
    )  # fmt: skip
    return change, off, heat


def _turn_temperatures(state: Conduction) -> None:
    """Put the newest temperatures in front."""
    arrays, columns = state.arrays, state.columns
    state.arrays = arrays._replace(T=arrays.T_new, T_new=arrays.T)
    state.columns = columns._replace(T=columns.T_last, T_last=columns.T)


def _go_on(state: Conduction, length: float, heat: Array) -> None:
    """Be at the end of an accepted step; what burnt goes to its heat by group [J]."""
    _turn_temperatures(state)
    state.time += length
    heat[ADDED] = _burn(state, length)
    heat[ELSEWHERE] += heat[ADDED]
    dry_out(state)
    state.active = layers_awake(state.columns, state.active, state.model.mold_temperature)


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


def freeze_conductances(state: Conduction) -> float:
    """Set temperatures and conductances for the state as it is; the explicit limit [s].

    A skin that thickens as sqrt(t) from nothing lets in, in the mean of its first step, what it
    does after a quarter of it.
    """
    return conductances.prepare_step(
        state.time + state.next_length / 4.0, int(state.watched.pending[-1] == 0), state.arrays,
        *state.conductivity, state.joints, state.faces, state.columns, state.active, state.tables,
        *state.room,
    )  # fmt: skip
