"""Metal that flows with a free surface, and its heat: in turns with the heat of the mold."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.empty_cells import (
    Cavity,
    empty_cavity,
    hold_metal,
    metal_enthalpy,
    metal_heat,
)
from solidsim.conduction.state import Conduction
from solidsim.errors import SolverError
from solidsim.fill.closed_air import open_cells
from solidsim.fill.flow_mouths import flow_mouths
from solidsim.fill.flowing import Flow, FlowStep, start_flow
from solidsim.fill.hydraulics import VISCOSITY
from solidsim.fill.record import FillRecord, Place
from solidsim.fill.starting import mouth_cells
from solidsim.fill.supply import Supply, lay_supply, section_share
from solidsim.model import Model
from solidsim.pour.fronts import Fronts
from solidsim.pour.noting import ROUGHER, entering_enthalpy, supply_record
from solidsim.pour.shut_in import ShutInAir
from solidsim.quantities import GRAVITY

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

FRAME_TURNS = 2  # from one frame to the next: what moves a second is seen a dozen times
TURNS = 120  # of flow and heat, in the time that the first flow would take
ARM_SPACING = 5e-5  # m between dendrite arms while metal still flows; from memory
MUSH = 180.0 / ARM_SPACING**2  # 1/m2 by Carman and Kozeny; Voller & Prakash 1987
STEEPNESS = 100.0  # of the step from crystals that float to those grown together; from memory
WET = 0.5  # share of metal at which a cell counts as reached
FULL = 0.9995  # of the cavity
TRICKLE = 2e-3  # of the first flow: nothing comes any more
STILL = 0.05  # m/s at the surface: the metal has come to rest
LONGEST_REST = 1.5  # s that it is given for that
LONGEST_POUR = 600.0  # s
MOST_STEPS = 20000  # in a turn
NOTHING = 1e-15  # m3: no metal came
SOFT_HEAD = 0.1  # m over the top of the section in which a steady flow ends


@dataclass
class FlowingPour:
    """A flow and its heat; made by ``start_flowing``.

    ``heat`` [J] and ``entered`` [m3] have come in; ``surface`` [m/s] is how fast the free surface
    moves now, ``pressure`` (mouths,) [Pa] the mean at the mouths over the last turn. For the rest
    see ``Pouring``.
    """

    model: Model
    flow: Flow
    supply: Supply
    cavity: Cavity
    air: ShutInAir
    fronts: Fronts
    mouth_cells: NDArray[np.int64]
    scale: float
    effusivity: float
    turn: float
    due: float
    arrival: Array
    pressure: Array
    over: bool = False
    heat: float = 0.0
    entered: float = 0.0
    resting: float = math.inf
    surface: float = 0.0
    temperatures: list[tuple[float, Array]] = field(default_factory=list)
    coldest: Place | None = None
    fastest: Place | None = None

    @property
    def share(self) -> float:
        """Share of the section's metal that has come, [1]."""
        return self.flow.volume / float(self.flow.grid.volumes.sum())

    @property
    def standing(self) -> Mask:
        """Cells that hold metal, shape (ny, nx)."""
        return self.cavity.full if self.over else self.cavity.share >= WET

    @property
    def frame_spacing(self) -> float:
        """Longest time between two frames, [s]."""
        return FRAME_TURNS * self.turn

    def motion(self) -> tuple[Array, Array, Array]:
        """Share of each cell that is filled [1], velocity along x and y at its middle [m/s]."""
        flow, grid = self.flow, self.flow.grid
        middle = [
            np.where(flow.fraction >= WET, 0.5 * (q + np.roll(q, -1, axis)), 0.0)
            for q, axis in ((flow.u, 1), (flow.v, 0))
        ]
        return grid.outside(flow.fraction), grid.outside(middle[0]), grid.outside(middle[1])

    def fields(self) -> Mapping[str, Array]:
        """When each cell was filled and how long its surface lay open [s], how hot it came [K]."""
        grid = self.flow.grid
        reached = np.where(self.standing, grid.outside(self.flow.arrival, math.nan), math.nan)
        return {
            "fill_time": reached,
            "arrival_temperature": self.arrival,
            "exposure_time": grid.outside(self.flow.exposure, math.nan),
        }

    def let_in(self, state: Conduction) -> None:
        """Let the metal flow on up to now, with the heat it has, and say when it flows next."""
        flow = self.flow
        self._take_heat(state)
        solid = flow.grid.outside(self._solid_fraction())
        stop = state.model.materials[state.model.metal].coherency
        flow.resist(mush_drag(solid, stop), solid >= (1.0 if math.isnan(stop) else stop))
        flows, yielding = self._wanted()
        at = self.pressure
        summed = np.zeros_like(at)
        self.supply.note(flow.time, np.maximum(flows, 0.0), flow.volume)
        entering = entering_enthalpy(
            state.model, self.supply, self.mouth_cells.size, flow.time, self.effusivity
        )
        curve = state.model.materials[state.model.metal].curve
        self.temperatures.append((flow.time, curve.temperature_at(entering)))
        came = 0.0
        steps = 0
        while flow.time < self.due - 1e-9:
            steps += 1
            if steps > MOST_STEPS:
                raise SolverError(f"flow: no step is long enough at {flow.time:.6g} s")
            comes = np.maximum(flows - yielding * (flow.mouth_pressure - at), 0.0)
            step = flow.step(
                self.due - flow.time,
                comes * self.scale,
                entering_enthalpy=entering,
                yielding=yielding * self.scale,
            )
            came += self._note(step)
            summed += step.length * flow.mouth_pressure
        self.pressure = summed / self.turn
        self.supply.lower_basin(came / self.scale, self.turn)
        self._give_heat(state)
        self.air.look(flow)
        self.fronts.look(flow, self._temperature())
        self._go_on(state, came / self.turn)

    def _note(self, step: FlowStep) -> float:
        """Keep what a step did; the volume that came, [m3]."""
        came = float(step.entered.sum())
        self.heat += step.heat
        self.entered += came
        self.surface = step.fastest
        if self.fastest is None or step.fastest > self.fastest.speed:
            x, y = step.place
            self.fastest = Place("fastest", self.flow.time, x, y, speed=step.fastest)
        return came

    def _wanted(self) -> tuple[Array, Array]:
        """Flow at each mouth [m3/s] at the pressure there is, and its fall with it [m3/(s Pa)]."""
        flow, weight = self.flow, self.flow.metal.density * GRAVITY
        wet = flow.mouths.mean(flow.fraction.ravel()) > WET
        head = self.pressure / weight
        if self.supply.circuit is None:
            soft = self.supply.steady_flow / wet.size / SOFT_HEAD
            top = float(self.model.section.grid.y_edges[flow.grid.window[0].stop])
            y = self.model.section.grid.y_centers[
                self.mouth_cells // flow.grid.section.grid.shape[1]
            ]
            above = np.maximum(top - y, 0.0) if flow.metal.gravity[1] else 0.0
            spare = np.clip(SOFT_HEAD - (head - above), 0.0, SOFT_HEAD)
            held = spare < SOFT_HEAD
            return soft * spare, np.where(held, soft / weight, 0.0)
        heights = self.supply.circuit.heights
        against = np.where(wet, heights + np.maximum(head, 0.0), -math.inf)
        flows = self.supply.flows(against)
        return flows, self.supply.softness(against) / weight

    def _go_on(self, state: Conduction, coming: float) -> None:
        """When metal flows next; over when none comes any more and what is there has settled."""
        flow, first = self.flow, self.supply.first_flow() * self.scale
        full = flow.volume >= FULL * float(flow.grid.volumes.sum())
        if coming <= TRICKLE * first:
            self.resting = min(self.resting, flow.time)
        else:
            self.resting = math.inf
        still = self.surface <= STILL and flow.time > self.resting + 2.0 * self.turn
        tired = flow.time > self.resting + LONGEST_REST
        self.due = flow.time + self.turn
        if full or still or tired or flow.time > LONGEST_POUR:
            self.over, self.due = True, math.inf
            state.tolerance /= ROUGHER

    def _specific(self) -> Array:
        """Enthalpy of the metal in each cell of the window, zero where there is none, [J/m3]."""
        held = self.flow.fraction * self.flow.grid.volumes
        nothing = np.zeros_like(held)
        return np.divide(self.flow.heat, held, out=nothing, where=held > 0.0)

    def _solid_fraction(self) -> Array:
        """Of the metal in each cell of the window, [1]; zero where there is none."""
        curve = self.model.materials[self.model.metal].curve
        there = self.flow.fraction > 0.0
        return np.where(there, curve.solid_fraction_at(self._specific()), 0.0)

    def _temperature(self) -> Array:
        """Of the metal in each cell of the window, [K]; NaN where there is none."""
        curve = self.model.materials[self.model.metal].curve
        there = self.flow.fraction > 0.0
        return np.where(there, curve.temperature_at(self._specific()), math.nan)

    def _take_heat(self, state: Conduction) -> None:
        """Metal that conducts has the heat that the mold left it."""
        grid = self.flow.grid
        full, held = grid.inside(self.cavity.full), self.flow.fraction * grid.volumes
        self.flow.heat[full] = (grid.inside(metal_enthalpy(state, self.cavity)) * held)[full]

    def _give_heat(self, state: Conduction) -> None:
        """The mold sees the metal where it is now; note what has come to new cells."""
        grid = self.flow.grid
        before = self.cavity.share >= WET
        share = grid.outside(self.flow.fraction)
        hold_metal(state, self.cavity, share, grid.outside(self._specific()))
        cells = np.flatnonzero((share >= WET) & ~before & np.isnan(self.arrival))
        if not cells.size:
            return
        temperature = state.temperature.flat[cells]
        self.arrival.flat[cells] = temperature
        cell = int(cells[np.argmin(temperature)])
        if self.coldest is None or temperature.min() < self.coldest.temperature:
            x, y = grid.place(grid.number(cell))
            solid = float(state.solid_fraction().flat[cell])
            self.coldest = Place(
                "coldest", self.flow.time, x, y,
                temperature=float(temperature.min()), solid_fraction=solid,
            )  # fmt: skip

    def record(self, state: Conduction, released: float) -> FillRecord:
        """What is kept of the fill; ``released`` [J] has left the metal by conduction."""
        model, flow, grid = self.model, self.flow, self.flow.grid
        thin = ~grid.inside(self.cavity.full)
        held = metal_heat(state, self.cavity) + float(flow.heat[thin].sum())
        places = [*self.air.places(flow.time), *self.fronts.places]
        return FillRecord(
            **supply_record(model, self.supply, self.mouth_cells.tolist(), self.temperatures),
            fill_time=float(np.nanmax(flow.arrival, initial=0.0)),
            volume=float(grid.volumes.sum()),
            filled=flow.volume,
            poured_heat=self.heat,
            heat_gap=held + released - self.heat,
            flow_stop=model.materials[model.metal].coherency,
            places=(*places, *filter(None, [self.coldest, self.fastest])),
            volume_error=abs(flow.volume - self.entered) / max(self.entered, NOTHING),
        )


