"""Enthalpy curves of all materials laid in one row of segments that the kernels look up."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import MaterialTables
from solidsim.materials.material import EnthalpyCurve

Array = NDArray[np.float64]

SEGMENTS = 4096  # a material; a corner of T(h) is cut by less than 1e-4 of the span
LEAST_SLOPE = 1e-3  # of a material's steepest: where T(u) is flatter, T does not tell u
ROOM = 0.1  # of the span of temperatures, beyond both of its ends
RESERVOIR_CONDUCTIVITY = 1e30  # W/mK: a reservoir adds no resistance of its own
RESERVOIR_WIDTH = 1e15  # J/m3: it takes up any heat without leaving its segment


class _Row(NamedTuple):
    """One material's part of the row: values at nodes (n + 1,), or in segments (n,)."""

    start: float
    width: float
    T: Array
    k_cold: Array
    k_hot: Array
    fs: Array


def pack_tables(
    curves: Sequence[EnthalpyCurve],
    reservoirs: Sequence[float],
    coldest: float,
    hottest: float,
    reach: float,
    dried: Mapping[int, EnthalpyCurve] | None = None,
) -> MaterialTables:
    """Lay out enthalpy curves, then one constant-temperature reservoir after another.

    Parameters
    ----------
    curves : sequence of EnthalpyCurve
        Material ``m`` of the grid is ``curves[m]``.
    reservoirs : sequence of float, [K]
        Bodies whose temperature stays while they take up any amount of heat; they follow the
        materials in the numbering.
    coldest, hottest : float, [K]
        What can occur; outside, with some room, the end slopes go on.
    reach : float, [K]
        That a temperature may change in a step.
    dried : mapping, optional
        Curves of moist materials, by number, when their water has left. Their rows come last and
        count enthalpy as those of the moist materials do.
    """
    room = ROOM * max(hottest - coldest, 1.0)
    rows = [_curve_row(curve, coldest - room, hottest + room) for curve in curves]
    rows += [_reservoir_row(temperature) for temperature in reservoirs]
    rows += [_nodes_row(curve, _nodes(rows[number])) for number, curve in (dried or {}).items()]
    sizes = [row.k_cold.size for row in rows]
    dT = np.concatenate([np.diff(row.T) for row in rows])
    return MaterialTables(
        T0=np.concatenate([row.T[:-1] for row in rows]) - np.arange(dT.size) * dT,
        dT=dT,
        line=np.zeros((2, dT.size)),
        steepest=np.concatenate([_steepest(row, reach) for row in rows]),
        k_cold=np.concatenate([row.k_cold for row in rows]),
        k_hot=np.concatenate([row.k_hot for row in rows]),
        fs=np.concatenate([row.fs[:-1] for row in rows]),
        dfs=np.concatenate([np.diff(row.fs) for row in rows]),
        first=np.cumsum([0, *sizes[:-1]]).astype(float),
        start=np.array([row.start for row in rows]),
        width=np.array([row.width for row in rows]),
    )


def segments_of(tables: MaterialTables, material: NDArray[np.uint8], enthalpy: Array) -> Array:
    """Enthalpy counted in segments, from [J/m3], any shape."""
    return tables.first[material] + (enthalpy - tables.start[material]) / tables.width[material]


def enthalpy_of(tables: MaterialTables, material: NDArray[np.uint8], u: Array) -> Array:
    """Enthalpy [J/m3], from the count of segments, any shape."""
    return tables.start[material] + (u - tables.first[material]) * tables.width[material]


def temperature_of(tables: MaterialTables, u: Array) -> Array:
    """Temperature [K], from the count of segments, any shape."""
    segment = np.clip(u.astype(np.int64), 0, tables.dT.size - 1)
    return tables.T0[segment] + u * tables.dT[segment]


