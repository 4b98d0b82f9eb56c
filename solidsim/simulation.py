"""The one loop: step by step from the pour to the stop, watched, noted and stored."""

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.probing import probe_weights
from solidsim.conduction.solver import StepReport, advance
from solidsim.conduction.state import ADDED, Conduction, start_conduction, temperature_span
from solidsim.errors import SolverError
from solidsim.facts import alloy_facts, judging_rules
from solidsim.mirroring import left_half, mirrored, whole_run
from solidsim.model import Model
from solidsim.pour import Pouring, start_pouring
from solidsim.quantities import ZERO_CELSIUS
from solidsim.results.run import (
    EnergyAccount,
    FlowFrames,
    Frames,
    ProbeCurve,
    Run,
    StepHistory,
)
from solidsim.results.snapshots import Frame, Snapshots
from solidsim.watch import temperature_bounds, watch_energy, watch_temperatures

Array = NDArray[np.float64]

FRAME_GROWTH = 1.12  # a frame at least whenever the time since the pour has grown by this
FIRST_FRAME = 0.25  # s
NEAR_STOP = 0.1  # K above the shake-out temperature at which it counts as reached
LONGEST_RUN = 1e7  # s
FRAME_TEMPERATURE, FRAME_FRACTION = 1.0 / 16.0, 1.0 / 1024.0  # K and 1, in frames
FRACTION_TYPE = np.float16  # exact for whole numbers of that unit up to one
FRAMES_ROOM = 4  # times the frames asked for: some are taken for the time gone by
FILL_FRAMES = 30  # at even shares of the poured metal

Progress = Callable[[float, float, str], None]
"""Called with the time [s], the share that is done [1] and a word on what is going on."""


class FrameStore(Protocol):
    """Where snapshots go while a run is computed."""

    def frame(
        self,
        time: float,
        temperature: Frame,
        solid_fraction: Frame,
        flow: Sequence[NDArray[Any]] | None = None,
    ) -> None:
        """Take one snapshot: [s], [K], [1], shapes (ny, nx); of a flow, as in ``FlowFrames``."""


@dataclass
class _Log:
    """What a run gathers on its way."""

    temperatures: Snapshots
    solid_fractions: Snapshots
    mirrors: bool
    frame_times: list[float] = field(default_factory=list)
    motions: list[list[NDArray[np.float16]]] = field(default_factory=list)
    solid_share: float = 0.0
    poured: float = 0.0
    poured_out: bool = False
    hottest: float = math.inf
    steps: list[StepReport] = field(default_factory=list)
    heat: list[Array] = field(default_factory=lambda: [np.zeros(ADDED + 1)])


def simulate(
    model: Model, *, store: FrameStore | None = None, progress: Progress | None = None
) -> Run:
    """Compute a model from the pour to its stop.

    Parameters
    ----------
    model : Model
    store : FrameStore, optional
        Gets every snapshot as soon as it is made.
    progress : callable, optional
        Called after every step.

    Raises
    ------
    SolverError
        With the reason, when a watcher stops the run.

    Notes
    -----
    A section that is its own mirror image is computed by its left half.
    """
    half = left_half(model)
    if half is None:
        return compute(model, store=store, progress=progress)
    return whole_run(compute(half, store=store, progress=progress, mirrors=True), model)


def compute(
    model: Model,
    *,
    store: FrameStore | None = None,
    progress: Progress | None = None,
    mirrors: bool = False,
) -> Run:
    """Compute a model as it stands, every cell of it; arguments as in ``simulate``.

    ``mirrors`` says that the model is a left half, whose frames are kept whole.
    """
    cells, weights = probe_weights(model, model.probes)
    state = start_conduction(model, sampled=cells.ravel())
    bounds = temperature_bounds(*temperature_span(model))
    pouring = start_pouring(state, judging_rules(model).mold_effusivity)
    start_samples = state.temperature.ravel()[cells.ravel()]
    content = float((model.section.volumes * np.abs(model.initial_enthalpy)).sum())
    room = FRAMES_ROOM * model.frames
    log = _Log(Snapshots(room), Snapshots(room, FRACTION_TYPE), mirrors)
    reason = ""
    _take_frame(state, log, store, pouring)
    while not reason:
        latest = _latest(state, log)
        report = advance(state, min(latest, pouring.due) if pouring else latest)
        log.steps.append(report)
        log.heat.append(log.heat[-1] + report.heat)
        metal, elsewhere, outside, _, added = log.heat[-1]
        watch_temperatures(state.time, state.temperature, bounds)
        watch_energy(state.time, -metal, added, elsewhere, outside, content)
        filling = pouring is not None and not pouring.over
        if pouring and state.time >= pouring.due:
            pouring.let_in(state)
        reason = _stop_reason(state, pouring)
        if reason or _frame_is_due(state, log, pouring):
            _take_frame(state, log, store, pouring)
        if progress:
            progress(state.time, _share_done(state, log), "filling" if filling else "freezing")
    return _finished_run(state, log, reason, start_samples, weights, pouring)


