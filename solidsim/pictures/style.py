"""How all pictures look: paper, ink, one face and hatch a role, one color map a quantity.

Parts wear cold grays, blues and greens only: yellow is left to hot and late metal. Every color
map rises in lightness, so that a print in black and white reads the same.
"""

import textwrap
from pathlib import Path
from typing import Any, cast

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke

from solidsim.errors import ResultsError

INK, PAPER, MOLD = "#1a1a1a", "#ffffff", "#e6e6e6"
FAINT, HATCH = "#8a8a8a", "#5c5c5c"
LATE_MAP = "cividis"  # dark blue early, yellow late; Nunez et al. 2018, PLoS ONE 13:e0199239
ROLE_LOOKS = {  # face and hatch
    "casting": ("#b7c7d9", ""),
    "feeder": ("#c3d9cf", "//"),
    "neck": ("#a9c9bd", "\\\\"),
    "ingate": ("#cdd3ea", "||"),
    "runner": ("#bcc5e3", "--"),
    "sprue": ("#d9def0", "\\\\"),
    "core": ("#f6f6f6", ".."),
    "chill": ("#75818f", "xx"),
    "sleeve": ("#d6d3de", "oo"),
    "insulation": ("#eceaf1", "oo"),
    "air": (PAPER, ""),
}
VERDICTS = {"fails": "✗ fails", "close": "≈ close", "holds": "✓ holds", "note": "· note"}
SETTINGS: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 10.0,
    "axes.titlesize": 10.0,
    "axes.labelsize": 10.0,
    "xtick.labelsize": 9.0,
    "ytick.labelsize": 9.0,
    "axes.edgecolor": INK,
    "axes.linewidth": 0.8,
    "hatch.linewidth": 0.5,
    "text.color": INK,
    "savefig.facecolor": PAPER,
    "pdf.fonttype": 42,  # letters stay letters, to be searched and copied
}
FREEZING_SHARE = 0.65  # of the scale of warmth; the rest is for metal hotter than its liquidus
DOTS_PER_INCH = 150


def settings() -> Any:
    """The look of all pictures, for the time of a block."""
    return matplotlib.rc_context(SETTINGS)


def new_figure(width: float, height: float, dots_per_inch: int = DOTS_PER_INCH) -> Figure:
    """Make an empty sheet with its canvas, [in]; no display is ever asked for."""
    figure = Figure(figsize=(width, height), dpi=dots_per_inch, facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure


def save_figure(figure: Figure, path: str | Path) -> Path:
    """Write a picture in the format of its suffix.

    Raises
    ------
    ResultsError
        If it cannot be written, or the suffix is not one of a picture.
    """
    path = Path(path)
    try:
        figure.savefig(path)
    except (OSError, ValueError) as error:
        raise ResultsError(f"cannot draw {path.name}: {error}") from error
    return path


def halo(width: float = 2.5) -> list[Any]:
    """A rim of paper around letters and signs, so that they read on any ground."""
    return [withStroke(linewidth=width, foreground=PAPER)]


def write_title(figure: Figure, title: str, subtitle: str, left: float) -> None:
    """Write the title and what the picture shows at the top of the sheet, so far from its left."""
    width, height = figure.get_size_inches()
    words = textwrap.shorten(title, int(width * 8.5), placeholder=" ...")
    figure.text(left / width, 1 - 0.1 / height, words, size=13, weight="bold", va="top")
    figure.text(left / width, 1 - 0.38 / height, subtitle, va="top")


def warmth_of_liquidus(pour: float, liquidus: float) -> float:
    """Place of the liquidus on the scale of warmth, from solid (0) to as poured (1), [K]."""
    return FREEZING_SHARE if pour > liquidus + 1.0 else 1.0


def fitting_size(
    bounds: tuple[float, float, float, float], widest: float, tallest: float
) -> tuple[float, float]:
    """Width and height [in] of a drawing of these bounds [m] that fills one of both limits."""
    width, height = bounds[2] - bounds[0], bounds[3] - bounds[1]
    scale = min(widest / width, tallest / height)
    return width * scale, height * scale


def bare(axes: Axes) -> Axes:
    """Take ticks and frame off a drawing and keep its scale equal both ways."""
    axes.set_aspect("equal")
    axes.set_axis_off()
    return axes


def sheet_of(axes: Axes) -> Figure:
    """The sheet that a drawing stands on."""
    return cast(Figure, axes.figure)


def canvas_of(axes: Axes) -> FigureCanvasAgg:
    """The pixels of the sheet that a drawing stands on."""
    return cast(FigureCanvasAgg, axes.figure.canvas)
