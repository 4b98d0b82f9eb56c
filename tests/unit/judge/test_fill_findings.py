"""What a fill is judged by: one finding at the most of each kind that matters, with its place."""

import math
from dataclasses import replace

import numpy as np
import pytest
from synthetic_run import synthetic_run

from solidsim.criteria.filling import MEETINGS, judge_fill
from solidsim.fill.record import FillRecord, Place
from solidsim.judgment import feeding_of

LIQUIDUS = 1460.0

FULL = FillRecord(
    mouths=("left", "right"),
    parts=("hub", "rim"),
    areas=np.array([2e-4, 2e-4]),
    times=np.array([0.0, 2.0]),
    flows=np.array([[4e-5, 4e-5], [8e-5, 2e-5]]),
    temperatures=np.full((2, 2), 1600.0),
    basin_levels=np.array([0.04, 0.03]),
    sprue_full=np.array([True, True]),
    trap_velocity=math.nan,
    solved=True,
    wanted_time=4.0,
    fill_time=4.1,
    volume=4e-4,
    filled=4e-4,
    poured_heat=1e6,
    heat_gap=1e-7,
    flow_stop=0.25,
    places=(Place("coldest", 3.0, 0.1, 0.2, temperature=1455.0, solid_fraction=0.03),),
    volume_error=1e-12,
)


def findings(fill, name):
    return [found for found in judge_fill(fill, LIQUIDUS, "metric") if found.name == name]


def test_the_fastest_surface_has_its_place_and_time():
    fast = Place("fastest", 0.4, 0.3, 0.1, speed=1.2)
    found = findings(replace(FULL, places=(*FULL.places, fast)), "surface-velocity")[0]
    assert (found.verdict, found.place) == ("fails", (0.3, 0.1))
    assert found.margin == pytest.approx(-0.7)
    assert "1.2 m/s, 0.4 s after" in found.statement
    slow = replace(FULL, places=(replace(fast, speed=0.49),))
    assert findings(slow, "surface-velocity")[0].verdict == "close"
    assert not findings(FULL, "surface-velocity")


def test_only_the_coldest_meetings_are_told():
    temperatures = (1500.0, 1450.0, 1465.0, 1600.0, 1480.0)
    places = tuple(Place("meeting", 1.0, 0.1, 0.1, temperature=t) for t in temperatures)
    found = findings(replace(FULL, places=places), "cold-shut")
    assert [one.value for one in found] == sorted(temperatures)[:MEETINGS]
    assert [one.verdict for one in found] == ["fails", "close", "holds"]


def test_small_bubbles_are_no_misrun_but_room_without_metal_is():
    assert findings(replace(FULL, filled=0.999 * FULL.volume), "misrun")[0].verdict == "holds"
    short = replace(FULL, filled=0.9 * FULL.volume)
    found = findings(short, "misrun")[0]
    assert found.verdict == "fails"
    assert (
        "10 % of the metal's room is not filled: the metal stops at 25 % solid" in found.statement
    )


def test_air_that_stays_is_blamed_for_the_room_it_holds():
    kept = Place("shut-in", 2.0, 0.2, 0.2, volume=3e-5)
    short = replace(FULL, filled=0.9 * FULL.volume, places=(*FULL.places, kept))
    assert "air that is shut in holds it" in findings(short, "misrun")[0].statement
    gone = replace(short, places=(replace(kept, until=3.0),))
    assert "stops at" in findings(gone, "misrun")[0].statement


def test_a_splash_that_stops_is_close_and_no_misrun():
    splash = replace(FULL.places[0], solid_fraction=0.4)
    assert findings(replace(FULL, places=(splash,)), "misrun")[0].verdict == "close"


def test_metal_lost_by_the_flow_is_told():
    assert findings(FULL, "fill-volume-account")[0].verdict == "note"
    assert findings(replace(FULL, volume_error=1e-5), "fill-volume-account")[0].verdict == "fails"
    assert not findings(replace(FULL, volume_error=math.nan), "fill-volume-account")


def test_the_busier_of_two_ingates_is_named():
    found = findings(FULL, "unbalanced-ingates")[0]
    poured = [4e-5 * 2.0 + 8e-5 * 2.1, 4e-5 * 2.0 + 2e-5 * 2.1]
    assert found.value == pytest.approx(2.0 * poured[0] / sum(poured))
    assert "left brings" in found.statement
    assert findings(FULL, "gate-velocity")[0].value == pytest.approx(0.4)


def test_a_bubble_in_a_full_mold_feeds_like_the_metal_beside_it():
    run = synthetic_run(cell_mm=4.0, frames=4)
    whole = feeding_of(replace(run, fill=FULL))
    j, i = np.argwhere(run.metal)[40]
    fields = {name: values.copy() for name, values in run.fields.items()}
    for values in fields.values():
        values[j, i] = np.nan
    kept = feeding_of(replace(run, fill=FULL, fields=fields))
    beside = whole.cutoff_time[j - 1 : j + 2, i - 1 : i + 2]
    assert np.nanmin(beside) <= kept.cutoff_time[j, i] <= np.nanmax(beside)
    assert feeding_of(replace(run, fill=replace(FULL, filled=2e-4), fields=fields)) is None