def _latest(state: Conduction, log: _Log) -> float:
    """When the next step must end, [s]: at the stop, or about where the last steps lead to it."""
    stop = state.model.stop
    if stop.kind == "time":
        return stop.value
    if stop.kind == "solid" or not log.steps:
        return math.inf
    hottest = state.hottest_metal()
    fall = log.hottest - hottest
    log.hottest = hottest
    if not 0.0 < fall < math.inf or hottest <= stop.value:  # or metal is still to come
        return math.inf
    return state.time + (hottest - stop.value + 0.5 * NEAR_STOP) / fall * log.steps[-1].length


def _stop_reason(state: Conduction, pouring: Pouring | None) -> str:
    """Why the run ends here; empty while it goes on."""
    stop = state.model.stop
    if stop.kind == "time":
        return "the time asked for" if state.time >= stop.value else ""
    if pouring and not pouring.over:
        return ""
    if stop.kind == "solid" and state.all_solid():
        return "all metal is solid"
    if stop.kind == "temperature" and state.hottest_metal() <= stop.value + NEAR_STOP:
        return "the hottest metal has cooled to the shake-out temperature"
    if state.time > LONGEST_RUN:
        raise SolverError(f"stopped at {state.time:.6g} s: the metal does not get there")
    return ""


def _share_done(state: Conduction, log: _Log) -> float:
    """How far the run has come, [1]: by time, or by solid metal first and cooling after."""
    stop = state.model.stop
    if stop.kind == "time":
        return min(state.time / stop.value, 1.0)
    if stop.kind == "solid":
        return log.solid_share
    start = state.model.pour_temperature
    return float(np.clip((start - state.hottest_metal()) / (start - stop.value), 0.0, 1.0))


def _frame_is_due(state: Conduction, log: _Log, pouring: Pouring | None) -> bool:
    """When another share of the metal has come or is solid, or much time has gone by."""
    if pouring and not pouring.over:
        waited = state.time - log.frame_times[-1]
        return pouring.share >= log.poured + 1.0 / FILL_FRAMES or waited >= pouring.frame_spacing
    if state.time >= FRAME_GROWTH * log.frame_times[-1] + FIRST_FRAME:
        return True
    return state.solid_share() - log.solid_share >= 1.0 / state.model.frames


def _take_frame(
    state: Conduction, log: _Log, store: FrameStore | None, pouring: Pouring | None
) -> None:
    """Keep a snapshot; where metal is still to come, both fields are NaN."""
    temperature, fractions = state.temperature.copy(), state.solid_fraction()
    moving = None
    if pouring:
        moving = _moving(log, pouring)
        waiting = state.model.section.metal & ~pouring.standing
        temperature[waiting], fractions[waiting] = math.nan, math.nan
        log.poured = pouring.share
    log.frame_times.append(state.time)
    for kept, values, unit in (
        (log.temperatures, temperature, FRAME_TEMPERATURE),
        (log.solid_fractions, fractions, FRAME_FRACTION),
    ):
        rounded = _rounded(values, unit)
        kept.append(mirrored(rounded) if log.mirrors else rounded)
    log.solid_share = state.solid_share()
    if store is not None:
        store.frame(state.time, log.temperatures.last, log.solid_fractions.last, moving)


def _moving(log: _Log, pouring: Pouring) -> list[NDArray[np.float16]] | None:
    """Keep how metal flows until its last frame, the first one with all that comes."""
    motion = None if log.poured_out else pouring.motion()
    log.poured_out = pouring.over
    if motion is None:
        return None
    log.motions.append([values.astype(np.float16) for values in motion])
    return log.motions[-1]


