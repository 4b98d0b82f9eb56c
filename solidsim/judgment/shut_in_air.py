"""Where is air shut in, and which vent would let it out in time?"""

import math

from solidsim.criteria.finding import Finding, Verdict
from solidsim.fill.record import Place
from solidsim.judgment.wording import said_time, said_volume
from solidsim.quantities import write_quantity
from solidsim.results.run import Run
from solidsim.sizing.kinds import INCH
from solidsim.sizing.vents import BACK_PRESSURE, Vents, vents_by_pressure

SPACES = 4  # that are told of; metal that splashes shuts in dozens of bubbles
VENT = {"metric": 0.003, "inch": INCH / 8}  # m, pricked with a wire; common practice, no source


def shut_in_air(run: Run) -> list[Finding]:
    """The largest spaces that the metal cut off from every drawn opening."""
    places = [place for place in run.fill.places if place.kind == "shut-in"] if run.fill else []
    places.sort(key=lambda place: -place.volume)
    return [_shut_in(run, place) for place in places[:SPACES]]


def _shut_in(run: Run, place: Place) -> Finding:
    gone = math.isfinite(place.until)
    verdict: Verdict = "close" if gone else "fails"
    how = "does not all leave through the sand: set a vent here"
    if gone:
        how = f"leaves through the sand within {said_time(run, place.until - place.time)}"
    time = time_to_leave(run, place)
    if time > 0.0:
        vents = wanted_vents(run, place, time)
        how += f"; {_said_vents(run, vents, time)}"
        if gone and vents.number == 0:
            verdict = "holds"
    volume = said_volume(run, place.volume)
    found = f"{volume} of air is shut in after {said_time(run, place.time)}"
    if math.isfinite(place.pressure):
        above = write_quantity(place.pressure, "pressure", run.units)
        found += f", pressed to {above} above the air outside"
    return Finding(
        name="shut-in-air",
        statement=f"{found} and {how}",
        verdict=verdict,
        value=place.volume,
        limit=0.0,
        margin=-place.volume,
        kind="volume",
        place=(place.x, place.y),
        source="openings as drawn; vents-by-pressure: Bernoulli and the gas law for the vent, "
        f"Darcy for the sand, {BACK_PRESSURE:.0f} Pa of back pressure from memory",
    )


def time_to_leave(run: Run, place: Place) -> float:
    """Time [s] that shut-in air has if it is not to hold the metal back.

    That in which its room filled, but no longer than the rest of the mold would have taken.
    """
    rest = run.fill.fill_time - place.time if run.fill else 0.0
    left = place.left if math.isfinite(place.left) else max(rest, 0.0)
    return min(left, place.until - place.time) if math.isfinite(place.until) else left


def wanted_vents(run: Run, place: Place, time: float) -> Vents:
    """Vents that let shut-in air go in a time [s], beside what the sand takes of it."""
    leak = place.leak if math.isfinite(place.leak) else 0.0
    return vents_by_pressure(
        place.volume,
        time,
        vent_diameter=VENT[run.units],
        mold_temperature=run.judging.mold_temperature,
        sand_flow=leak * BACK_PRESSURE,
    )


def _said_vents(run: Run, vents: Vents, time: float) -> str:
    pressure = write_quantity(BACK_PRESSURE, "pressure", run.units)
    rest = f"within {said_time(run, time)} against no more than {pressure}"
    if vents.number == 0:
        return f"the sand alone lets it go {rest}"
    area = write_quantity(vents.area, "area", run.units)
    size = write_quantity(VENT[run.units], "length", run.units)
    by_meter = " a meter" if run.section.endless else ""
    return f"a vent of {area} here ({vents.number:.0f} of ⌀ {size}{by_meter}) lets it go {rest}"
