"""What a fill means: too fast, too cold, too uneven."""

import math
from collections.abc import Iterator

import numpy as np

from solidsim.criteria.finding import Finding, Verdict
from solidsim.fill.record import FillRecord, Place
from solidsim.quantities import Units, write_quantity

GATE_VELOCITY = SURFACE_VELOCITY = 0.5  # m/s
GATE_SOURCE = "Runyoro, Boutorabi & Campbell (1992), Trans. AFS 100:225"
PRACTICE = "common practice, no source"
TRAP_VELOCITY = 0.3  # m/s, above which dirt is swept through a trap; common practice, no source
TIME_SHARE = 0.2  # off the wanted pouring time; common practice, no source
UNEVEN = 1.25  # metal of the busiest ingate over its share; common practice, no source
NOT_FULL = 0.02  # of the pour; common practice, no source
NEAR_LIQUIDUS = 10.0  # K above it: too close to call
MEETINGS = 3  # of fronts that are told of
VOLUME_ERROR = 1e-6  # of the poured metal that a flow may gain or lose; our own demand
CLOSE = 0.05  # of a limit: too close to call


def judge_fill(fill: FillRecord, liquidus: float, units: Units) -> list[Finding]:
    """Findings of a fill.

    Parameters
    ----------
    fill : FillRecord
    liquidus : float, [K]
        Of the metal.
    units : {"metric", "inch"}
    """
    gated = bool(np.isfinite(fill.areas).all())
    return [
        *_fill_time(fill, units),
        *_misrun(fill, liquidus, units),
        *(_cold_shut(place, liquidus, units) for place in _coldest_meetings(fill)),
        *_surface(fill, units),
        *(_gates(fill, units) if gated else ()),
        *(_sprue(fill, units) if gated else ()),
        *_account(fill),
    ]


def _verdict(margin: float, close: float) -> Verdict:
    return "fails" if margin < 0.0 else "close" if margin < close else "holds"


def _fill_time(fill: FillRecord, units: Units) -> Iterator[Finding]:
    said = write_quantity(fill.fill_time, "time", units)
    if math.isnan(fill.wanted_time):
        yield Finding(
            "fill-time", f"the last metal comes {said} after the first", "note",
            fill.fill_time, kind="time", source="the run",
        )  # fmt: skip
        return
    wanted = write_quantity(fill.wanted_time, "time", units)
    margin = TIME_SHARE * fill.wanted_time - abs(fill.fill_time - fill.wanted_time)
    yield Finding(
        name="fill-time",
        statement=f"the last metal comes after {said}; {wanted} was asked for",
        verdict=_verdict(margin, CLOSE * fill.wanted_time),
        value=fill.fill_time,
        limit=fill.wanted_time,
        margin=margin,
        kind="time",
        source=f"the case; 20 % off: {PRACTICE}",
    )


def _misrun(fill: FillRecord, liquidus: float, units: Units) -> Iterator[Finding]:
    """Did metal come everywhere, and how near was the front to stopping?"""
    coldest = next((place for place in fill.places if place.kind == "coldest"), None)
    where = (coldest.x, coldest.y) if coldest else None
    if not fill.full:
        share = fill.filled / fill.volume
        text = write_quantity(1.0 - share, "fraction", units)
        yield Finding(
            name="misrun",
            statement=f"{text} of the metal's room is not filled: {_hindrance(fill, units)}",
            verdict="fails",
            value=share,
            limit=1.0,
            margin=share - 1.0,
            kind="fraction",
            place=where,
            source="solid fraction at which dendrites meet, by the alloy's card",
        )
    elif coldest and math.isfinite(fill.flow_stop):
        margin = fill.flow_stop - coldest.solid_fraction
        side = _side(coldest.temperature, liquidus, units)
        yield Finding(
            name="misrun",
            statement=f"the coldest metal at the front comes {side} its liquidus, "
            f"{write_quantity(coldest.solid_fraction, 'fraction', units)} solid",
            verdict=_verdict(max(margin, 0.0), 0.5 * fill.flow_stop),  # what stopped was a splash
            value=coldest.solid_fraction,
            limit=fill.flow_stop,
            margin=margin,
            kind="fraction",
            place=where,
            source="solid fraction at which dendrites meet, by the alloy's card",
        )


def _hindrance(fill: FillRecord, units: Units) -> str:
    """What keeps metal out of its room: air that stays there, or metal that has stopped."""
    stays = [p.volume for p in fill.places if p.kind == "shut-in" and math.isnan(p.until)]
    if sum(stays) > 0.5 * (fill.volume - fill.filled):
        return "air that is shut in holds it"
    solid = write_quantity(fill.flow_stop, "fraction", units)
    return f"the metal stops at {solid} solid before it gets there"


def _side(temperature: float, liquidus: float, units: Units) -> str:
    apart = write_quantity(abs(temperature - liquidus), "temperature-difference", units)
    return f"{apart} {'above' if temperature >= liquidus else 'below'}"


def _coldest_meetings(fill: FillRecord) -> list[Place]:
    """Where fronts met coldest; there may be dozens in a mold that splashes."""
    meetings = [place for place in fill.places if place.kind == "meeting"]
    return sorted(meetings, key=lambda place: place.temperature)[:MEETINGS]


def _cold_shut(place: Place, liquidus: float, units: Units) -> Finding:
    margin = place.temperature - liquidus
    side = _side(place.temperature, liquidus, units)
    return Finding(
        name="cold-shut",
        statement=f"two fronts meet after {write_quantity(place.time, 'time', units)}, "
        f"{side} the liquidus",
        verdict=_verdict(margin, NEAR_LIQUIDUS),
        value=place.temperature,
        limit=liquidus,
        margin=margin,
        kind="temperature",
        place=(place.x, place.y),
        source=f"fronts join while both are liquid: {PRACTICE}",
    )


