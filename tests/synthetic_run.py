"""A run that nobody computed: a bracket on a grid with a made-up freezing time, for tests.

All numbers are invented. The freezing time of a body is a smooth hill over its rectangle, so
that contours, hot spots and frames have known shapes.
"""

from dataclasses import replace
from typing import Literal

import numpy as np

from solidsim.criteria.finding import Finding
from solidsim.fill.record import FillRecord
from solidsim.results.run import (
    AlloyFacts,
    EnergyAccount,
    Frames,
    JudgingRules,
    ProbeCurve,
    Run,
    StepHistory,
)
from solidsim.section.grid import Grid
from solidsim.section.layout import Part, Section

POUR, LIQUIDUS, SOLIDUS, SAND = 1643.15, 1463.15, 1413.15, 288.15  # K

BODIES = {  # name: role, (x0, y0, x1, y1) in mm, time of its hilltop in s
    "web": ("casting", (20, 60, 180, 84), 260.0),
    "hub": ("casting", (80, 30, 120, 84), 540.0),
    "chill": ("chill", (80, 14, 120, 30), 0.0),
    "neck": ("neck", (88, 84, 112, 96), 600.0),
    "feeder": ("feeder", (72, 96, 128, 172), 900.0),
    "bolt core": ("core", (40, 60, 52, 84), 0.0),
}


def synthetic_section(cell_mm: float = 4.0) -> Section:
    """The bracket on square cells in a box of 200 x 200 mm."""
    edges = np.arange(0.0, 200.0 + cell_mm / 2, cell_mm)
    grid = Grid(edges / 1000, edges / 1000)
    index = np.zeros(grid.shape, dtype=np.int16)
    for number, name in enumerate(BODIES, start=1):
        index[_inside(grid, name)] = number
    depth = np.full(grid.shape, 0.04)
    parts = []
    for number, (name, (role, box, _)) in enumerate(BODIES.items(), start=1):
        x0, y0, x1, y1 = (side / 1000 for side in box)
        ring = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]])
        gridded = float(grid.cell_areas[index == number].sum())
        parts.append(Part(name, role, (ring,), gridded, gridded, gridded * 0.04, gridded * 0.04))
    faces = np.where(index > 0, grid.cell_areas, 0.0)
    return Section(grid, tuple(parts), index, depth, faces)


def synthetic_run(
    cell_mm: float = 4.0, frames: int = 24, units: Literal["metric", "inch"] = "metric"
) -> Run:
    """A whole run with fields, frames, probes, accounts and two hot spots."""
    section = synthetic_section(cell_mm)
    freezing = freezing_time(section)
    times = np.linspace(0.0, 1.15 * np.nanmax(freezing), frames)
    shots = [snapshot(section, freezing, time) for time in times]
    moments = np.linspace(0.0, times[-1], 200)
    released = 4.0e5 * (1.0 - np.exp(-moments / 400.0))
    return Run(
        title="Tee bracket with one feeder and a chill",
        units=units,
        section=section,
        alloy=AlloyFacts(
            "gray-iron", "Gray iron", POUR, LIQUIDUS, SOLIDUS, 2.2e5, 7100.0, feeding_cutoff=0.7
        ),
        judging=JudgingRules(1420.0, 775.0, "invented"),
        fields={
            "freezing_time": freezing,
            "liquidus_time": 0.3 * freezing,
            "temperature": shots[-1][0].astype(float),
        },
        frames=Frames(times, *(np.stack(kind) for kind in zip(*shots, strict=True))),
        probes=tuple(
            _probe(section, freezing, name, x, y, moments)
            for name, x, y in (("web end", 0.03, 0.072), ("hub", 0.1, 0.058), ("feeder", 0.1, 0.13))
        ),
        account=EnergyAccount(
            moments, released, 0.9 * released, 0.1 * released, 0.0 * released, 0.0 * released
        ),
        steps=StepHistory(
            times[:-1], np.diff(times), np.full(frames - 1, 9), np.zeros(frames - 1, dtype=int)
        ),
        stop_reason="all metal is solid",
        finished=True,
        warnings=("the sand's conductivity left its table above 1200 °C",),
        provenance={"case": "bracket", "text": "title = 'Tee bracket'\n", "version": "0.1.0"},
        findings=tuple(finding.as_dict() for finding in findings(section, freezing)),
    )


