"""The gating network against pencil arithmetic, laws of hydraulics and its own balance."""

import math

import numpy as np
import pytest

from solidsim.fill.circuit import lay_circuit
from solidsim.fill.gating_network import (
    head_lost,
    level_that_passes,
    solve_flow,
    sprue_capacity,
)
from solidsim.fill.hydraulics import friction_factor, torricelli_velocity
from solidsim.model import Basin, GatingSystem, Mouth, Sprue, Stretch

DRY = -math.inf


def plain(head, foot_area, mouths=((1.0, 0.0),), **more):
    """A wide sprue without losses over short mouths; (share of foot area, height [m]) each."""
    stretches = tuple(
        Stretch(f"mouth {n}", "ingate", -1, share * foot_area, 0.0, 4.0 * math.sqrt(foot_area), 0.0)
        for n, (share, _) in enumerate(mouths)
    )
    sprue = {"top": 0.8 * head, "top_area": 4.0 * foot_area, "foot_area": foot_area, **more}
    return lay_circuit(
        GatingSystem(
            basin=Basin(1.0, 10.0),
            sprue=Sprue(foot=0.0, **sprue),
            stretches=stretches,
            mouths=tuple(
                Mouth(n, "part", 0.0, height, height) for n, (_, height) in enumerate(mouths)
            ),
            roughness=0.25e-3,
        )
    )


@pytest.mark.parametrize(
    ("head_mm", "area_mm2", "velocity", "flow_cm3", "volume_cm3", "seconds"),
    [
        (200, 250, 1.981, 495, 1560, 3.15),  # Groover, example 10.2, exact value
        (250, 78.54, 2.2147, 173.942, 1000, 5.749),  # round sprue of 10 mm
        (175, 400, 1.853, 741, 1000, 1.349),
        (175, 444, 1.853, 823, 1376, 1.67),
        (150, 291.5, 1.7152, 500, 1000, 2.0),
    ],
)
def test_sprues_of_the_textbooks(head_mm, area_mm2, velocity, flow_cm3, volume_cm3, seconds):
    circuit = plain(head_mm / 1e3, area_mm2 / 1e6)
    circuit.slender[:] = 0.0
    found = solve_flow(circuit, head_mm / 1e3, np.array([DRY]))
    flow = found.flows[0] * 1e6
    assert found.converged
    assert flow / area_mm2 == pytest.approx(velocity, rel=1e-3)
    assert flow == pytest.approx(flow_cm3, rel=2e-3)
    assert volume_cm3 / flow == pytest.approx(seconds, rel=2e-3)


def test_laminar_friction_is_that_of_poiseuille_and_rough_pipes_that_of_the_chart():
    assert friction_factor(np.array([100.0]), np.array([1e-4])) == pytest.approx(0.64, rel=1e-4)
    rough = friction_factor(np.array([1e8]), np.array([0.01]))[0]
    assert rough == pytest.approx((2.0 * math.log10(3.7 / 0.01)) ** -2, rel=0.01)
    smooth = friction_factor(np.array([1e5]), np.array([0.0]))[0]
    assert smooth == pytest.approx(0.0180, rel=0.02)  # Moody chart


def test_torricelli_with_losses():
    assert torricelli_velocity(0.2) == pytest.approx(1.981, abs=5e-4)
    assert torricelli_velocity(0.2, 3.0) == pytest.approx(0.5 * torricelli_velocity(0.2))


def test_equal_mouths_share_and_a_lower_mouth_takes_more():
    circuit = plain(0.3, 4e-4, [(0.25, 0.0), (0.25, 0.0), (0.25, -0.1)])
    flows = solve_flow(circuit, 0.35, np.full(3, DRY)).flows
    assert flows[0] == pytest.approx(flows[1], rel=1e-9)
    assert flows[2] > 1.05 * flows[0]


def test_metal_over_the_mouth_counts_as_lost_head():
    circuit = plain(0.3, 4e-4)
    free = solve_flow(circuit, 0.3, np.array([DRY])).flows[0]
    risen = solve_flow(circuit, 0.3, np.array([0.225])).flows[0]
    assert risen / free == pytest.approx(0.5, rel=0.02)  # root of a quarter; friction grows
    level = solve_flow(circuit, 0.3, np.array([0.3])).flows[0]
    assert abs(level) < 1e-3 * free
    back = solve_flow(circuit, 0.2, np.array([0.3])).flows[0]
    assert back < 0.0


