"""Checks on what a case means: shapes, names, places and rules between keys.

They read the case as written, part by part, so that a fault in one place hides none elsewhere.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from typing import Any

from pydantic import TypeAdapter, ValidationError
from shapely import Polygon
from shapely.validation import explain_validity

from solidsim.case.checking_gating import check_pouring
from solidsim.case.description import METAL_ROLES, SHAPES, Circle, Interface, Rectangle, Ring
from solidsim.case.locating import KeyPath
from solidsim.case.values import Point
from solidsim.case.wording import Complaint, example, shown
from solidsim.quantities import Units, write_quantity

Bounds = tuple[float, float, float, float]
Shape = Rectangle | Circle | Ring | tuple[Point, ...]

_READERS: dict[str, TypeAdapter[Any]] = {
    "rectangle": TypeAdapter(Rectangle),
    "polygon": TypeAdapter(tuple[Point, ...]),
    "circle": TypeAdapter(Circle),
    "ring": TypeAdapter(Ring),
    "interface": TypeAdapter(Interface),
    "point": TypeAdapter(Point),
}
_ONE_SHAPE = f"exactly one of {', '.join(SHAPES)}"
_SLACK = 1e-9  # m, rounding of lengths


def check_case(written: dict[str, Any], units: Units) -> Iterator[Complaint]:
    """Yield all complaints about a merged case as written."""
    parts, probes = _entries(written, "part"), _entries(written, "probe")
    box = _read("rectangle", _table(written, "mold").get("box"))
    frame = _Frame(box, _table(written, "section").get("view") == "round", units)
    yield from _check_names("part", parts)
    yield from _check_names("probe", probes)
    poured = any(str(part.get("role")) in METAL_ROLES for _, part in parts)
    if not poured and (parts or "part" not in written):
        roles = ", ".join(sorted(METAL_ROLES))
        yield ("part",), "no part is poured", f"a part with one of {roles}", 'role = "casting"'
    for index, part in parts:
        yield from _check_shapes(("part", index), part, frame)
    for index, probe in probes:
        point = _read("point", probe.get("at"))
        if point:
            yield from frame.check(("probe", index, "at"), (*point, *point))
    yield from _check_mold(_table(written, "mold"), box, frame)
    yield from _check_interfaces(_entries(written, "interface"))
    yield from check_pouring(written, _drawn(parts), units)
    cooling = _table(written, "cooling")
    if cooling.get("stop") == "shake-out" and "shake_out" not in cooling:
        yield ("cooling", "stop"), '"shake-out"', "a shake_out to stop at", 'shake_out = "450 °C"'


def check_without(names: Any, base: dict[str, Any] | None) -> Iterator[Complaint]:
    """Yield complaints about parts to leave out that the base does not have."""
    if not isinstance(names, list):
        return
    if base is None:
        yield ("without",), "no base to leave parts out of", "a base", 'base = "bracket.toml"'
        return
    known = [str(part.get("name")) for _, part in _entries(base, "part")]
    for index, name in enumerate(names):
        if name not in known:
            near = get_close_matches(str(name), known, n=1) or known[:1]
            allowed = f"parts of the base: {', '.join(known) or 'none'}"
            yield ("without", index), shown(name), allowed, f'"{near[0]}"' if near else ""


@dataclass(frozen=True)
class _Frame:
    """The space that parts and probes must lie in."""

    box: Rectangle | None
    seen_round: bool
    units: Units

    def text(self, length: float) -> str:
        return write_quantity(length, "length", self.units)

    def check(self, path: KeyPath, bounds: Bounds) -> Iterator[Complaint]:
        left, bottom, right, top = bounds
        if self.seen_round and left < -_SLACK:
            allowed = "zero or more, since x is the radius in the round view"
            yield path, f"reaches to x = {self.text(left)}", allowed, "x from the axis outward"
            return
        if self.box is None:
            return
        x0, y0, x1, y1 = self.box.bounds
        beyond = {"left": x0 - left, "right": right - x1, "bottom": y0 - bottom, "top": top - y1}
        side = max(beyond, key=lambda name: beyond[name])
        if beyond[side] > _SLACK:
            given = f"outside the box by {self.text(beyond[side])} at the {side}"
            yield path, given, "inside the box of [mold]", "a larger box or a place inside it"


def _check_shapes(path: KeyPath, part: dict[str, Any], frame: _Frame) -> Iterator[Complaint]:
    drawn = [key for key in SHAPES if key in part]
    if not drawn:
        yield path, "no shape", _ONE_SHAPE, f"rectangle = {example((*path, 'rectangle'))}"
    for key in drawn[1:]:
        yield (*path, key), "a second shape", _ONE_SHAPE, "another [[part]] for it"
    for key in drawn:
        shape = _read(key, part[key])
        if shape is None:
            continue
        flaw = _flaw(shape, frame)
        if flaw:
            yield ((*path, key), *flaw)
        elif not (frame.seen_round and isinstance(shape, Circle | Ring) and shape.center[0] == 0):
            yield from frame.check((*path, key), _bounds(shape))


def _drawn(parts: list[tuple[int, dict[str, Any]]]) -> dict[str, tuple[str, Shape]]:
    """Role and shape of each part whose shape can be read, by name."""
    shapes = {
        str(part.get("name")): (str(part.get("role")), _read(key, part[key]))
        for _, part in parts
        for key in SHAPES
        if key in part
    }
    return {
        name: (role, shape)
        for name, (role, shape) in shapes.items()
        if shape is not None and not (isinstance(shape, tuple) and len(shape) < 3)
    }


def _flaw(shape: Shape, frame: _Frame) -> tuple[str, str, str] | None:
    if isinstance(shape, Rectangle):
        left, bottom, right, top = shape.bounds
        if left == right or bottom == top:
            return "no area", "two corners that differ in x and in y", example(("mold", "box"))
    elif isinstance(shape, Ring):
        if shape.inner >= shape.outer:
            given = f"inner {frame.text(shape.inner)}, outer {frame.text(shape.outer)}"
            return given, "inner smaller than outer", "the smaller radius as inner"
    elif isinstance(shape, tuple):
        return _polygon_flaw(shape, frame)
    return None


def _polygon_flaw(corners: tuple[Point, ...], frame: _Frame) -> tuple[str, str, str] | None:
    if len(set(corners)) < 3:
        return (
            f"{len(set(corners))} corners",
            "three corners or more",
            example(("part", 0, "polygon")),
        )
    outline = Polygon(corners)
    if outline.is_valid:
        return None
    if outline.convex_hull.area == 0:
        return "no area", "corners that are not all on one line", "a corner off the line"
    x, y = re.findall(r"[-+.\de]+", explain_validity(outline).partition("[")[2])
    place = f"x = {frame.text(float(x))}, y = {frame.text(float(y))}"
    allowed = "an outline that nowhere crosses or touches itself"
    return f"sides meet at {place}", allowed, "the corners in their order around the part"


def _bounds(shape: Shape) -> Bounds:
    if isinstance(shape, Rectangle):
        return shape.bounds
    if isinstance(shape, tuple):
        xs, ys = zip(*shape, strict=True)
        return min(xs), min(ys), max(xs), max(ys)
    (x, y), r = shape.center, shape.outer if isinstance(shape, Ring) else shape.radius
    return x - r, y - r, x + r, y + r


def _check_names(kind: str, entries: list[tuple[int, dict[str, Any]]]) -> Iterator[Complaint]:
    seen: set[str] = set()
    for index, entry in entries:
        name = str(entry.get("name"))
        if "name" in entry and name in seen:
            write = f'"{name} 2"'
            yield (
                (kind, index, "name"),
                f"a second {kind} {shown(name)}",
                "a name of its own",
                write,
            )
        seen.add(name)


def _check_mold(mold: dict[str, Any], box: Rectangle | None, frame: _Frame) -> Iterator[Complaint]:
    path = ("mold", "box")
    if box:
        flaw = _flaw(box, frame)
        if flaw:
            yield (path, *flaw)
        yield from frame.check(path, box.bounds)
    if "box" in mold and "cover" in mold:
        yield ("mold", "cover"), "cover beside a box", "box or cover", "one of the two"


def _check_interfaces(entries: list[tuple[int, dict[str, Any]]]) -> Iterator[Complaint]:
    seen: set[frozenset[str]] = set()
    for index, entry in entries:
        joint: Interface | None = _read("interface", entry)
        if joint is None:
            continue
        sides, path = frozenset(joint.between), ("interface", index)
        if sides in seen:
            allowed = "one interface for two materials"
            yield (*path, "between"), f"a second {shown(joint.between)}", allowed, "one of the two"
        seen.add(sides)
        if isinstance(joint.conductance, tuple):
            heights = [row[0] for row in joint.conductance]
            if not heights or any(b <= a for a, b in pairwise(heights)):
                allowed = "rows of temperature and value, temperatures rising"
                write = '[["20 °C", "500 W/m2K"], ["900 °C", "1000 W/m2K"]]'
                yield (*path, "conductance"), shown(entry["conductance"]), allowed, write


def _read(key: str, value: Any) -> Any:
    """Value as the description reads it, or None where it has faults of its own."""
    try:
        return _READERS[key].validate_python(value)
    except ValidationError:
        return None


def _table(written: dict[str, Any], key: str) -> dict[str, Any]:
    table = written.get(key)
    return table if isinstance(table, dict) else {}


def _entries(written: dict[str, Any], key: str) -> list[tuple[int, dict[str, Any]]]:
    entries = written.get(key)
    if not isinstance(entries, list):
        return []
    return [(index, entry) for index, entry in enumerate(entries) if isinstance(entry, dict)]