def filled(run: Run, **changes) -> Run:
    """The same run with a fill of 8 s through one gate of 2 cm2, or with what is changed of it."""
    times, volume = np.linspace(0.0, 7.0, 8), float(run.section.volumes[run.metal].sum())
    fill = FillRecord(
        mouths=("ingate",),
        parts=("web",),
        areas=np.array([2e-4]),
        times=times,
        flows=np.full((8, 1), volume / 8.0),
        temperatures=np.full((8, 1), POUR),
        basin_levels=np.full(8, 0.05),
        sprue_full=np.ones(8, bool),
        trap_velocity=np.nan,
        solved=True,
        wanted_time=np.nan,
        fill_time=8.0,
        volume=volume,
        filled=volume,
        poured_heat=1e6,
        heat_gap=0.0,
        flow_stop=0.3,
    )
    judging = replace(run.judging, mold_temperature=SAND)
    return replace(run, judging=judging, fill=replace(fill, **changes))


def unfinished(run: Run) -> Run:
    """The same run as a part file gives it: frames only."""
    return replace(run, fields={}, probes=(), findings=(), finished=False)


def freezing_time(section: Section) -> np.ndarray:
    """Hills over the metal bodies, shape (ny, nx), [s]; NaN outside metal."""
    x, y = np.meshgrid(section.grid.x_centers * 1000, section.grid.y_centers * 1000)
    time = np.full(section.grid.shape, 15.0)
    for role, (x0, y0, x1, y1), top in BODIES.values():
        if role in ("core", "chill"):
            continue
        u = np.clip((2 * x - x0 - x1) / (x1 - x0 + 8), -1, 1)
        v = np.clip((2 * y - y0 - y1) / (y1 - y0 + 8), -1, 1)
        time = np.maximum(time, top * (1 - np.abs(u) ** 2.5) * (1 - np.abs(v) ** 2.5))
    return np.where(section.metal, time, np.nan)


def snapshot(section: Section, freezing: np.ndarray, time: float) -> tuple[np.ndarray, np.ndarray]:
    """Temperature [K] and solid fraction [1] at a time [s], both float32 (ny, nx)."""
    done = np.where(section.metal, time / np.nan_to_num(freezing, nan=1.0), 0.0)
    nodes = (0.0, 0.3, 1.0, 6.0)
    metal = np.interp(done, nodes, (POUR, LIQUIDUS, SOLIDUS, 700.0))
    temperature = np.where(section.metal, metal, SAND + 0.2 * time)
    solid = np.where(section.metal, np.clip((done - 0.3) / 0.7, 0.0, 1.0), 1.0)
    return temperature.astype("f4"), solid.astype("f4")


def findings(section: Section, freezing: np.ndarray) -> list[Finding]:
    """A hot spot in the hub, the feeder that outlasts it, and the time of one part."""
    hub, feeder = (
        float(np.nanmax(freezing[section.part_cells(name)])) for name in ("hub", "feeder")
    )
    spot = Finding(
        "hot-spot", "hot spot in hub: cut off by solid metal at 7 min and liquid for 2 min more",
        "fails", 120.0, 0.0, -120.0, kind="time", place=(0.1, 0.06), part="hub",
    )  # fmt: skip
    last = Finding(
        "last-metal-in-feeder", "feeder freezes last, 6 min after hub, the last of the casting",
        "holds", feeder, hub, feeder - hub, kind="time", place=(0.1, 0.06), part="hub",
    )  # fmt: skip
    part = Finding(
        "part-freezing", "feeder is solid at 15 min", "note", feeder, kind="time",
        place=(0.1, 0.134), part="feeder",
    )  # fmt: skip
    return [spot, last, part]


def _inside(grid: Grid, name: str) -> np.ndarray:
    x0, y0, x1, y1 = (side / 1000 for side in BODIES[name][1])
    across = (grid.x_centers > x0) & (grid.x_centers < x1)
    up = (grid.y_centers > y0) & (grid.y_centers < y1)
    return up[:, None] & across


def _probe(
    section: Section, freezing: np.ndarray, name: str, x: float, y: float, times: np.ndarray
) -> ProbeCurve:
    i, j = (
        np.searchsorted(section.grid.x_edges, x) - 1,
        np.searchsorted(section.grid.y_edges, y) - 1,
    )
    done = times / freezing[j, i]
    curve = np.interp(done, (0.0, 0.3, 1.0, 6.0), (POUR, LIQUIDUS, SOLIDUS, 700.0))
    return ProbeCurve(name, x, y, times, curve)
