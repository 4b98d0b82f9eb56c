"""Names on a drawing: inside a part where there is room, else beside it with a leader.

A name tries its part in one line, a word a line, and upright; then all places around the part,
in one line, and a word a line where a part would need a long leader.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.text import Text
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.pictures.style import INK, halo

GAP = 6.0  # px between a name and anything else
ENTRY = 6.0  # px that a leader runs into what it names
ANGLES = np.radians(np.arange(0.0, 360.0, 7.5))
REACHES = np.arange(10.0, 700.0, 7.0)  # px
BATCH = 128  # places looked at together, the nearest first
PLAIN = 0.5  # px that outlines may be off where the way of a leader across them is measured
FAR = 110.0  # px of leader, and of what it crosses, for which a name is broken into lines
GAIN = 0.7  # of that is left where it is worth it
CROSSING = 25.0  # so many times its length counts where a leader crosses a name or a leader


@dataclass(frozen=True)
class Name:
    """A text and what it names, in m.

    ``inside`` lets it stand within the shape.
    """

    text: str
    shape: BaseGeometry
    inside: bool = True
    weight: str = "normal"


def place_names(
    axes: Axes,
    names: Sequence[Name],
    drawn: Sequence[BaseGeometry],
    taken: Sequence[BaseGeometry] = (),
) -> list[BaseGeometry]:
    """Write names where they cover nothing; one that finds no room is left out.

    Parameters
    ----------
    axes : Axes
        With its limits set for good.
    names : sequence of Name
        The first ones choose first.
    drawn : sequence of shapely geometry, [m]
        What names beside a part must keep clear of.
    taken : sequence of shapely geometry, [px]
        What all names must keep clear of.

    Returns
    -------
    taken : list of shapely geometry, [px]
        With the names and their leaders.
    """
    busy = [on_sheet(axes, shape) for shape in drawn]
    placed = list(taken)
    for name in names:
        text = axes.text(0, 0, name.text, ha="center", va="center", zorder=8, weight=name.weight)
        text.set_path_effects(halo())
        shape = on_sheet(axes, name.shape)
        found = _place_inside(axes, text, shape, placed) if name.inside else None
        found = found or _place_beside(axes, text, shape, busy, placed)
        if found is None:
            text.remove()
        else:
            placed.append(found)
    return placed


def on_sheet(axes: Axes, shape: BaseGeometry) -> BaseGeometry:
    """Shape of the drawing [m] on the sheet, [px]."""
    return shapely.transform(shape, axes.transData.transform)


def _place_inside(
    axes: Axes, text: Text, shape: BaseGeometry, placed: list[BaseGeometry]
) -> BaseGeometry | None:
    """What the text takes if it fits within the shape, level or upright."""
    if not shape.area:
        return None
    pole = shapely.maximum_inscribed_circle(shape, tolerance=2.0).coords[0]
    plain = text.get_text()
    for words, turn in ((plain, 0), (plain.replace(" ", "\n"), 0), (plain, 90)):
        text.set(text=words, rotation=turn)
        for x, y in (shape.centroid.coords[0], pole):
            box = _box(text, x, y)
            if shape.contains(box.buffer(GAP)) and not any(box.intersects(one) for one in placed):
                _move(axes, text, x, y)
                return box.buffer(GAP)
    text.set(text=plain, rotation=0)
    return None


def _place_beside(
    axes: Axes,
    text: Text,
    shape: BaseGeometry,
    busy: list[BaseGeometry],
    placed: list[BaseGeometry],
) -> BaseGeometry | None:
    """What the text and its leader take on the free place with the best leader, if there is one."""
    if shape.is_empty:
        return None
    plain, found = text.get_text(), _beside(axes, text, shape, busy, placed)
    if shape.area and " " in plain and (found is None or found[0] > FAR):
        text.set_text(plain.replace(" ", "\n"))
        broken = _beside(axes, text, shape, busy, placed)
        if broken is None or (found and broken[0] > GAIN * found[0]):
            text.set_text(plain)
        else:
            found = broken
    if found is None:
        return None
    _, center, box, leader = found
    _move(axes, text, *center)
    _draw_leader(axes, leader, shape)
    return box.buffer(GAP) | leader.buffer(1.0)


def _beside(
    axes: Axes,
    text: Text,
    shape: BaseGeometry,
    busy: list[BaseGeometry],
    placed: list[BaseGeometry],
) -> tuple[float, NDArray[np.float64], BaseGeometry, BaseGeometry] | None:
    """The free place with the best leader: its cost, middle, box and leader, [px]."""
    anchor = np.array(_anchor(shape))
    field = shapely.box(*axes.bbox.extents).buffer(-GAP)
    closed = shapely.union_all([one.buffer(GAP) for one in busy] + placed)
    plain = shapely.simplify(shapely.union_all(busy), PLAIN)
    crossings = [(1.0, plain), (CROSSING, shapely.union_all(placed))]
    for one in (closed, field, *(others for _, others in crossings)):
        shapely.prepare(one)
    centers = anchor + np.stack(
        [np.outer(REACHES, np.cos(ANGLES)), np.outer(REACHES, np.sin(ANGLES))], axis=-1
    ).reshape(-1, 2)
    half = np.array(_size(text)) / 2
    ends = np.clip(anchor, centers - half, centers + half)
    lengths = np.hypot(*(ends - anchor).T)
    order = np.argsort(lengths, kind="stable")
    least, found = np.inf, None
    for start in range(0, order.size, BATCH):
        some = order[start : start + BATCH]
        if lengths[some[0]] >= least:
            break  # a leader costs at least its length
        corners = np.hstack([centers[some] - half, centers[some] + half])
        boxes = shapely.box(*corners.T)
        free = ~shapely.intersects(closed, boxes) & shapely.contains(field, boxes)
        if not free.any():
            continue
        some, boxes = some[free], boxes[free]
        lines = np.stack([ends[some], np.broadcast_to(anchor, ends[some].shape)], axis=1)
        leaders = shapely.linestrings(lines)
        drawn = shapely.difference(leaders, shape) if shape.area else leaders
        costs = lengths[some]
        for price, others in crossings:
            met = (costs < least) & shapely.intersects(others, drawn)
            costs[met] += price * shapely.length(shapely.intersection(drawn[met], others))
        best = int(np.argmin(costs))
        if costs[best] < least:
            least = float(costs[best])
            found = least, centers[some][best], boxes[best], leaders[best]
    return found


def _draw_leader(axes: Axes, leader: BaseGeometry, shape: BaseGeometry) -> None:
    start, anchor = shapely.get_coordinates(leader)
    inner = shapely.intersection(leader, shape).length
    length = max(leader.length, 1e-9)
    end = anchor + (start - anchor) * max(inner - ENTRY, 0.0) / length
    places = axes.transData.inverted().transform([start, end])
    axes.add_line(Line2D(*places.T, color=INK, linewidth=0.9, zorder=7, path_effects=halo(2.0)))
    axes.plot(*places[1], "o", color=INK, markersize=3, zorder=7)


def _anchor(shape: BaseGeometry) -> tuple[float, float]:
    if shape.geom_type == "Point" or shape.contains(shape.centroid):
        return shape.centroid.coords[0]
    return shapely.maximum_inscribed_circle(shape, tolerance=2.0).coords[0]


def _size(text: Text) -> tuple[float, float]:
    box = text.get_window_extent()
    return box.width, box.height


def _box(text: Text, x: float, y: float) -> BaseGeometry:
    width, height = _size(text)
    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _move(axes: Axes, text: Text, x: float, y: float) -> None:
    place = axes.transData.inverted().transform((x, y))
    text.set_position((place[0], place[1]))
