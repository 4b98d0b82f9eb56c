"""The hot spots as bars in time: how long each was fed, and how long it stayed liquid after."""

from collections.abc import Callable

import numpy as np
from matplotlib.figure import Figure

from solidsim.criteria.feeding import CutOffPool, Feeding
from solidsim.judgment.wording import part_at
from solidsim.pictures.scale import round_times
from solidsim.pictures.style import INK
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

BAR, HEAD = 0.3, 0.55  # in, of a bar, and of the axis with its words
NAMES = 1.5  # in, left of the bars
MOST_BARS, MOST_TICKS = 8, 8


def bars_height(feeding: Feeding) -> float:
    """Height that the bars take, [in]."""
    return BAR * min(feeding.tree.leaves.size, MOST_BARS) + HEAD


def draw_bars(
    figure: Figure,
    run: Run,
    feeding: Feeding,
    box: tuple[float, float, float, float],
    color: Callable[[int], str],
    fed: str = "fed",
) -> None:
    """Draw a bar for each hot spot into a box of left, bottom, width and height, [in].

    ``fed`` says what the first stretch of a bar is.
    """
    width, height = figure.get_size_inches()
    left, bottom, across, tall = box
    leaves = sorted(feeding.tree.leaves, key=lambda leaf: -feeding.tree.ended[leaf])[:MOST_BARS]
    axes = figure.add_axes(
        (
            (left + NAMES) / width,
            (bottom + HEAD) / height,
            (across - NAMES) / width,
            (tall - HEAD) / height,
        )
    )
    for row, leaf in enumerate(leaves):
        end = float(feeding.tree.ended[leaf])
        until, source = _fed_until(feeding, int(leaf), end)
        lengths, starts = [until, end - until], [0.0, until]
        bars = axes.barh(
            [-row, -row], lengths, 0.6, starts, color=[color(source), color(-1)], edgecolor=INK,
            linewidth=0.8,
        )  # fmt: skip
        bars[1].set_hatch("////")
    spots = [divmod(int(feeding.tree.hot_spot[leaf]), run.section.grid.shape[1]) for leaf in leaves]
    axes.set_yticks(-np.arange(len(leaves)), [part_at(run, spot)[0] for spot in spots])
    last = max(float(feeding.tree.ended.max()), 1e-9)
    ticks = [tick for tick in round_times(0.0, last, MOST_TICKS) if tick <= last * 1.02]
    axes.set_xticks(ticks, [write_quantity(tick, "time", run.units) for tick in ticks])
    axes.set(xlim=(0.0, last * 1.02), ylim=(0.5 - len(leaves), 0.5))
    axes.set_xlabel(f"hot spots: {fed}, then cut off, until liquid no longer passes")
    axes.spines[["top", "right"]].set_visible(False)


def _fed_until(feeding: Feeding, leaf: int, end: float) -> tuple[float, int]:
    """Until when a hot spot is fed [s], and by which surface."""
    pool: CutOffPool | None = next(
        (pool for pool in feeding.cut_off if feeding.tree.within(pool.pool)[leaf]), None
    )
    if pool is not None:
        return max(pool.time, 0.0), pool.source
    return end, int(feeding.source.flat[feeding.tree.hot_spot[leaf]])
