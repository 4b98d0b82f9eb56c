"""Text on paper: measured, wrapped and written in inches from the top left corner of a page."""

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from solidsim.pictures.style import INK

POINT = 1.0 / 72.0  # in
LEADING = 1.22  # of the size of the letters, from line to line
SMALL = 9.0  # pt: the least that is read at arm's length
MEASURED = 64.0  # pt

Weight = Literal["normal", "bold"]


@dataclass(frozen=True)
class Pen:
    """Writes on a page with letters of one size, [pt]."""

    figure: Figure
    size: float

    @property
    def line(self) -> float:
        """From one line to the next, [in]."""
        return self.size * POINT * LEADING

    def sized(self, size: float) -> "Pen":
        """The same with letters of another size, [pt]."""
        return replace(self, size=size)

    def width(self, text: str, weight: Weight = "normal") -> float:
        """Width of a text on one line, [in]."""
        return sum(_advance(word, weight) for word in re.split("( )", text)) * self.size

    def wrap(self, text: str, width: float, weight: Weight = "normal") -> list[str]:
        """Lines of a text that are no wider than this [in], save words that are."""
        lines: list[str] = []
        for word in text.split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.width(longer, weight) <= width:
                lines[-1] = longer
            else:
                lines.append(word)
        return lines

    def write(self, x: float, y: float, text: str, weight: Weight = "normal") -> None:
        """Write one line with its top left corner at a place, [in]."""
        self.figure.text(
            x, self.figure.get_figheight() - y, text, size=self.size, weight=weight, va="top",
            color=INK, parse_math=False, transform=self.figure.dpi_scale_trans,
        )  # fmt: skip

    def rule(self, x: float, y: float, length: float, width: float = 0.8) -> None:
        """Draw a level line from a place, [in]; its width in pt."""
        top = self.figure.get_figheight()
        self.figure.add_artist(
            Line2D((x, x + length), (top - y, top - y), color=INK, linewidth=width,
                   transform=self.figure.dpi_scale_trans)
        )  # fmt: skip

    def box(self, x: float, y: float, width: float, height: float, line: float = 1.2) -> None:
        """Draw a box down from its top left corner, [in]; its line in pt."""
        top = self.figure.get_figheight()
        self.figure.add_artist(
            Rectangle((x, top - y - height), width, height, facecolor="none", edgecolor=INK,
                      linewidth=line, transform=self.figure.dpi_scale_trans)
        )  # fmt: skip


@lru_cache(maxsize=4096)
def _advance(word: str, weight: Weight) -> float:
    """Width of a word in letters of 1 pt, [in]; measured large, where hinting does not matter."""
    font = FontProperties(family="DejaVu Sans", size=MEASURED, weight=weight)
    across, _, _ = RendererAgg(1, 1, 72.0).get_text_width_height_descent(word, font, False)
    return across / 72.0 / MEASURED
