"""Sizes and sides of a part that no key holds: they scale or move the shape that is written.

``width`` and ``diameter`` scale about the middle, ``height`` about the foot, in plan about the
middle, too. In the round view x is a radius: ``diameter`` scales about the axis, ``width`` about
the inner side. ``left``, ``right``, ``bottom`` and ``top`` move the shape as it is.
"""

from collections.abc import Callable
from typing import Any

from solidsim.errors import QuantityError
from solidsim.quantities import read_quantity

SIDES = ("left", "bottom", "right", "top")
DERIVED = ("width", "height", "diameter", *SIDES)

Bounds = tuple[float, float, float, float]


def length_text(length: float) -> str:
    """Text of a length [m], to a thousandth of a micrometer."""
    return f"{1000.0 * length:.9g} mm"


def measure_shape(part: dict[str, Any], size: str, view: str) -> str:
    """A derived size of a part, as the case would write it."""
    left, bottom, right, top = bounds_of(part)
    on_axis = view == "round" and _drawn(part) in ("rectangle", "polygon")
    across = 2.0 * right if on_axis else right - left
    sizes = {"width": right - left, "height": top - bottom, "diameter": across}
    sides = dict(zip(SIDES, (left, bottom, right, top), strict=True))
    return length_text((sizes | sides)[size])


def change_shape(part: dict[str, Any], size: str, value: Any, view: str) -> None:
    """Give a part, in place, another size or move it to another side.

    Raises
    ------
    QuantityError
        If the value is no length, a size is not above zero, or a circle is to be of two widths.
    """
    wanted, bounds = read_quantity(value, "length"), bounds_of(part)
    if size in SIDES:
        move = wanted - bounds[SIDES.index(size)]
        up = size in ("bottom", "top")
        _redraw(part, _moving(0.0 if up else move), _moving(move if up else 0.0))
        return
    if wanted <= 0.0:
        raise QuantityError(f'"{value}"', "a length above zero", '"25 mm"')
    if "circle" in part or "ring" in part:
        _resize_circle(part, size, wanted)
    elif size == "height":
        foot = (bounds[1] + bounds[3]) / 2 if view == "plan" else bounds[1]
        _redraw(part, _moving(0.0), _scaling(foot, wanted / (bounds[3] - bounds[1])))
    else:
        _redraw(part, _across(size, wanted, bounds, view), _moving(0.0))


def bounds_of(part: dict[str, Any]) -> Bounds:
    """Left, bottom, right and top of a part as written, [m]."""
    shape = part.get(_drawn(part))
    if isinstance(shape, dict) and "center" in shape:
        x, y = (read_quantity(one, "length") for one in shape["center"])
        radius = read_quantity(shape.get("radius") or shape["outer"], "length")
        return x - radius, y - radius, x + radius, y + radius
    points = [shape["from"], shape["to"]] if isinstance(shape, dict) else shape or []
    xs, ys = zip(*[[read_quantity(one, "length") for one in at] for at in points], strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _drawn(part: dict[str, Any]) -> str:
    for shape in ("rectangle", "polygon", "circle", "ring"):
        if shape in part:
            return shape
    raise QuantityError(f"no shape in part {part.get('name')}", "a part with a shape", "another")


def _across(size: str, wanted: float, bounds: Bounds, view: str) -> Callable[[float], float]:
    left, _, right, _ = bounds
    if view != "round":
        return _scaling((left + right) / 2, wanted / (right - left))
    if size == "diameter":
        return _scaling(0.0, wanted / (2.0 * right))
    return _scaling(left, wanted / (right - left))


def _moving(by: float) -> Callable[[float], float]:
    return lambda at: at + by


def _scaling(center: float, factor: float) -> Callable[[float], float]:
    return lambda at: center + factor * (at - center)


def _resize_circle(part: dict[str, Any], size: str, wanted: float) -> None:
    """Scale all radii, so that a ring keeps its proportions."""
    if size != "diameter":
        raise QuantityError(f'the {size} of part "{part.get("name")}", a circle', "its diameter",
                            "diameter")  # fmt: skip
    name = _drawn(part)
    radii = [key for key in ("radius", "inner", "outer") if key in part[name]]
    factor = wanted / 2.0 / max(read_quantity(part[name][key], "length") for key in radii)
    scaled = {key: length_text(factor * read_quantity(part[name][key], "length")) for key in radii}
    part[name] = {**part[name], **scaled}


def _redraw(
    part: dict[str, Any], across: Callable[[float], float], up: Callable[[float], float]
) -> None:
    """Map every point of the shape."""

    def moved(point: list[str]) -> list[str]:
        x, y = (read_quantity(one, "length") for one in point)
        return [length_text(across(x)), length_text(up(y))]

    name = _drawn(part)
    shape = part[name]
    if isinstance(shape, list):
        part[name] = [moved(point) for point in shape]
    else:
        part[name] = {
            key: moved(value) if key in ("from", "to", "center") else value
            for key, value in shape.items()
        }
