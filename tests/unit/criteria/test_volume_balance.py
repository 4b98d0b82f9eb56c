"""Where the volume goes: closed forms of small columns, and an account that always closes."""

import numpy as np
import pytest
from feeding_columns import SHRINKING, balance, growing_law, spread

CLOSED = 1e-9  # of the metal's volume


def column(*times):
    """Cells one above the other, the first at the bottom; cutoff times [s]."""
    return np.array(times, dtype=float)[:, None]


def top(cutoff_time, cells=1):
    """Mark the uppermost cells."""
    marked = np.zeros(cutoff_time.shape, dtype=bool)
    marked[-cells:] = True
    return marked


def rising(count):
    """A column that freezes from the bottom up."""
    return column(*np.linspace(10.0, 100.0, count))


@pytest.mark.parametrize("superheat", [0.0, 120.0])
def test_pipe_of_a_fed_column_is_what_its_mass_shrinks_by(superheat):
    """All void is pipe: V (1 - v_solid / v_poured), with v_poured = 1 + 1.5e-4 per kelvin."""
    times = rising(40)
    found = balance(times, SHRINKING, opened=top(times, 10), superheat=superheat)
    expected = 40.0 * (1.0 - 0.96 / (1.0 + 1.5e-4 * superheat))
    assert found.pipe.sum() == pytest.approx(expected, rel=1e-12)
    assert found.cavity.sum() == 0.0
    assert found.imbalance < CLOSED


def test_pipe_starts_at_the_top_and_has_no_gaps():
    times = rising(40)
    pipe = balance(times, SHRINKING, opened=top(times, 10)).pipe
    assert np.all(np.diff(pipe) >= -1e-12)
    assert pipe[-1] > 0.6
    assert not pipe[:30].any()


def test_a_pool_that_nothing_feeds_keeps_its_hole():
    """A boss below a thin web: what it lacks after the web has closed lies in it, at its top."""
    times = column(30, 40, 50, 60, 20, 50, 70, 90, 110, 130)
    law = growing_law(0.04, 0.0)
    found = balance(times, law, opened=top(times, 4))
    cavity = spread(found.cavity, times)[:, 0]
    assert cavity[3] > 0.0
    assert not cavity[4:].any()
    # at 20 s each cell of the boss is frozen (20 - t/3) / (t - t/3) of the way to 0.7
    solid = 0.7 * (20.0 - times[:4, 0] / 3.0) / (2.0 * times[:4, 0] / 3.0)
    lacking = (1.0 - 0.96 / (1.0 - 0.04 * solid)).sum()
    assert cavity.sum() == pytest.approx(lacking, rel=0.02)
    assert found.imbalance < CLOSED


def test_without_a_free_surface_all_void_is_cavity_at_the_highest_liquid():
    times = column(50, 60, 70, 60, 50)
    found = balance(times, SHRINKING)
    assert found.pipe.sum() == 0.0
    assert found.cavity.sum() == pytest.approx(5 * 0.04, rel=1e-12)
    assert found.cavity[-1] == found.cavity.max() > 0.1


def test_a_feeder_that_is_used_up_pipes_into_the_casting():
    times = rising(40)
    small = balance(times, growing_law(0.06, 0.0), opened=top(times, 1))
    assert spread(small.pipe, times)[38, 0] > 0.0
    assert small.cavity.sum() == 0.0
    assert small.pipe.sum() == pytest.approx(40 * 0.06, rel=1e-12)


def test_skin_over_a_low_blind_feeder_leaves_the_hole_in_the_casting():
    """Side feeder below the casting's top: with air it gives its liquid, without, gravity rules."""
    times = np.array([[60.0, 70.0, 90.0], [55.0, 40.0, 80.0], [50.0, np.nan, np.nan]])
    feeder = np.zeros((3, 3), dtype=bool)
    feeder[:2, 2] = True
    open_to_air = balance(times, SHRINKING, opened=feeder)
    closed = balance(times, SHRINKING, opened=feeder, until=5.0)
    assert spread(open_to_air.pipe, times)[1, 2] > 0.0
    assert open_to_air.cavity.sum() == 0.0
    assert spread(closed.cavity, times)[2, 0] > 0.0
    assert closed.imbalance < CLOSED


