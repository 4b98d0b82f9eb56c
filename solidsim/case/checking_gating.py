"""Checks on the gating: whether the metal gets from the basin into the parts it is meant for."""

from collections.abc import Iterator, Mapping
from typing import Any

import shapely
from pydantic import ValidationError

from solidsim.case.description import METAL_ROLES, Circle, Rectangle, Ring
from solidsim.case.gating import FIRST, Channel, Gating, Ingate
from solidsim.case.values import Point
from solidsim.case.wording import Complaint, shown
from solidsim.quantities import Units, write_quantity

Shape = Rectangle | Circle | Ring | tuple[Point, ...]
Part = tuple[str, Shape]
"""Role and shape."""

TOUCH = 0.5e-3  # m; an ingate may lie this far off the part it feeds
ABOVE = frozenset({"casting", "feeder", "neck", "ingate"})
"""Roles that the level in the basin must stand above."""


def check_pouring(
    written: Mapping[str, Any], parts: Mapping[str, Part], units: Units
) -> Iterator[Complaint]:
    """Yield complaints about how the metal comes in.

    Parameters
    ----------
    written : mapping
        The merged case.
    parts : mapping of str to (role, shape)
        Those parts whose shape could be read.
    units : {"metric", "inch"}
    """
    pour, section = written.get("pour"), written.get("section")
    fill = pour.get("fill") if isinstance(pour, dict) else None
    view = section.get("view") if isinstance(section, dict) else None
    in_plan = view == "plan"
    timed = isinstance(pour, dict) and "time" in pour
    if fill in ("rising", "flowing") and not timed and "gating" not in written:
        given = f'"{fill}", with neither gating nor a time'
        yield ("pour", "fill"), given, "a [gating] table or a time", 'time = "9 s" under [pour]'
    rises = fill == "rising" or (fill is None and (timed or "gating" in written))
    if in_plan and rises:
        key = ("section", "view")
        allowed = "upright or round, where metal has a level to rise to"
        yield key, '"plan"', allowed, 'fill = "flowing" or "at-once" under [pour]'
    if view == "round" and fill == "flowing":
        key = ("section", "view")
        yield (
            key,
            '"round"',
            "upright or plan, where metal can flow",
            'fill = "rising" under [pour]',
        )
    if "gating" not in written:
        return
    try:
        gating = Gating.model_validate(written["gating"])
    except ValidationError:
        return
    if not gating.ingate:
        allowed = "one ingate or more"
        yield ("gating",), "no ingate", allowed, "[[gating.ingate]] with name, part, at and area"
    yield from _check_names(gating)
    yield from _check_mouths(gating, parts)
    if not in_plan:
        yield from _check_sprue(gating, parts, units)


def _check_names(gating: Gating) -> Iterator[Complaint]:
    """Every name once, every source a channel, and no way that runs in a circle."""
    seen = {FIRST}
    sources = {channel.name: channel.source for channel in gating.channel}
    known = (FIRST, *sources)
    for path, entry in _entries(gating):
        if entry.name in seen:
            given, allowed = f"a second {shown(entry.name)}", "a name of its own"
            yield (*path, "name"), given, allowed, f'"{entry.name} 2"'
        seen.add(entry.name)
        if entry.source not in known:
            allowed = f"sprue or a channel: {', '.join(known)}"
            yield (*path, "from"), shown(entry.source), allowed, f'"{known[-1]}"'
        elif _runs_in_circle(entry.name, sources):
            way = " from ".join([entry.name, entry.source])
            allowed = "channels that lead back to the sprue"
            yield (*path, "from"), f"a loop: {way} comes back to itself", allowed, f'"{FIRST}"'


def _entries(gating: Gating) -> Iterator[tuple[tuple[str | int, ...], Channel | Ingate]]:
    for index, channel in enumerate(gating.channel):
        yield ("gating", "channel", index), channel
    for index, ingate in enumerate(gating.ingate):
        yield ("gating", "ingate", index), ingate


def _runs_in_circle(name: str, sources: Mapping[str, str]) -> bool:
    """Whether following the sources from a channel leads back to it."""
    here = sources.get(name)
    for _ in sources:
        if here == name:
            return True
        here = sources.get(here or "")
    return False


def _check_mouths(gating: Gating, parts: Mapping[str, Part]) -> Iterator[Complaint]:
    """Every ingate must name a poured part and touch it."""
    poured = [name for name, (role, _) in parts.items() if role in METAL_ROLES]
    for index, ingate in enumerate(gating.ingate):
        path = ("gating", "ingate", index)
        if ingate.part not in poured:
            allowed = f"a part that is poured: {', '.join(poured)}"
            write = f'"{poured[0]}"' if poured else ""
            yield (*path, "part"), shown(ingate.part), allowed, write
            continue
        outline = _outline(parts[ingate.part][1])
        if outline.is_valid and outline.distance(shapely.Point(ingate.at)) > TOUCH:
            near = outline.boundary.interpolate(outline.boundary.project(shapely.Point(ingate.at)))
            write = ", ".join(f'"{value * 1000:.4g} mm"' for value in (near.x, near.y))
            given = f"touches no part: it is outside {ingate.part}"
            yield (*path, "at"), given, f"a place in {ingate.part} or on its edge", f"[{write}]"


def _check_sprue(gating: Gating, parts: Mapping[str, Part], units: Units) -> Iterator[Complaint]:
    sprue, path = gating.sprue, ("gating", "sprue", "top")
    if sprue.foot >= sprue.top:
        given = "foot not below top"
        yield ("gating", "sprue", "foot"), given, "a foot lower than the top", "a smaller height"
        return
    highest = max(
        (_outline(shape).bounds[3] for role, shape in parts.values() if role in ABOVE),
        default=float("-inf"),
    )
    level = sprue.top + gating.basin.depth
    if level <= highest:
        high, low = (write_quantity(value, "length", units) for value in (highest, level))
        given = f"shorter than the casting: a full basin stands at {low}, metal goes up to {high}"
        yield path, given, "a full basin above all metal", "a higher top or a deeper basin"


def _outline(shape: Shape) -> Any:
    if isinstance(shape, Rectangle):
        return shapely.box(*shape.bounds)
    if isinstance(shape, tuple):
        return shapely.Polygon(shape)
    radius = shape.outer if isinstance(shape, Ring) else shape.radius
    disc = shapely.Point(shape.center).buffer(radius, quad_segs=64)
    if isinstance(shape, Ring):
        return disc.difference(shapely.Point(shape.center).buffer(shape.inner, quad_segs=64))
    return disc
