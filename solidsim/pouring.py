"""Letting metal into a cooling mold: where the rising fill and the heat meet."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.empty_cells import Cavity, empty_cavity, metal_heat, receive_metal
from solidsim.conduction.state import Conduction
from solidsim.fill.carrying import carry_heat, entering_enthalpy
from solidsim.fill.record import FillRecord, Place
from solidsim.fill.rising import Batch, Filling
from solidsim.fill.starting import start_filling
from solidsim.model import Model
from solidsim.quantities import GRAVITY

Array = NDArray[np.float64]

ROUGHER = 3.0  # times the tolerance of a step while metal still comes
COMMON_CONDUCTANCE = 1000.0  # W/m2K between metal and sand, where the joint is perfect


@dataclass
class Pouring:
    """A fill that goes on while the mold takes up heat; made by ``start_pouring``.

    ``due`` [s] is the end of the present batch; ``heat`` [J] has come in with the metal;
    ``temperatures`` holds the time and the temperature at every mouth, batch by batch.
    """

    filling: Filling
    cavity: Cavity
    effusivity: float
    conductance: float
    enthalpy: float
    arrival: Array
    due: float
    heat: float = 0.0
    temperatures: list[tuple[float, Array]] = field(default_factory=list)
    coldest: Place | None = None
    meetings: list[Place] = field(default_factory=list)

    @property
    def over(self) -> bool:
        """Whether no more metal comes."""
        return self.filling.over


def start_pouring(state: Conduction, effusivity: float) -> Pouring:
    """Empty the cavity of a state that has not started, ready for metal.

    ``effusivity`` [W s^1/2/m2K] is that of the sand.
    """
    model = state.model
    filling, cavity = start_filling(model), empty_cavity(state)
    state.tolerance *= ROUGHER
    joint = model.interfaces.get((min(model.metal, model.mold), max(model.metal, model.mold)))
    curve = model.materials[model.metal].curve
    return Pouring(
        filling=filling,
        cavity=cavity,
        effusivity=effusivity,
        conductance=float(joint.conductance.max()) if joint else COMMON_CONDUCTANCE,
        enthalpy=float(curve.enthalpy_at(model.pour_temperature)),
        arrival=np.full(model.section.grid.shape, math.nan),
        due=filling.next_duration(),
    )


def let_in(state: Conduction, pouring: Pouring) -> None:
    """Bring in the metal that has come up to now, and say when the next comes."""
    filling, cavity = pouring.filling, pouring.cavity
    known = len(filling.met)
    standing = np.where(cavity.full, state.solid_fraction(), 0.0)
    batch = filling.advance(pouring.due - filling.time, standing)
    entering = entering_enthalpy(
        filling, batch, pouring.enthalpy, pouring.effusivity, pouring.conductance
    )
    curve = state.model.materials[state.model.metal].curve
    if batch.cells.size:
        pouring.temperatures.append((filling.time, curve.temperature_at(entering)))
    enthalpy, heat = carry_heat(filling, batch, state.enthalpy, entering)
    pouring.heat += heat
    receive_metal(state, cavity, batch.cells, enthalpy)
    _note_front(state, pouring, batch)
    pouring.meetings += [_meeting(state, filling, *met[:2]) for met in filling.met[known:]]
    pouring.due = filling.time + filling.next_duration()
    if filling.over:
        pouring.due = math.inf
        state.tolerance /= ROUGHER


def _note_front(state: Conduction, pouring: Pouring, batch: Batch) -> None:
    """Keep the temperature of metal as it came, and the coldest of it."""
    if not batch.cells.size:
        return
    temperature = state.temperature.flat[batch.cells]
    pouring.arrival.flat[batch.cells] = temperature
    cell = int(batch.cells[np.argmin(temperature)])
    if pouring.coldest is None or temperature.min() < pouring.coldest.temperature:
        grid = state.model.section.grid
        j, i = divmod(cell, grid.x_centers.size)
        pouring.coldest = Place(
            kind="coldest",
            time=state.time,
            x=float(grid.x_centers[i]),
            y=float(grid.y_centers[j]),
            temperature=float(temperature.min()),
            solid_fraction=float(state.solid_fraction().flat[cell]),
        )


def _meeting(state: Conduction, filling: Filling, time: float, run: int) -> Place:
    """Where two surfaces met, and the coldest metal there."""
    runs = filling.pools.runs
    cells = np.flatnonzero(runs.number == run)
    temperatures = state.temperature.flat[cells]
    return Place(
        kind="meeting",
        time=time,
        x=float(runs.middle[run]),
        y=float(runs.bottom[run]),
        temperature=float(temperatures.min()),
        solid_fraction=float(state.solid_fraction().flat[cells].max()),
    )


def record_fill(state: Conduction, pouring: Pouring, released: float) -> FillRecord:
    """What is kept of a fill; ``released`` [J] has left the metal by conduction."""
    filling, model = pouring.filling, state.model
    gating, history = model.pour.gating, filling.history
    times = np.array([moment.time for moment in history])
    known = np.array([time for time, _ in pouring.temperatures])
    warmth = np.array([value for _, value in pouring.temperatures])
    metal = model.section.metal
    full = pouring.cavity.full
    return FillRecord(
        mouths=tuple(gating.stretches[m.stretch].name for m in gating.mouths) if gating else
        tuple(_part_at(model, cell) for cell in filling.mouth_cells),
        parts=tuple(_part_at(model, cell) for cell in filling.mouth_cells),
        areas=np.array([gating.stretches[m.stretch].area for m in gating.mouths])
        if gating else np.full(filling.mouth_cells.size, math.nan),
        times=times,
        flows=np.array([moment.flows for moment in history]),
        temperatures=np.column_stack(
            [np.interp(times, known, warmth[:, m]) for m in range(warmth.shape[1])]
        ),
        basin_levels=np.array([m.basin_level for m in history])
        - (gating.sprue.top if gating else math.nan),
        sprue_full=np.array([moment.full for moment in history]),
        trap_velocity=_trap_velocity(filling),
        solved=all(moment.solved for moment in history),
        wanted_time=model.pour.time,
        fill_time=float(np.nanmax(filling.fill_time)),
        volume=filling.volume,
        filled=float(model.section.volumes[full & metal].sum()),
        poured_heat=pouring.heat,
        heat_gap=metal_heat(state, pouring.cavity) + released - pouring.heat,
        flow_stop=model.materials[model.metal].coherency,
        places=(*_shut_in(filling), *pouring.meetings, *filter(None, [pouring.coldest])),
        weight=gating.weight if gating else math.nan,
    )  # fmt: skip


def _part_at(model: Model, cell: int) -> str:
    section = model.section
    return section.parts[int(section.part_index.flat[cell]) - 1].name


def _shut_in(filling: Filling) -> list[Place]:
    """Air that was cut off, when the last of it had gone, and what would let it out in time."""
    weight = filling.model.materials[filling.model.metal].density * GRAVITY
    places = []
    for found in filling.shut_in:
        own = np.isin(filling.pools.runs.number, list(found.runs))
        now = next(m for m in reversed(filling.history) if m.time <= found.time)
        flow = float(now.flows.clip(0.0).sum()) * filling.scale
        places.append(
            Place(
                kind="shut-in",
                time=found.time,
                x=found.x,
                y=found.y,
                volume=found.volume,
                until=float(filling.fill_time[own].max()),
                leak=found.per_head / weight,
                left=(filling.volume - now.poured) / flow if flow > 0.0 else math.nan,
            )
        )
    return places


def _trap_velocity(filling: Filling) -> float:
    """The fastest flow in a dirt trap, [m/s]."""
    if filling.circuit is None:
        return math.nan
    traps = [n + 1 for n, own in enumerate(filling.circuit.system.stretches) if own.kind == "trap"]
    flows = np.array([moment.flows for moment in filling.history]) @ filling.circuit.ways
    speeds = flows[:, traps] / filling.circuit.area[traps]
    return float(speeds.max()) if traps else math.nan
