"""Any value of a case by its path: ``part["feeder"].height``, ``pour.temperature``, ``mold.sand``.

A step is a key, a name in brackets for one of several parts, probes or materials, or a number
from one for a place in a list; ``x`` and ``y`` are the two numbers of a point. Parts also have
sizes and sides that no key holds; ``solidsim.studies.shapes`` works them.
"""

import re
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from solidsim.case.merging import IDENTITY
from solidsim.errors import QuantityError
from solidsim.studies.shapes import DERIVED, change_shape, measure_shape

Steps = tuple[str | int, ...]

_STEP = re.compile(r'\.?(?:(?P<key>[A-Za-z_][\w-]*)|\[?"(?P<name>[^"]+)"\]?|\[?(?P<number>\d+)\]?)')
_EXAMPLE = 'part["feeder"].height or pour.temperature'
_AXES = {"x": 0, "y": 1}


def read_path(text: str) -> Steps:
    """Steps of a path as it is written.

    Raises
    ------
    QuantityError
        If it cannot be read.
    """
    steps: list[str | int] = []
    place = 0
    while place < len(text):
        found = _STEP.match(text, place)
        if not found:
            raise QuantityError(f'"{text}"', "a path to a value of the case", _EXAMPLE)
        number = found["number"]
        steps.append(int(number) - 1 if number else found["key"] or found["name"])
        place = found.end()
    if len(steps) < 2 and steps != ["title"]:
        raise QuantityError(f'"{text}"', "a path to a value of the case", _EXAMPLE)
    return tuple(steps)


def value_at(written: Mapping[str, Any], path: Steps) -> Any:
    """Value at a path of a case as written, a derived size as a text; None where none stands.

    Raises
    ------
    QuantityError
        If a step leads nowhere.
    """
    holder = _holder(written, path)
    if _is_derived(path):
        return measure_shape(holder, str(path[-1]), _view(written))
    key = _index(holder, path[-1])
    return holder.get(key) if isinstance(holder, Mapping) else holder[key]


def put(written: dict[str, Any], path: Steps, value: Any) -> None:
    """Set the value at a path of a case as written; a derived size changes the shape.

    Raises
    ------
    QuantityError
        If a step leads nowhere, or the shape cannot take the size.
    """
    if len(path) == 2 and path[0] not in IDENTITY:
        written.setdefault(str(path[0]), {})
    holder = _holder(written, path)
    if _is_derived(path):
        change_shape(holder, str(path[-1]), value, _view(written))
    else:
        holder[_index(holder, path[-1])] = value


def _view(written: Mapping[str, Any]) -> str:
    return str(written.get("section", {}).get("view", "upright"))


def _is_derived(path: Steps) -> bool:
    return len(path) == 3 and path[0] == "part" and path[2] in DERIVED


def _holder(written: Any, path: Steps) -> Any:
    """Table or list that the last step is taken in."""
    for number, step in enumerate(path[:-1]):
        if number == 1 and path[0] in IDENTITY:
            written = _named(written, step, IDENTITY[str(path[0])])
        else:
            written = written[_known(written, _index(written, step))]
    if not isinstance(written, dict | list):
        raise QuantityError(f"a step into {written!r}", "a table or a list", _EXAMPLE)
    return written


def _named(entries: list[dict[str, Any]], step: str | int, identity: str) -> dict[str, Any]:
    names = [entry.get(identity, "") for entry in entries]
    words = ["-".join(name) if isinstance(name, list) else name for name in names]
    if step in words:
        return entries[words.index(str(step))]
    raise _unknown(step, words)


def _index(holder: Any, step: str | int) -> str | int:
    """Step as a key of a table, or as a number of a list."""
    if isinstance(holder, list):
        index = _AXES.get(str(step), step)
        if not isinstance(index, int) or not 0 <= index < len(holder):
            raise _unknown(step, [str(number + 1) for number in range(len(holder))])
        return index
    return step


def _known(holder: Any, step: str | int) -> str | int:
    if isinstance(holder, Mapping) and step not in holder:
        raise _unknown(step, list(holder))
    return step


def _unknown(step: str | int, known: list[str]) -> QuantityError:
    near = get_close_matches(str(step), known, n=1) or known[:1]
    allowed = f"one of {', '.join(known)}" if known else "nothing stands there"
    return QuantityError(f'no "{step}" in the case', allowed, f'"{near[0]}"' if near else _EXAMPLE)