def lines(
    tables: MaterialTables, cuts: tuple[float, float], metal: int, floor: float, floor_T: float
) -> Array:
    """How far T may go by a step's first rate with T(u) on the line of each segment, (2, ns), [K].

    Parameters
    ----------
    cuts : two floats, [K]
        T that stays within it of a line is on the line.
    metal : int
    floor, floor_T : float
        What a cell of metal, in segments, and others, [K], may go by other ways.
    """
    found = []
    for row, dT in enumerate(np.split(tables.dT, tables.first[1:].astype(int))):
        way = np.array([_straight_way(dT, cut) for cut in cuts])
        found.append((way - floor) * dT if row == metal else way * dT - floor_T)
    return np.concatenate(found, axis=1)


def _straight_way(dT: Array, cut: float) -> Array:
    """How far u may go from each segment of a row, up or down, with T within a cut of its line.

    A change of slope on the way counts with what is left of the way. On a piece much flatter than
    the others T does not tell u, and there is no way.
    """
    place = np.arange(dT.size)
    change = np.concatenate([[0.0], np.abs(np.diff(dT))])
    changes, moments = np.cumsum(change), np.cumsum(change * place)
    way = np.zeros(dT.size, np.int64)
    for step in 2 ** np.arange(dT.size.bit_length() - 1, -1, -1):
        longer = way + step
        up, down = np.minimum(place + longer, place[-1]), np.maximum(place - longer, 0)
        above = (place + longer) * (changes[up] - changes) - (moments[up] - moments)
        below = moments - moments[down] - (place - longer) * (changes - changes[down])
        way = np.where(np.maximum(above, below) <= cut, longer, way)
    return np.where(dT <= LEAST_SLOPE * dT.max(), 0.0, way.astype(float))


def _curve_row(curve: EnthalpyCurve, coldest: float, hottest: float) -> _Row:
    ends = curve.enthalpy_at(np.array([coldest, hottest]))
    return _nodes_row(curve, np.linspace(ends[0], ends[1], SEGMENTS + 1))


def _nodes(row: _Row) -> Array:
    nodes: Array = row.start + row.width * np.arange(row.T.size, dtype=float)
    return nodes


def _nodes_row(curve: EnthalpyCurve, nodes: Array) -> _Row:
    """Row of a curve at evenly spaced enthalpies, shape (n + 1,), [J/m3]."""
    middles = 0.5 * (nodes[1:] + nodes[:-1])
    k_cold = curve.conductivity_at(middles)
    k_hot = k_cold.copy()
    for zone in curve.zones:
        if np.ptp(zone.temperature) == 0.0 and np.ptp(zone.solid_fraction) > 0.0:
            inside = (middles >= zone.enthalpy[0]) & (middles <= zone.enthalpy[-1])
            k_cold[inside], k_hot[inside] = zone.conductivity[0], zone.conductivity[-1]
    return _Row(
        start=float(nodes[0]),
        width=float(nodes[1] - nodes[0]),
        T=curve.temperature_at(nodes),
        k_cold=k_cold,
        k_hot=k_hot,
        fs=curve.solid_fraction_at(nodes),
    )


def _steepest(row: _Row, reach: float) -> Array:
    """Largest change over a segment within a reach [K] of each segment, shape (n,), [K]."""
    change = np.diff(row.T)
    place = ((row.T[:-1] - row.T[0]) / reach).astype(np.int64) + 1
    within = np.zeros(place[-1] + 2)
    np.maximum.at(within, place, change)
    near: Array = np.maximum(np.maximum(within[place - 1], within[place]), within[place + 1])
    return near


def _reservoir_row(temperature: float) -> _Row:
    """One segment of constant temperature; its heat is counted from the segment's middle."""
    conductivity = np.array([RESERVOIR_CONDUCTIVITY])
    return _Row(
        start=-0.5 * RESERVOIR_WIDTH,
        width=RESERVOIR_WIDTH,
        T=np.full(2, temperature),
        k_cold=conductivity,
        k_hot=conductivity,
        fs=np.ones(2),
    )