def test_a_free_mouth_above_the_metal_does_not_suck():
    circuit = plain(0.3, 4e-4, [(0.5, 0.0), (0.5, 0.4)])
    found = solve_flow(circuit, 0.35, np.full(2, DRY))
    assert found.flows[1] == 0.0
    assert found.flows[0] > 0.0


def test_a_shut_mouth_passes_nothing():
    found = solve_flow(plain(0.3, 4e-4, [(0.5, 0.0), (0.5, 0.0)]), 0.3, np.array([DRY, np.inf]))
    assert found.flows[1] == 0.0
    assert found.flows[0] > 0.0


def test_a_straight_sprue_draws_air_and_a_tapered_one_does_not():
    basin, height, foot = 0.05, 0.2, 3e-4
    tapered = math.sqrt((basin + height) / basin) * foot
    assert math.isclose(tapered / foot, math.sqrt(5.0))
    straight = solve_flow(
        plain(height, foot, top=height, top_area=foot), basin + height, np.array([DRY])
    )
    assert not straight.full
    assert straight.flows[0] == pytest.approx(foot * torricelli_velocity(basin), rel=1e-6)
    assert straight.sprue_level < height
    wide = plain(height, foot, [(0.9, 0.0)], top=height, top_area=1.3 * tapered)
    assert solve_flow(wide, basin + height, np.array([DRY])).full


def test_no_more_flows_than_is_poured():
    found = solve_flow(plain(0.3, 4e-4), 0.3, np.array([DRY]), supply=1e-4)
    assert found.flows.sum() == pytest.approx(1e-4, rel=1e-6)
    assert not found.full


@pytest.mark.parametrize("flow", [1e-5, 1e-4, 1e-3])
def test_a_level_that_passes_a_flow_has_it_as_its_capacity(flow):
    sprue = Sprue(top=0.25, foot=0.0, top_area=8e-4, foot_area=3e-4, entry_loss=0.5)
    assert sprue_capacity(sprue, level_that_passes(sprue, flow)) == pytest.approx(flow, rel=1e-9)


def test_the_capacity_of_a_sprue_is_torricelli_at_its_tightest_place():
    sprue = Sprue(top=0.2, foot=0.0, top_area=9e-4, foot_area=3e-4)
    assert sprue_capacity(sprue, 0.25) == pytest.approx(3e-4 * torricelli_velocity(0.25), rel=1e-6)


def branched(rng):
    """A random tree of stretches."""
    stretches = []
    for n in range(int(rng.integers(1, 6))):
        area = 10.0 ** rng.uniform(-4.5, -3)
        parent = int(rng.integers(-1, n)) if n else -1
        length, loss = rng.uniform(0.0, 0.5), rng.uniform(0.0, 5.0)
        perimeter = 4 * area**0.5
        stretches.append(Stretch(f"{n}", "runner", parent, area, length, perimeter, loss))
    runners = len(stretches)
    mouths = []
    for n in range(int(rng.integers(1, 6))):
        area = 10.0 ** rng.uniform(-4.5, -3)
        parent = int(rng.integers(-1, runners))
        stretches.append(
            Stretch(f"mouth {n}", "ingate", parent, area, 0.02, 4 * area**0.5, rng.uniform(0, 2))
        )
        height = float(rng.uniform(-0.1, 0.1))
        mouths.append(Mouth(runners + n, "part", 0.0, height, height))
    sprue = Sprue(
        0.3, 0.0, 10.0 ** rng.uniform(-3.5, -2.5), 10.0 ** rng.uniform(-4.5, -3), 0.1, 1.1
    )
    return GatingSystem(Basin(1e-2, 0.05), sprue, tuple(stretches), tuple(mouths), 0.25e-3)


@pytest.mark.parametrize("seed", range(40))
def test_any_tree_is_solved_and_the_heads_balance_along_every_way(seed):
    rng = np.random.default_rng(seed)
    system = branched(rng)
    circuit = lay_circuit(system)
    against = rng.uniform(-0.2, 0.3, len(system.mouths))
    found = solve_flow(circuit, 0.35, against)
    assert found.converged
    assert found.iterations < 60
    through = np.array([found.flows[circuit.ways[:, n]].sum() for n in range(circuit.area.size)])
    np.testing.assert_allclose(found.through, through, atol=1e-15)
    lost = np.array([head_lost(circuit, through)[way].sum() for way in circuit.ways])
    standing = np.maximum(against, circuit.heights)
    for i in np.flatnonzero(found.flows != 0.0):
        assert lost[i] == pytest.approx(found.sprue_level - standing[i], abs=1e-7)
