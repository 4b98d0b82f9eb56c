"""Variants of a case: whole case texts without a base, each with some values changed."""

import copy
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from solidsim.case import Case
from solidsim.errors import QuantityError
from solidsim.materials import build_material, read_card
from solidsim.materials.ranges import at_range_end, ranged_keys
from solidsim.quantities import read_quantity
from solidsim.studies.paths import Steps, put, value_at
from solidsim.studies.shapes import length_text

ENDS = ("low", "as the card says", "high")


@dataclass(frozen=True)
class Link:
    """A value that follows another one: a copy of it, or for lengths ``times`` it ``plus`` [m]."""

    path: Steps
    equals: Steps
    times: float = 1.0
    plus: float = 0.0


def variant_text(
    case: Case, changes: Sequence[tuple[Steps, Any]], links: Sequence[Link] = (), note: str = ""
) -> str:
    """Text of a whole case with values changed, then links followed, in their order.

    Raises
    ------
    QuantityError
        If a path leads nowhere or a shape cannot take a size.
    """
    written = {key: value for key, value in case.written.items() if key not in ("base", "without")}
    written = copy.deepcopy(written) | {"units": case.units}
    for path, value in changes:
        if value in ENDS and path[0] == "material":
            _move_to_end(written, str(path[1]), ".".join(map(str, path[2:])), value)
        else:
            put(written, path, value)
    for link in links:
        value = value_at(written, link.equals)
        if (link.times, link.plus) != (1.0, 0.0):
            value = length_text(link.times * read_quantity(value, "length") + link.plus)
        put(written, link.path, value)
    if note:
        written["title"] = f"{written['title']}; {note}"
    return toml_text(written)


def _move_to_end(written: dict[str, Any], name: str, key: str, end: str) -> None:
    """Put a card into the case with one of its values at an end of its range."""
    own = written.setdefault("material", {})
    card = own[name] if name in own else read_card(name)
    if end == ENDS[1]:
        return
    faults: list[Any] = []
    material = build_material(name, card, report=lambda *fault: faults.append(fault))
    known = ranged_keys(material) if material else ()
    if material is None or key not in known:
        given, allowed = f'"{key}" of {name} has no range', f"one of {', '.join(known)}"
        raise QuantityError(given, allowed, f'material["{name}"].{next(iter(known), "density")}')
    own[name] = at_range_end(card, material, key, "low" if end == "low" else "high")


def toml_text(written: Mapping[str, Any]) -> str:
    """A case as written, in TOML."""
    lines = [f"{_key(key)} = {_value(own)}" for key, own in written.items() if not _is_table(own)]
    for key, own in written.items():
        if isinstance(own, Mapping):
            lines += ["", f"[{_key(key)}]", *_rows(own)]
        elif _is_table(own):
            for entry in own:
                lines += ["", f"[[{_key(key)}]]", *_rows(entry)]
    return "\n".join(lines) + "\n"


def _is_table(value: Any) -> bool:
    if isinstance(value, list):
        return bool(value) and all(isinstance(entry, Mapping) for entry in value)
    return isinstance(value, Mapping)


def _rows(table: Mapping[str, Any]) -> list[str]:
    return [f"{_key(key)} = {_value(value)}" for key, value in table.items()]


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _value(key)


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(_rows(value)) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return json.dumps(value) if isinstance(value, bool) else repr(value)
