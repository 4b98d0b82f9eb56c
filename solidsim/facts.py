"""What findings need to know of a model besides what was computed: its metal, and the rules."""

import math

import numpy as np

from solidsim.conduction.columns import mold_effusivity
from solidsim.criteria.free_surfaces import open_parts
from solidsim.materials import Material
from solidsim.model import Model
from solidsim.results.run import AlloyFacts, JudgingRules
from solidsim.section.layout import METAL_ROLES


def alloy_facts(model: Model) -> AlloyFacts:
    """Facts of the poured metal that findings need."""
    metal = model.materials[model.metal]
    return AlloyFacts(
        name=metal.name,
        title=metal.title,
        pour_temperature=model.pour_temperature,
        liquidus=metal.liquidus,
        solidus=metal.solidus,
        latent_heat=metal.latent_heat,
        density=metal.density,
        feeding_cutoff=metal.feeding_cutoff,
        heat_content=_heat_content(metal, model.pour_temperature),
        volume=metal.volume,
        iron=metal.iron,
    )


def _heat_content(metal: Material, pour_temperature: float) -> float:
    """Heat given off from the pour to the solidus, [J/m3]."""
    if not metal.latent_heat:
        return math.nan
    poured = metal.curve.enthalpy_at(pour_temperature)
    return float(poured - metal.curve.enthalpy_at(metal.solidus, molten=False))


def judging_rules(model: Model) -> JudgingRules:
    """Where and against what the run is judged."""
    sand, cold = model.materials[model.mold], model.mold_temperature
    metal = model.materials[model.metal]
    hot = metal.solidus if metal.latent_heat else model.pour_temperature
    return JudgingRules(
        temperature=model.judging.temperature,
        niyama_limit=model.judging.niyama_limit,
        niyama_source=model.judging.niyama_source,
        mold_effusivity=mold_effusivity(sand, cold, hot),
        mold_temperature=cold,
        wall_movement=float(np.nan_to_num(sand.wall_movement)),
        open_parts=_open_parts(model),
    )


def _open_parts(model: Model) -> tuple[str, ...]:
    """Metal parts open to the air: in the drawing, or by the cover of their face in plan."""
    section = model.section
    if section.grid.view != "plan":
        return open_parts(section, rim=model.sides[3].kind != "insulated")
    loose = {len(model.materials)} | {
        number for number, own in enumerate(model.materials) if own.kind == "insulation"
    }
    return tuple(
        part.name
        for part, (cope, _) in zip(section.parts, model.faces, strict=True)
        if part.role in METAL_ROLES and cope.material in loose
    )
