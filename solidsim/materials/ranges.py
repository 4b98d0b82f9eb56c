"""The ends of the ranges that a card states, for runs that ask what difference they make."""

from collections.abc import Mapping
from typing import Any, Literal

from solidsim.materials.material import Material
from solidsim.quantities import KINDS, read_quantity

End = Literal["low", "high"]
VALUE_KINDS = {
    "density": "density",
    "specific_heat": "specific-heat",
    "conductivity": "conductivity",
    "emissivity": "fraction",
    "moisture": "fraction",
    "latent_heat": "specific-energy",
    "coherency": "fraction",
    "feeding_cutoff": "fraction",
    "liquid_contraction": "fraction",
    "freezing_volume": "fraction",
    "pattern_allowance": "contraction",
    "afs_permeability": "number",
    "wall_movement": "fraction",
    "gas_ml_per_g": "number",
    "sand.grain_size": "length",
    "sand.cold_contact": "conductivity",
    "sand.hot_contact": "conductivity",
    "coating.thickness": "length",
    "coating.conductivity": "conductivity",
    "reaction.ignition": "temperature",
    "reaction.heat": "specific-energy",
    "reaction.duration": "time",
}


def ranged_keys(material: Material) -> tuple[str, ...]:
    """Keys of a material's card whose values have a stated range, e.g. ``iron.carbon``."""
    return tuple(own.key for own in material.properties if own.range_text)


def range_factors(material: Material, key: str) -> tuple[float, float]:
    """Factors from the values under a key to both ends of their range; one where there is none."""
    entry = material.card.get(key)
    if not isinstance(entry, Mapping) or "range" not in entry:
        return 1.0, 1.0
    kind = VALUE_KINDS[key]
    return _factor(entry, kind, "low", -1.0), _factor(entry, kind, "high", 1.0)


def at_range_end(data: Mapping[str, Any], material: Material, key: str, end: End) -> dict[str, Any]:
    """Card with the value under a key moved to one end of its range.

    Parameters
    ----------
    data : mapping
        The card as written, from which ``material`` was built.
    material : Material
    key : str
        One of `ranged_keys`.
    end : {"low", "high"}

    Returns
    -------
    dict
        A card to build again; what follows from a composition follows the moved value.
    """
    table, _, inner = key.rpartition(".")
    entry = material.card[table][inner] if table else material.card[key]
    moved = _moved(entry, VALUE_KINDS.get(key, "fraction"), end, key == "freezing_volume")
    if not table:
        return {**data, key: moved}
    return {**data, table: {**material.card[table], inner: moved}}


def _moved(entry: Mapping[str, Any], kind: str, end: End, by_solid: bool) -> dict[str, Any]:
    """Entry of a card at an end of its range, which then states none any more."""
    kept = {name: entry[name] for name in ("source", "grade") if name in entry}
    spread = entry["range"]
    if isinstance(spread, list) and "value" in entry:
        return {**kept, "value": spread[0 if end == "low" else 1]}
    sign = -1.0 if end == "low" else 1.0
    if by_solid:
        share = sign * read_quantity(spread, "fraction")
        moved = [
            (place, _number(value, kind) + share * _number(place, kind))
            for place, value in entry["table"]
        ]
        return {**kept, "table": [[place, f"{100 * value:.4f} %"] for place, value in moved]}
    factor = _factor(entry, kind, end, sign)
    if "value" in entry:
        return {**kept, "value": _scaled(entry["value"], kind, factor)}
    rows = [[place, _scaled(value, kind, factor)] for place, value in entry["table"]]
    return {**kept, "table": rows}


def _factor(entry: Mapping[str, Any], kind: str, end: End, sign: float) -> float:
    spread = entry["range"]
    if isinstance(spread, str):
        return 1.0 + sign * read_quantity(spread, "fraction")
    rows = entry["table"] if "table" in entry else [(None, entry["value"])]
    values = [_number(row[1], kind) for row in rows]
    limit = _number(spread[0 if end == "low" else 1], kind)
    return limit / (min(values) if end == "low" else max(values))


def _scaled(value: Any, kind: str, factor: float) -> str:
    unit = KINDS[kind].si
    return f"{_number(value, kind) * factor:.8g} {'' if unit == '1' else unit}".strip()


def _number(value: Any, kind: str) -> float:
    return read_quantity(str(value), kind)
