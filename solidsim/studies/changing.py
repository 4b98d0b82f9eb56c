"""The same case with one thing changed: its pour, a feeder's height, a neck's width, a card."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from solidsim.case import Case
from solidsim.case.description import CaseDescription, Circle, PartTable, Rectangle, Ring
from solidsim.section.layout import METAL_ROLES

Place = tuple[float, float]
Bounds = tuple[float, float, float, float]

TOUCH = 1e-6  # m


def until_solid(case: Case) -> Case:
    """The same case, ended when all metal is solid."""
    cooling = case.description.cooling.model_copy(update={"stop": "solid"})
    return _described(case, cooling=cooling)


def poured_at(case: Case, temperature: float) -> Case:
    """The same case poured at another temperature, [K]."""
    pour = case.description.pour.model_copy(update={"temperature": temperature})
    return _described(case, pour=pour)


def with_card(case: Case, name: str, card: Mapping[str, Any]) -> Case:
    """The same case with a card of its own for a material of this name."""
    return _described(case, material={**case.description.material, name: dict(card)})


def with_height(case: Case, name: str, height: float) -> Case:
    """The same case with a part drawn higher or lower from its base, [m].

    What is not poured and touches it goes along: a cover on it is moved, a sleeve around it
    stretched. In the plan view the height is the depth.
    """
    part = part_named(case, name)
    if case.description.section.view == "plan":
        return _with_parts(case, {name: part.model_copy(update={"depth": height})})
    left, low, right, high = bounds_of(part)
    factor, rise = height / (high - low), height - (high - low)

    def move(place: Place) -> Place:
        x, y = place
        if y >= high - TOUCH:
            return x, y + rise
        return x, low + (y - low) * factor if y > low else y

    near = (left - TOUCH, low - TOUCH, right + TOUCH, high + TOUCH)
    moved = {
        other.name: _drawn(other, move)
        for other in case.description.part
        if other.name == name or (other.role not in METAL_ROLES and _meet(bounds_of(other), near))
    }
    return _with_room(_with_parts(case, moved), max(rise, 0.0))


def with_width(case: Case, name: str, width: float) -> Case:
    """The same case with a neck drawn wider or narrower about its middle, its depth alike, [m]."""
    part = part_named(case, name)
    across = 1 if flows_along_x(case, name) else 0
    bounds = bounds_of(part)
    middle = 0.5 * (bounds[across] + bounds[across + 2])
    factor = width / (bounds[across + 2] - bounds[across])

    def move(place: Place) -> Place:
        moved = list(place)
        moved[across] = middle + (place[across] - middle) * factor
        return moved[0], moved[1]

    scaled = _drawn(part, move, factor)
    depth = depth_of(case, part)
    if isinstance(depth, float):
        scaled = scaled.model_copy(update={"depth": depth * factor})
    return _with_parts(case, {name: scaled})


def depth_of(case: Case, part: PartTable) -> float | str:
    """Depth of a part, its own or the section's."""
    return case.description.section.depth if part.depth is None else part.depth


def width_of(case: Case, name: str) -> float:
    """Width of a neck across the way of the metal, [m]."""
    bounds = bounds_of(part_named(case, name))
    across = 1 if flows_along_x(case, name) else 0
    return bounds[across + 2] - bounds[across]


def height_of(case: Case, name: str) -> float | None:
    """Height of a part [m]; in the plan view its depth, None if it has no end."""
    part = part_named(case, name)
    if case.description.section.view == "plan":
        depth = depth_of(case, part)
        return depth if isinstance(depth, float) else None
    bounds = bounds_of(part)
    return bounds[3] - bounds[1]


def flows_along_x(case: Case, name: str) -> bool:
    """Whether a neck leads sideways: its feeder stands beside it and not on it."""
    left, low, right, high = bounds_of(part_named(case, name))
    x, y = 0.5 * (left + right), 0.5 * (low + high)
    others = [bounds_of(part) for part in case.description.part if part.role == "feeder"]
    away = [(0.5 * (b[0] + b[2]) - x, 0.5 * (b[1] + b[3]) - y) for b in others]
    if not away:
        return right - left > high - low
    nearest = min(away, key=lambda one: float(np.hypot(*one)))
    return abs(nearest[0]) > abs(nearest[1])


def part_named(case: Case, name: str) -> PartTable:
    """Find the part of this name."""
    return next(part for part in case.description.part if part.name == name)


def bounds_of(part: PartTable) -> Bounds:
    """Left, bottom, right and top of a part as drawn, [m]."""
    shape = part.shape
    if isinstance(shape, Rectangle):
        return shape.bounds
    if isinstance(shape, Circle | Ring):
        reach = shape.radius if isinstance(shape, Circle) else shape.outer
        x, y = shape.center
        return x - reach, y - reach, x + reach, y + reach
    x, y = np.array(shape).T
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def _drawn(part: PartTable, move: Callable[[Place], Place], factor: float = 1.0) -> PartTable:
    """Part with its corners moved; round shapes move as a whole and grow by a factor."""
    shape = part.shape
    if isinstance(shape, Rectangle):
        corners = {"start": move(shape.start), "end": move(shape.end)}
        return part.model_copy(update={"rectangle": shape.model_copy(update=corners)})
    if isinstance(shape, Circle):
        grown = {"center": move(shape.center), "radius": shape.radius * factor}
        return part.model_copy(update={"circle": shape.model_copy(update=grown)})
    if isinstance(shape, Ring):
        grown = {
            "center": move(shape.center),
            "inner": shape.inner * factor,
            "outer": shape.outer * factor,
        }
        return part.model_copy(update={"ring": shape.model_copy(update=grown)})
    return part.model_copy(update={"polygon": tuple(move(corner) for corner in shape)})


def _meet(one: Bounds, two: Bounds) -> bool:
    return one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3]


def _with_room(case: Case, rise: float) -> Case:
    """Raise the top of the box, where there is one."""
    box = case.description.mold.box
    if box is None or rise == 0.0:
        return case
    left, low, right, high = box.bounds
    raised = box.model_copy(update={"start": (left, low), "end": (right, high + rise)})
    return _described(case, mold=case.description.mold.model_copy(update={"box": raised}))


def _with_parts(case: Case, changed: Mapping[str, PartTable]) -> Case:
    parts = tuple(changed.get(part.name, part) for part in case.description.part)
    return _described(case, part=parts)


def _described(case: Case, **changes: Any) -> Case:
    description: CaseDescription = case.description.model_copy(update=changes)
    return replace(case, description=description)