def _rounded(field: Array, unit: float) -> NDArray[np.float32]:
    """A field to the nearest whole number of units, which packs to half the size."""
    rounded: NDArray[np.float32] = (np.round(field / unit) * unit).astype(np.float32)
    return rounded


def _finished_run(
    state: Conduction,
    log: _Log,
    reason: str,
    start_samples: Array,
    weights: Array,
    pouring: Pouring | None,
) -> Run:
    model = state.model
    times = np.array([0.0] + [step.start + step.length for step in log.steps])
    metal, elsewhere, outside, faces, added = np.array(log.heat).T
    return Run(
        title=model.title,
        units=model.units,
        section=model.section,
        alloy=alloy_facts(model),
        judging=judging_rules(model),
        fields=_fields(state, pouring),
        frames=Frames(
            np.array(log.frame_times),
            log.temperatures.all,
            log.solid_fractions.all,
            FlowFrames(*map(np.array, zip(*log.motions, strict=True))) if log.motions else None,
        ),
        probes=_probe_curves(model, log.steps, start_samples, weights),
        account=EnergyAccount(times, -metal, elsewhere, outside, faces, added),
        steps=StepHistory(
            times=times[:-1],
            lengths=np.array([step.length for step in log.steps]),
            stages=np.array([step.stages for step in log.steps], np.int64),
            refused=np.array([step.refused for step in log.steps], np.int64),
        ),
        stop_reason=reason,
        finished=True,
        warnings=(*model.warnings, *_range_warnings(model, log)),
        provenance={**model.provenance, "cell_updates": state.cell_updates},
        fill=pouring.record(state, -float(metal[-1])) if pouring else None,
    )


def _fields(state: Conduction, pouring: Pouring | None) -> dict[str, Array]:
    """Fields of the end of the run; times and rates are NaN outside the metal."""
    fields = {
        "temperature": state.temperature.copy(),
        "solid_fraction": state.solid_fraction(),
        "material_index": state.model.material_index.astype(float),
        "liquidus_time": state.passed("liquidus"),
        "freezing_time": state.passed("solidus"),
    }
    if state.model.materials[state.model.metal].latent_heat:
        spent = state.passed("judging_below") - state.passed("judging_above")
        rate = np.divide(
            state.model.judging.window, spent, out=np.full_like(spent, np.nan), where=spent > 0.0
        )
        fields["cutoff_time"] = state.passed("cutoff")
        fields["temperature_gradient"] = state.gradient()
        fields["cooling_rate"] = rate
        fields["niyama"] = fields["temperature_gradient"] / np.sqrt(rate)
    if pouring:
        waiting = state.model.section.metal & ~pouring.standing
        fields["temperature"][waiting] = fields["solid_fraction"][waiting] = math.nan
        fields.update(pouring.fields())
    return fields


def _probe_curves(
    model: Model, steps: list[StepReport], start_samples: Array, weights: Array
) -> tuple[ProbeCurve, ...]:
    times = np.concatenate([[0.0], *(step.sample_times for step in steps)])
    samples = np.vstack([start_samples, *(step.samples for step in steps)])
    by_probe = samples.reshape(times.size, len(model.probes), 4)
    curves = np.einsum("tpn,pn->pt", by_probe, weights)
    return tuple(
        ProbeCurve(probe.name, probe.x, probe.y, times, curve)
        for probe, curve in zip(model.probes, curves, strict=True)
    )


def _range_warnings(model: Model, log: _Log) -> list[str]:
    """Say which material left the temperatures for which its card has values."""
    warnings = []
    frames = log.temperatures.all[..., : model.material_index.shape[1]]
    coldest, hottest = functools.reduce(np.fmin, frames), functools.reduce(np.fmax, frames)
    for number, material in enumerate(model.materials):
        cells = (model.material_index == number) & np.isfinite(coldest)
        if not cells.any():
            continue
        reached = (float(coldest[cells].min()), float(hottest[cells].max()))
        low, high = material.temperature_range
        if reached[0] < low - 0.5 or reached[1] > high + 0.5:
            span = [f"{value - ZERO_CELSIUS:.0f}" for value in (*reached, low, high)]
            warnings.append(
                f"{material.title} was between {span[0]} and {span[1]} °C, but its card has values "
                f"from {span[2]} to {span[3]} °C; the end values were used outside"
            )
    return warnings