def test_liquid_of_a_plan_view_sinks_evenly():
    times = np.array([[20.0, 30.0, 40.0, 80.0, 80.0, 80.0, 80.0]])
    feeder = times > 50.0
    pipe = spread(balance(times, SHRINKING, opened=feeder, level=True).pipe, times)
    assert pipe[0, 3:] == pytest.approx(pipe[0, 3])
    assert pipe.sum() == pytest.approx(7 * 0.04)


def test_graphite_pays_before_anything_is_drawn():
    times = rising(20)
    found = balance(times, growing_law(0.05, 0.03), opened=top(times, 5))
    assert found.contraction == pytest.approx(20 * 0.05)
    assert found.growth == pytest.approx(20 * 0.03)
    assert found.pipe.sum() == pytest.approx(20 * 0.02)


def test_a_mold_that_gives_way_wants_more_feeding():
    times = rising(20)
    voids = []
    for share in (0.0, 0.25, 0.5, 1.0):
        found = balance(times, growing_law(0.05, 0.03), opened=top(times, 5), wall_movement=share)
        assert found.gave_way == pytest.approx(share * found.growth, rel=0.02)
        assert found.imbalance < CLOSED
        voids.append(found.pipe.sum())
    assert voids == pytest.approx([20 * (0.02 + 0.03 * y) for y in (0.0, 0.25, 0.5, 1.0)], rel=0.02)


def test_more_graphite_than_shrinkage_leaves_no_hole():
    times = rising(20)
    found = balance(times, growing_law(0.03, 0.05))
    assert found.pipe.sum() + found.cavity.sum() == 0.0
    assert found.gave_way == pytest.approx(20 * 0.02)


def test_growth_late_in_freezing_fills_the_hole_again():
    """Primary metal shrinks, the eutectic grows: the hole is largest in between."""
    law = growing_law(0.0, 0.0)
    share, shape = np.array([0.0, 0.3, 1.0]), np.array([1.0, 0.97, 0.985])
    law = type(law)(0.0, share, shape, np.array([0.0, 0.0, 0.02]))
    times = column(100, 100.1, 100.2, 100.3, 100.4)
    found = balance(times, law)
    assert found.cavity.sum() == pytest.approx(5 * 0.015, rel=0.01)
    assert found.imbalance < CLOSED


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("level", [False, True])
def test_account_closes_on_any_field(seed, level):
    rng = np.random.default_rng(seed)
    times = 20.0 + 100.0 * rng.random((9, 8))
    times[rng.random(times.shape) < 0.25] = np.nan
    opened = rng.random(times.shape) < 0.2
    opened.flat[np.flatnonzero(np.isfinite(times))[0]] = True
    law = growing_law(0.07 * rng.random(), 0.06 * rng.random())
    volumes = 0.2 + rng.random(times.shape)
    found = balance(times, law, opened=opened, until=float(rng.choice([30.0, np.inf])),
                    superheat=150.0, wall_movement=rng.random(), level=level,
                    volumes=volumes)  # fmt: skip
    assert found.imbalance < CLOSED
    assert found.pipe.min() >= 0.0
    assert found.cavity.min() >= 0.0
    assert np.all(found.pipe + found.cavity <= volumes[np.isfinite(times)] * 1.2)


def test_more_steps_do_not_move_the_hole(monkeypatch):
    """The place of the void must not hang on how finely time is cut."""
    times = column(30, 40, 50, 60, 20, 50, 70, 90, 110, 130).repeat(3, axis=0)
    times = times + 1e-3 * np.arange(times.size)[:, None]
    coarse = balance(times, SHRINKING, opened=top(times, 12))
    monkeypatch.setattr("solidsim.criteria.volume_balance.FREEZING_STEPS", 3000)
    fine = balance(times, SHRINKING, opened=top(times, 12))
    assert coarse.cavity.sum() == pytest.approx(fine.cavity.sum(), rel=0.02)
    assert np.abs(coarse.cavity - fine.cavity).max() < 0.05