def mush_drag(solid: Array, stop: float) -> Array:
    """Deceleration over velocity of metal that is in part solid, [1/s].

    Crystals that float go along with the metal; those that have grown together hold it back as
    a bed of grains does, after Carman and Kozeny. Between both leads a smooth step at the solid
    fraction where dendrites meet.

    References
    ----------
    Voller & Prakash (1987), Int. J. Heat Mass Transfer 30:1709; for the step Oldenburg & Spera
    (1992), Numerical Heat Transfer B 21:217, from memory.
    """
    grown = 0.5 + np.arctan(STEEPNESS * (solid - stop)) / math.pi if stop < 1.0 else 1.0
    return grown * MUSH * VISCOSITY * solid**2 / np.maximum(1.0 - solid, 1e-3) ** 3


def start_flowing(state: Conduction, effusivity: float) -> FlowingPour:
    """Empty the cavity of a state that has not started, ready for metal.

    ``effusivity`` [W s^1/2/m2K] is that of the sand.
    """
    model = state.model
    section, gating, metal = model.section, model.pour.gating, model.materials[model.metal]
    upright = section.grid.view == "upright"
    openings = open_cells(section) if upright else np.zeros(section.grid.shape, bool)
    permeability = model.materials[model.mold].permeability
    shut = openings.any() and math.isfinite(permeability)
    cells = mouth_cells(model)
    flow = start_flow(
        section,
        flow_mouths(model),
        openings=openings if shut else None,
        density=metal.density,
        viscosity=VISCOSITY,
        gravity=(0.0, -GRAVITY if upright else 0.0),
        permeability=permeability if shut else math.inf,
    )
    volume = float(flow.grid.volumes.sum())
    supply = lay_supply(gating, volume, model.pour.time, cells.size)
    scale = section_share(gating, volume, metal.density)
    first = float(supply.last_flows().clip(0.0).sum()) * scale
    turn = volume / max(first, 1e-3 * volume) / TURNS
    cavity = empty_cavity(state)
    state.tolerance *= ROUGHER
    return FlowingPour(
        model=model,
        flow=flow,
        supply=supply,
        cavity=cavity,
        air=ShutInAir(volume),
        fronts=Fronts(flow.grid),
        mouth_cells=cells,
        scale=scale,
        effusivity=effusivity,
        turn=turn,
        due=turn,
        arrival=np.full(section.grid.shape, math.nan),
        pressure=np.zeros(cells.size),
    )
