"""The round view far from its axis is the planar one."""

import numpy as np
import pytest
from pouring import alloy_card, pour, sand_card

CARDS = alloy_card(
    "metal", [(35.0, 750.0, 7000.0)] * 3, 220e3, ("linear", [1140.0, 1190.0], "")
) + sand_card("sand", 0.7, 1100.0, 1550.0)


def slab_case(view, left):
    """A slab of 20 mm between 80 mm of sand, its sand starting at x = ``left`` (m)."""

    def extent(x0, x1):
        return f'{{ from = ["{left + x0!r} m", "0 mm"], to = ["{left + x1!r} m", "1 mm"] }}'

    return f"""
title = "A slab, or a thin ring far from the axis"
[section]
view = "{view}"
cell = "1 mm"
[pour]
alloy = "metal"
temperature = "1350 °C"
[mold]
sand = "sand"
box = {extent(0.0, 0.18)}
[[part]]
name = "slab"
role = "casting"
rectangle = {extent(0.08, 0.1)}
[boundary]
left = "insulated"
right = "insulated"
bottom = "insulated"
top = "insulated"
{CARDS}
"""


def freezing_times(view, left):
    field = pour(slab_case(view, left)).fields["freezing_time"][0]
    return field[np.isfinite(field)]


def test_thin_ring_at_large_radius_is_a_slab():
    ring, slab = freezing_times("round", 20.0), freezing_times("upright", 20.0)
    assert ring == pytest.approx(slab, rel=2e-3)


def test_ring_near_the_axis_freezes_last_on_its_inner_side():
    """The sand inside is soon warm; a slab freezes last in its middle."""
    ring, slab = freezing_times("round", 0.0), freezing_times("upright", 0.0)
    assert np.argmax(slab) in (9, 10)
    assert np.argmax(ring) < 9
