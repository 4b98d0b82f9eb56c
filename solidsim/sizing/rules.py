"""All rules by name, with the grade of their constants."""

from collections.abc import Mapping
from difflib import get_close_matches

from solidsim.errors import SizingError
from solidsim.sizing import (
    allowance,
    chill,
    cope_lift,
    feeder,
    gating,
    heads,
    inoculant,
    iron,
    modulus,
    pouring,
    temperature,
    vents,
    weight,
)
from solidsim.sizing.rule import Rule, Value, Worked, describe, work

RULES: dict[str, Rule] = {
    "weight": describe(weight.weight, "exact"),
    "casting-yield": describe(weight.casting_yield, "exact"),
    "melt-charge": describe(weight.melt_charge, "estimated"),
    "crucible-room": describe(weight.crucible_room, "estimated"),
    "pattern-allowance": describe(allowance.pattern_allowance, "handbook"),
    "pattern-size": describe(allowance.pattern_size, "exact"),
    "machining-stock": describe(allowance.machining_stock, "handbook"),
    "modulus": describe(modulus.modulus, "exact"),
    "plate-modulus": describe(modulus.plate_modulus, "exact"),
    "bar-modulus": describe(modulus.bar_modulus, "exact"),
    "block-modulus": describe(modulus.block_modulus, "exact"),
    "cylinder-modulus": describe(modulus.cylinder_modulus, "exact"),
    "sphere-modulus": describe(modulus.sphere_modulus, "exact"),
    "freezing-time": describe(modulus.freezing_time, "handbook"),
    "mold-constant": describe(modulus.mold_constant, "handbook"),
    "sand-mold-constant": describe(modulus.sand_mold_constant, "handbook"),
    "feeder-by-modulus": describe(feeder.feeder_by_modulus, "estimated"),
    "feeder-by-volume": describe(feeder.feeder_by_volume, "estimated"),
    "feeder-by-caine": describe(feeder.feeder_by_caine, "estimated"),
    "feeder-neck": describe(feeder.feeder_neck, "estimated"),
    "feeding-distance": describe(feeder.feeding_distance, "estimated"),
    "shrinkage": describe(feeder.shrinkage, "estimated"),
    "iron-pouring-time": describe(pouring.iron_pouring_time, "handbook"),
    "steel-pouring-time": describe(pouring.steel_pouring_time, "handbook"),
    "ductile-pouring-time": describe(pouring.ductile_pouring_time, "handbook"),
    "copper-pouring-time": describe(pouring.copper_pouring_time, "estimated"),
    "quiet-pouring-time": describe(pouring.quiet_pouring_time, "handbook"),
    "effective-head": describe(heads.effective_head, "exact"),
    "choke-area": describe(gating.choke_area, "estimated"),
    "sprue-taper": describe(gating.sprue_taper, "exact"),
    "sprue-flow": describe(heads.sprue_flow, "exact"),
    "gating-ratio": describe(gating.gating_ratio, "estimated"),
    "gating-areas": describe(gating.gating_areas, "exact"),
    "gate-speed": describe(gating.gate_speed, "handbook"),
    "bottom-fill-time": describe(heads.bottom_fill_time, "exact"),
    "emptying-time": describe(heads.emptying_time, "estimated"),
    "core-lift": describe(cope_lift.core_lift, "exact"),
    "cope-lift": describe(cope_lift.cope_lift, "estimated"),
    "vents-by-choke": describe(vents.vents_by_choke, "estimated"),
    "vents-by-pressure": describe(vents.vents_by_pressure, "estimated"),
    "ladle-cooling": describe(temperature.ladle_cooling, "estimated"),
    "ladle-radiation": describe(temperature.ladle_radiation, "estimated"),
    "pour-temperature": describe(temperature.pour_temperature, "estimated"),
    "tap-temperature": describe(temperature.tap_temperature, "estimated"),
    "inoculant-amount": describe(inoculant.inoculant_amount, "handbook"),
    "fade-clock": describe(inoculant.fade_clock, "handbook"),
    "carbon-equivalent": describe(iron.carbon_equivalent, "handbook"),
    "iron-liquidus": describe(iron.iron_liquidus, "estimated"),
    "iron-eutectic": describe(iron.iron_eutectic, "estimated"),
    "iron-graphite": describe(iron.iron_graphite, "estimated"),
    "chilled-modulus": describe(chill.chilled_modulus, "estimated"),
    "chill-face": describe(chill.chill_face, "estimated"),
    "chill-weight": describe(chill.chill_weight, "estimated"),
}


def find_rule(name: str) -> Rule:
    """Rule of this name.

    Raises
    ------
    SizingError
        With the nearest names.
    """
    if name not in RULES:
        near = get_close_matches(name, RULES, n=3, cutoff=0.5) or list(RULES)
        raise SizingError(f'no rule is called "{name}"; nearest: {", ".join(near)}')
    return RULES[name]


def work_rule(name: str, given: Mapping[str, Value]) -> Worked:
    """Work the rule of this name from values in SI; see ``solidsim.sizing.rule.work``."""
    return work(find_rule(name), given)
