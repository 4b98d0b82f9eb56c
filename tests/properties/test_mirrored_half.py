"""A section that is its own mirror image: its left half, computed, is the whole run."""

import numpy as np
import pytest

from solidsim.case import read_case_text
from solidsim.mirroring import left_half, whole_run
from solidsim.model import build_model
from solidsim.simulation import compute, simulate

CASE = """
title = "A plate with a feeder on it"
[section]
cell = "4 mm"
depth = "60 mm"
[pour]
alloy = "gray-iron"
temperature = "1350 °C"
[mold]
sand = "green-sand"
box = { from = ["-80 mm", "-40 mm"], to = ["80 mm", "100 mm"] }
[[part]]
name = "plate"
role = "casting"
rectangle = { from = ["-48 mm", "0 mm"], to = ["48 mm", "24 mm"] }
[[part]]
name = "feeder"
role = "feeder"
depth = "round"
rectangle = { from = ["-16 mm", "24 mm"], to = ["16 mm", "64 mm"] }
[[probe]]
name = "right end"
at = ["44 mm", "12 mm"]
[cooling]
shake_out = "900 °C"
"""


class Kept:
    """A store that keeps its frames."""

    def __init__(self):
        self.frames = []

    def frame(self, time, temperature, solid_fraction, flow=None):
        self.frames.append((time, temperature, solid_fraction))


def model_of(text):
    return build_model(read_case_text(text))


@pytest.fixture(scope="module")
def runs():
    model, store = model_of(CASE), Kept()
    return compute(model), simulate(model, store=store), store


def test_fields_are_those_of_the_whole(runs):
    whole, halved, _ = runs
    assert halved.provenance["mirrored"]
    assert "mirrored" not in whole.provenance
    assert halved.provenance["cell_updates"] < 0.6 * whole.provenance["cell_updates"]
    assert set(halved.fields) == set(whole.fields)
    for name, values in halved.fields.items():
        np.testing.assert_array_equal(values, values[:, ::-1], err_msg=name)
    # columns stand on patches, which do not mirror: the whole run is not quite its own image
    times = whole.fields["freezing_time"]
    lopsided = np.nanmax(np.abs(times / times[:, ::-1] - 1.0))
    assert 0.0 < np.nanmax(np.abs(halved.fields["freezing_time"] / times - 1.0)) <= lopsided


def test_without_ends_both_are_the_same():
    model = model_of(CASE.replace("60 mm", "through").replace('depth = "round"', ""))
    whole, halved = compute(model), simulate(model)
    for name, values in whole.fields.items():
        np.testing.assert_allclose(halved.fields[name], values, rtol=1e-9, err_msg=name)


def test_accounts_probes_and_rules_are_those_of_the_whole(runs):
    whole, halved, _ = runs
    assert halved.account.imbalance < 1e-10
    assert halved.account.released[-1] == pytest.approx(whole.account.released[-1], rel=1e-3)
    assert halved.judging == whole.judging
    one, two = halved.probes[0], whole.probes[0]
    assert (one.x, one.y) == (two.x, two.y)
    at = np.linspace(1.0, min(one.times[-1], two.times[-1]), 50)
    curves = [np.interp(at, curve.times, curve.temperatures) for curve in (one, two)]
    np.testing.assert_allclose(*curves, rtol=0.003)


def test_frames_go_to_the_store_whole(runs):
    _, halved, store = runs
    assert len(store.frames) == halved.frames.times.size
    for (time, temperature, fraction), *kept in zip(
        store.frames, halved.frames.times, halved.frames.temperature, strict=True
    ):
        assert time == kept[0]
        assert temperature.shape == fraction.shape == halved.section.grid.shape
        np.testing.assert_array_equal(temperature, kept[1])


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('to = ["48 mm", "24 mm"]', 'to = ["52 mm", "24 mm"]'),  # lopsided
        ("[[probe]]", '[boundary]\nleft = "insulated"\n[[probe]]'),
        ('temperature = "1350 °C"', 'temperature = "1350 °C"\ntime = "5 s"'),  # fills from one side
    ],
)
def test_what_is_not_its_mirror_image_is_computed_whole(old, new):
    assert left_half(model_of(CASE)) is not None
    assert left_half(model_of(CASE.replace(old, new))) is None


def test_the_whole_of_a_half_has_the_model_s_section():
    model = model_of(CASE.replace("900 °C", "1 s"))
    run = whole_run(compute(left_half(model), mirrors=True), model)
    assert run.section is model.section
    assert run.fields["temperature"].shape == model.section.grid.shape
