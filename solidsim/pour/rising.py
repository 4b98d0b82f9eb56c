"""Quietly rising metal: batch by batch into the cells that it has reached."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.empty_cells import (
    Cavity,
    empty_cavity,
    metal_enthalpy,
    metal_heat,
    receive_metal,
)
from solidsim.conduction.state import Conduction
from solidsim.fill.carrying import carry_heat
from solidsim.fill.record import FillRecord, Place
from solidsim.fill.rising import Batch, Filling
from solidsim.fill.starting import start_filling
from solidsim.fill.ways import Ways, lay_ways
from solidsim.pour.noting import ROUGHER, entering_enthalpy, supply_record
from solidsim.quantities import GRAVITY

Array = NDArray[np.float64]


@dataclass
class RisingPour:
    """A rising fill and its heat; made by ``start_rising``.

    ``heat`` [J] has come in with the metal; ``temperatures`` holds the time and the temperature
    at every mouth, batch by batch. For the rest see ``Pouring``.
    """

    filling: Filling
    cavity: Cavity
    ways: Ways
    effusivity: float
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

    @property
    def share(self) -> float:
        """Share of the section's metal that has come, [1]."""
        return self.filling.poured / self.filling.volume

    @property
    def standing(self) -> NDArray[np.bool_]:
        """Cells that hold metal, shape (ny, nx)."""
        return self.cavity.full

    @property
    def frame_spacing(self) -> float:
        """Longest time between two frames, [s]: frames go by the share that has come."""
        return math.inf

    def motion(self) -> None:
        """Metal is not followed on its way."""

    def fields(self) -> Mapping[str, Array]:
        """When each cell was filled [s], and how hot the metal came there [K]."""
        return {"fill_time": self.filling.fill_time, "arrival_temperature": self.arrival}

    def let_in(self, state: Conduction) -> None:
        """Bring in the metal that has come up to now, and say when the next comes."""
        filling, cavity = self.filling, self.cavity
        known = len(filling.met)
        standing = np.where(cavity.full, state.solid_fraction(), 0.0)
        batch = filling.advance(self.due - filling.time, standing)
        entering = entering_enthalpy(
            state.model, filling.supply, filling.mouth_cells.size, filling.time, self.effusivity
        )
        curve = state.model.materials[state.model.metal].curve
        if batch.cells.size:
            self.temperatures.append((filling.time, curve.temperature_at(entering)))
        enthalpy, heat = carry_heat(
            filling, self.ways, batch, metal_enthalpy(state, cavity), entering
        )
        self.heat += heat
        receive_metal(state, cavity, batch.cells, enthalpy)
        _note_front(state, self, batch)
        self.meetings += [_meeting(state, filling, *met[:2]) for met in filling.met[known:]]
        self.due = filling.time + filling.next_duration()
        if filling.over:
            self.due = math.inf
            state.tolerance /= ROUGHER

    def record(self, state: Conduction, released: float) -> FillRecord:
        """What is kept of the fill; ``released`` [J] has left the metal by conduction."""
        filling, model = self.filling, state.model
        full = self.cavity.full
        return FillRecord(
            **supply_record(model, filling.supply, filling.mouth_cells.tolist(), self.temperatures),
            fill_time=float(np.nanmax(filling.filled_at)),
            volume=filling.volume,
            filled=float(model.section.volumes[full & model.section.metal].sum()),
            poured_heat=self.heat,
            heat_gap=metal_heat(state, self.cavity) + released - self.heat,
            flow_stop=model.materials[model.metal].coherency,
            places=(*_shut_in(filling), *self.meetings, *filter(None, [self.coldest])),
        )


def start_rising(state: Conduction, effusivity: float) -> RisingPour:
    """Empty the cavity of a state that has not started, ready for metal.

    ``effusivity`` [W s^1/2/m2K] is that of the sand.
    """
    filling, cavity = start_filling(state.model), empty_cavity(state)
    state.tolerance *= ROUGHER
    return RisingPour(
        filling=filling,
        cavity=cavity,
        ways=lay_ways(state.model.section),
        effusivity=effusivity,
        arrival=np.full(state.model.section.grid.shape, math.nan),
        due=filling.next_duration(),
    )


def _note_front(state: Conduction, pouring: RisingPour, batch: Batch) -> None:
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


def _shut_in(filling: Filling) -> list[Place]:
    """Air that was cut off, when the last of it had gone, and what would let it out in time."""
    weight = filling.model.materials[filling.model.metal].density * GRAVITY
    places = []
    for found in filling.shut_in:
        now = next(m for m in reversed(filling.supply.history) if m.time <= found.time)
        flow = float(now.flows.clip(0.0).sum()) * filling.scale
        places.append(
            Place(
                kind="shut-in",
                time=found.time,
                x=found.x,
                y=found.y,
                volume=found.volume,
                until=float(filling.filled_at[list(found.runs)].max()),
                leak=found.per_head / weight,
                left=(filling.volume - now.poured) / flow if flow > 0.0 else math.nan,
            )
        )
    return places
