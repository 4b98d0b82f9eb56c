"""Dimension lines, scale bar, center line, and round times for scales."""

import math
from typing import Literal

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import FancyArrowPatch, Rectangle

from solidsim.pictures.style import FAINT, INK, PAPER, sheet_of
from solidsim.quantities import Units, in_unit, write_quantity

FIRST_ROW, ROW = 0.27, 0.33  # in, from the box to a dimension line, and on to the next
BAR_SHARE, BAR_HEIGHT = 0.28, 0.06  # of the width of a drawing, at most; in
STEPS = {"metric": ("mm", (5.0, 2.0, 1.0)), "inch": ("in", (5.0, 2.0, 1.0, 0.5, 0.25, 0.125))}

TIME_STEPS = (
    *(0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0),
    *(60.0 * minutes for minutes in (1, 2, 3, 5, 10, 15, 20, 30)),
    *(3600.0 * hours for hours in (1, 2, 3, 4, 6, 12, 24, 48, 96, 240)),
)  # s

Sides = tuple[float, float, float, float]


def draw_dimension(
    axes: Axes, along: Literal["x", "y"], word: str, sides: Sides, row: int, units: Units
) -> None:
    """Draw the length of a box, outside the axes: below it along x, to the left along y.

    Parameters
    ----------
    word : str
        What is measured.
    sides : left, bottom, right and top of the box, [m]
    row : int
        Zero stands next to the drawing.
    """
    figure, own = sheet_of(axes), "xy".index(along)
    low, high = sides[own], sides[own + 2]
    start, end = axes.transData.transform([(low, low), (high, high)])[:, own] / figure.dpi
    edge = (axes.bbox.x0 if own else axes.bbox.y0) / figure.dpi
    level = edge - FIRST_ROW - row * ROW

    def at(lengthwise: float, across: float) -> tuple[float, float]:
        return (across, lengthwise) if own else (lengthwise, across)

    inches = figure.dpi_scale_trans
    for place in (start, end):
        ends = zip(at(place, edge), at(place, level - 0.05), strict=True)
        figure.add_artist(Line2D(*ends, color=FAINT, linewidth=0.6, transform=inches))
    arrow = FancyArrowPatch(
        at(start, level), at(end, level), arrowstyle="<|-|>", mutation_scale=8, color=INK,
        linewidth=0.8, shrinkA=0, shrinkB=0, transform=inches,
    )  # fmt: skip
    figure.add_artist(arrow)
    text = f"{word} {write_quantity(high - low, 'length', units)}"
    x, y = at((start + end) / 2, level + (-0.03 if own else 0.03))
    ha, va = ("right", "center") if own else ("center", "bottom")
    figure.text(x, y, text, ha=ha, va=va, size=9, rotation=90 * own, transform=inches)


def draw_scale_bar(axes: Axes, units: Units, away: float) -> None:
    """Draw a bar of a round length below the left corner of a drawing, so many inches away."""
    figure = sheet_of(axes)
    left, right = axes.get_xlim()
    length = bar_length((right - left) * BAR_SHARE, units)
    half = length / 2 * axes.bbox.width / (right - left) / figure.dpi
    x, y = axes.bbox.x0 / figure.dpi, axes.bbox.y0 / figure.dpi - away
    for number, face in enumerate((INK, PAPER)):
        bar = Rectangle(
            (x + number * half, y), half, BAR_HEIGHT, facecolor=face, edgecolor=INK,
            linewidth=0.8, transform=figure.dpi_scale_trans,
        )  # fmt: skip
        figure.add_artist(bar)
    figure.text(
        x + 2 * half + 0.08, y + BAR_HEIGHT / 2, write_quantity(length, "length", units),
        va="center_baseline", size=9, transform=figure.dpi_scale_trans,
    )  # fmt: skip


def bar_length(most: float, units: Units) -> float:
    """The longest round length that is no longer than this, [m]."""
    unit, steps = STEPS[units]
    size = in_unit(1.0, "length", unit)
    longest = most * size
    decade = 10.0 ** math.floor(math.log10(longest))
    if units == "metric" or longest >= 1.0:
        fitting = [step * decade for step in steps if step >= 1.0 and step * decade <= longest]
    else:
        fitting = [step for step in steps if step <= longest]
    return max(fitting, default=longest) / size


def draw_center_line(axes: Axes) -> None:
    """Draw the axis of a round body along the left edge."""
    axes.axvline(0.0, color=INK, linewidth=1.2, dashes=(12, 3, 2, 3), clip_on=False)


def round_times(low: float, high: float, most: int) -> list[float]:
    """Evenly spaced round times [s] from at or below one to at or above another.

    Parameters
    ----------
    most : int
        Steps between them, at the most.
    """
    for step in TIME_STEPS:
        first = math.floor(low / step)
        last = max(math.ceil(high / step), first + 1)
        if last - first <= most:
            break
    return [number * step for number in range(first, last + 1)]