def _surface(fill: FillRecord, units: Units) -> Iterator[Finding]:
    """The fastest that the open surface of the metal moved."""
    for place in (place for place in fill.places if place.kind == "fastest"):
        margin = SURFACE_VELOCITY - place.speed
        yield Finding(
            name="surface-velocity",
            statement="the open surface of the metal moves at up to "
            f"{write_quantity(place.speed, 'velocity', units)}, "
            f"{write_quantity(place.time, 'time', units)} after the first metal",
            verdict=_verdict(margin, CLOSE * SURFACE_VELOCITY),
            value=place.speed,
            limit=SURFACE_VELOCITY,
            margin=margin,
            kind="velocity",
            place=(place.x, place.y),
            source=GATE_SOURCE,
            grade="handbook",
        )


def _gates(fill: FillRecord, units: Units) -> Iterator[Finding]:
    """The fastest ingate, and how evenly the metal is shared out."""
    speeds = np.abs(fill.flows) / fill.areas
    when, which = np.unravel_index(np.argmax(speeds), speeds.shape)
    value = float(speeds[when, which])
    said = write_quantity(value, "velocity", units)
    yield Finding(
        name="gate-velocity",
        statement=f"metal enters {fill.parts[which]} through {fill.mouths[which]} at up to {said}, "
        f"{write_quantity(float(fill.times[when]), 'time', units)} after the first",
        verdict=_verdict(GATE_VELOCITY - value, CLOSE * GATE_VELOCITY),
        value=value,
        limit=GATE_VELOCITY,
        margin=GATE_VELOCITY - value,
        kind="velocity",
        part=fill.parts[which],
        source=GATE_SOURCE,
        grade="handbook",
    )
    if len(fill.mouths) > 1:
        yield _balance(fill, units)
    if math.isfinite(fill.trap_velocity):
        margin = TRAP_VELOCITY - fill.trap_velocity
        said = write_quantity(fill.trap_velocity, "velocity", units)
        yield Finding(
            "trap-velocity", f"metal runs through the dirt trap at up to {said}",
            _verdict(margin, CLOSE * TRAP_VELOCITY), fill.trap_velocity, TRAP_VELOCITY, margin,
            "velocity", source=PRACTICE,
        )  # fmt: skip


def _balance(fill: FillRecord, units: Units) -> Finding:
    """Metal of each ingate against its share of all gate area."""
    lengths = np.diff(np.append(fill.times, fill.fill_time))
    poured = (np.maximum(fill.flows, 0.0) * lengths[:, None]).sum(axis=0)
    uneven = poured / poured.sum() / (fill.areas / fill.areas.sum())
    which = int(np.argmax(uneven))
    share = write_quantity(float(poured[which] / poured.sum()), "fraction", units)
    margin = UNEVEN - float(uneven[which])
    return Finding(
        name="unbalanced-ingates",
        statement=f"{fill.mouths[which]} brings {share} of the metal, "
        f"{uneven[which]:.2f} times its share of the gates' area",
        verdict=_verdict(margin, CLOSE * UNEVEN),
        value=float(uneven[which]),
        limit=UNEVEN,
        margin=margin,
        part=fill.parts[which],
        source=PRACTICE,
    )


def _sprue(fill: FillRecord, units: Units) -> Iterator[Finding]:
    lengths = np.diff(np.append(fill.times, max(fill.fill_time, fill.times[-1])))
    share = float(lengths[~fill.sprue_full].sum() / max(lengths.sum(), 1e-9))
    said = write_quantity(share, "fraction", units)
    yield Finding(
        name="sprue-full",
        statement=f"the sprue is not full and draws air during {said} of the pour"
        if share > 0.0
        else "the sprue stays full",
        verdict=_verdict(NOT_FULL - share, 0.5 * NOT_FULL),
        value=share,
        limit=NOT_FULL,
        margin=NOT_FULL - share,
        kind="fraction",
        source=f"pressure above that of the air all the way down: Bernoulli; 2 %: {PRACTICE}",
    )
    lowest, first = float(fill.basin_levels.min()), float(fill.basin_levels[0])
    margin = lowest - 0.5 * first
    yield Finding(
        name="basin-level",
        statement=f"the basin falls to {write_quantity(lowest, 'length', units)} of "
        f"{write_quantity(first, 'length', units)}",
        verdict=_verdict(margin, CLOSE * first),
        value=lowest,
        limit=0.5 * first,
        margin=margin,
        kind="length",
        source=f"half full at least: {PRACTICE}",
    )
    if not fill.solved:
        yield Finding(
            "gating-solved", "the flow in the gating was not found at every moment; trust no "
            "number of the fill", "fails", source="the run", grade="exact",
        )  # fmt: skip


def _account(fill: FillRecord) -> Iterator[Finding]:
    gap = abs(fill.heat_gap) / max(abs(fill.poured_heat), 1e-9)
    yield Finding(
        name="fill-heat-account",
        statement=f"the heat that came with the metal is found again to {gap:.1e} of it",
        verdict="note",
        value=gap,
        limit=1e-5,
        margin=1e-5 - gap,
        source="heat poured = heat in the metal + heat released",
        grade="exact",
    )
    if math.isfinite(fill.volume_error):
        margin = VOLUME_ERROR - fill.volume_error
        yield Finding(
            name="fill-volume-account",
            statement=f"the metal that flowed in is found again to {fill.volume_error:.1e} of it",
            verdict="note" if margin >= 0.0 else "fails",
            value=fill.volume_error,
            limit=VOLUME_ERROR,
            margin=margin,
            source="metal that entered = metal in the mold",
            grade="exact",
        )
