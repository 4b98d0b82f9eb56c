import numpy as np
import pytest
from synthetic_run import POUR, synthetic_run

from solidsim.report.cooling import SHAKE_OUT, hottest_metal, shake_out_clock, temperature_at


def test_hottest_metal_starts_at_the_pour_and_falls():
    times, hottest = hottest_metal(synthetic_run())
    assert hottest[0] == pytest.approx(POUR)
    assert (np.diff(hottest) < 0).all()
    assert temperature_at(synthetic_run(), float(times[3])) == pytest.approx(hottest[3])
    assert temperature_at(synthetic_run(), float(times[-1]) + 1.0) is None


def test_clock_by_temperature_is_read_off_the_curve():
    run = synthetic_run()
    wanted = float(hottest_metal(run)[1][-3])
    clock = shake_out_clock(run, None, wanted)
    assert clock.time == pytest.approx(float(run.frames.times[-3]), rel=1e-6)
    assert clock.temperature == wanted


def test_clock_by_time_tells_the_temperature():
    run = synthetic_run()
    clock = shake_out_clock(run, 100.0, None)
    assert (clock.time, clock.temperature) == (100.0, temperature_at(run, 100.0))
    assert shake_out_clock(None, 100.0, None).temperature is None


def test_a_run_that_is_too_short_or_missing_gives_no_time():
    assert shake_out_clock(synthetic_run(), None, 300.0).time is None
    assert shake_out_clock(None, None, 700.0).time is None
    assert shake_out_clock(None, None, None).temperature == SHAKE_OUT
