"""The numbers of a pour: what the rules of the trade say to a case and its section."""

import math
from dataclasses import dataclass

from solidsim.case import Case
from solidsim.case.workshop import Workshop
from solidsim.materials import Material
from solidsim.model import Model
from solidsim.results.run import Run
from solidsim.sizing.alloy_pouring import casting_thickness, usual_pouring_time
from solidsim.sizing.cope_lift import CopeLift, cope_lift
from solidsim.sizing.drawn_lift import drawn_lift
from solidsim.sizing.inoculant import Inoculant, inoculant_amount
from solidsim.sizing.kinds import INCH
from solidsim.sizing.temperature import pour_temperature, tap_temperature
from solidsim.sizing.vents import Vents, vents_by_pressure
from solidsim.sizing.weight import (
    Charge,
    CrucibleRoom,
    SectionWeights,
    crucible_room,
    melt_charge,
    section_weights,
)

VENT = {"metric": 0.005, "inch": 3 / 16 * INCH}  # m, of a vent; common practice, no source
POUR_SPAN = 25.0  # K to either side of the pouring temperature; common practice, no source
LEAST_SUPERHEAT = 30.0  # K over the liquidus; common practice, no source


@dataclass(frozen=True)
class PouringPlan:
    """What to weigh out, how hot and fast to pour, what to put on the cope; SI.

    A value is None where the case does not say enough.

    Parameters
    ----------
    coolest, hottest : float, [K]
        Of the metal as it enters the mold.
    tap : float or None, [K]
        In the furnace, for the pour to begin at its temperature.
    reached : float or None, [K]
        At which the pour begins when tapped as hot as the furnace gets.
    pouring_time : float or None, [s]
    pouring_source : str
        Whose word the pouring time is.
    vent_diameter : float, [m]
    """

    workshop: Workshop
    weights: SectionWeights | None
    charge: Charge | None
    room: CrucibleRoom | None
    inoculant: Inoculant | None
    coolest: float
    hottest: float
    tap: float | None
    reached: float | None
    pouring_time: float | None
    pouring_source: str
    lift: CopeLift | None
    vents: Vents | None
    vent_diameter: float


def plan_pour(case: Case, model: Model, run: Run | None = None) -> PouringPlan:
    """Work out the pour of a case from its section, alloy and shop, and from its run if any.

    The mold fills in the time that the run came to, else in the time that the case asks for, else
    in that of the rule for the alloy.
    """
    shop = case.description.workshop or Workshop()
    alloy, section, pour = model.materials[model.metal], model.section, model.pour_temperature
    weights = None if section.endless else section_weights(section, alloy.density)
    charge = melt_charge(weights.casting, weights.feeding + weights.gating) if weights else None
    time, source = _pouring_time(model, weights, shop, run)
    held = shop.holding_time
    hottest = shop.furnace_temperature
    return PouringPlan(
        workshop=shop,
        weights=weights,
        charge=charge,
        room=crucible_room(charge.charge, shop.crucible) if charge and shop.crucible else None,
        inoculant=_inoculant(alloy, charge),
        coolest=min(max(pour - POUR_SPAN, alloy.liquidus + LEAST_SUPERHEAT), pour),
        hottest=pour + POUR_SPAN,
        tap=None if held is None else tap_temperature(pour, held),
        reached=None
        if held is None or hottest is None
        else pour_temperature(hottest, held).first_metal,
        pouring_time=time,
        pouring_source=source,
        lift=_lift(model, shop, weights),
        vents=_vents(model, weights, time),
        vent_diameter=VENT[model.units],
    )


def _inoculant(alloy: Material, charge: Charge | None) -> Inoculant | None:
    if alloy.iron is None or charge is None:
        return None
    treated = charge.poured_weight + charge.pigged_weight
    gray = alloy.iron.graphite == "flakes"
    return inoculant_amount(treated, "gray-iron" if gray else "ductile-iron")


def _pouring_time(
    model: Model, weights: SectionWeights | None, shop: Workshop, run: Run | None
) -> tuple[float | None, str]:
    """Pouring time [s], and whose word it is."""
    alloy, section = model.materials[model.metal], model.section
    if run and run.fill and run.fill.full:
        return run.fill.fill_time, "computed by its run"
    if not math.isnan(model.pour.time):
        return model.pour.time, "as the case asks"
    if weights is None:
        return None, ""
    usual = usual_pouring_time(
        weights.poured, casting_thickness(section), iron=alloy.iron, liquidus=alloy.liquidus,
        density=alloy.density, gate_area=shop.gate_area,
    )  # fmt: skip
    return (usual.time, f"by the rule {usual.rule}") if usual else (None, "")


def _vents(model: Model, weights: SectionWeights | None, time: float | None) -> Vents | None:
    if weights is None or time is None:
        return None
    return vents_by_pressure(
        weights.poured / model.materials[model.metal].density,
        time,
        vent_diameter=VENT[model.units],
        mold_temperature=model.mold_temperature,
    )


def _lift(model: Model, shop: Workshop, weights: SectionWeights | None) -> CopeLift | None:
    """Lift on the cope; without a flask the cope's own weight is not counted on."""
    section, alloy = model.section, model.materials[model.metal]
    top = float(section.grid.y_edges[-1])
    height = shop.cope_height or top - shop.parting
    drawn = drawn_lift(section, shop.parting, shop.parting + height)
    area, head = drawn or (None, height if shop.cope_height else None)
    area = shop.lifted_area or area
    if area is None or head is None or head <= 0.0:
        return None
    cope = 0.0
    if shop.flask and weights:
        sand = shop.flask[0] * shop.flask[1] * height - weights.poured / alloy.density
        cope = max(sand, 0.0) * model.materials[model.mold].density
    cores = sum(part.drawn_volume for part in section.parts if part.role == "core")
    return cope_lift(alloy.density, head, area, cope, core_volume=cores)
