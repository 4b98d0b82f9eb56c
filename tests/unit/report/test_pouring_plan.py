"""The plan of a pour against the rules worked by hand."""

import math
from dataclasses import replace

import pytest
from synthetic_run import filled, synthetic_run
from winch_plate import plate

from solidsim.model import Pour
from solidsim.report.pouring_plan import plan_pour
from solidsim.sizing import work_rule

CASTING = 0.2 * 0.02 * 0.1 - 0.02 * 0.01 * 0.1  # m3, plate less core
FEEDER = math.pi / 4 * 0.04**2 * 0.08


def test_weights_and_charge():
    case, model = plate()
    plan, density = plan_pour(case, model), model.materials[model.metal].density
    assert plan.weights.casting == pytest.approx(density * CASTING, rel=1e-6)
    assert plan.weights.feeding == pytest.approx(density * FEEDER, rel=0.01)
    assert plan.charge.charge == pytest.approx(plan.weights.poured * 1.1 / 0.97)
    assert plan.inoculant.amount == pytest.approx(0.002 * 1.1 * plan.weights.poured)


def test_pouring_time_of_gray_iron():
    """t = 0.7 (1.41 + T / 14.59) sqrt(W), T the plate's 2 V / A, seconds, mm, kg."""
    plan = plan_pour(*plate())
    core = 2 * (0.02 + 0.01) * 0.1  # around the core, whose ends count with the plate's faces
    sides = 2 * (0.2 + 0.02) * 0.1 - 0.04 * 0.1 + core
    thickness = 2 * CASTING / (sides + 2 * CASTING / 0.1)
    expected = 0.7 * (1.41 + 1000 * thickness / 14.59) * math.sqrt(plan.weights.poured)
    assert plan.pouring_time == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("alloy", "rule"),
    [
        ("ductile-iron", "ductile-pouring-time"),
        ("carbon-steel-0.25", "steel-pouring-time"),
        ("tin-bronze", "copper-pouring-time"),
    ],
)
def test_pouring_time_by_the_rule_of_the_alloy(alloy, rule):
    plan = plan_pour(*plate(alloy=alloy))
    (time,) = work_rule(rule, {"poured_weight": plan.weights.poured}).results.values()
    assert plan.pouring_time == time


def test_light_metal_needs_its_gates():
    assert plan_pour(*plate(alloy="a356", pour="720 °C")).pouring_time is None
    plan = plan_pour(*plate('gate_area = "4 cm2"', alloy="a356", pour="720 °C"))
    assert plan.pouring_time == pytest.approx((CASTING + FEEDER) / (4e-4 * 0.5), rel=0.01)
    assert plan.inoculant is None


def test_window_stays_clear_of_the_liquidus():
    case, model = plate()
    plan = plan_pour(case, model)
    assert (plan.coolest, plan.hottest) == pytest.approx((1618.15, 1668.15))
    cold = plan_pour(*plate(pour="1215 °C"))
    liquidus = model.materials[model.metal].liquidus
    assert cold.coolest == pytest.approx(min(liquidus + 30.0, 1215 + 273.15))


def test_furnace_ladle_and_crucible():
    shop = 'crucible = "5 kg"\nfurnace_temperature = "1400 °C"\nholding_time = "2 min"'
    plan = plan_pour(*plate(shop))
    assert plan.tap == pytest.approx(1370 + 273.15 + 50 + 28)
    assert plan.reached == pytest.approx(1400 + 273.15 - 50 - 28)
    assert plan.room.heats == 1
    assert plan.room.room_left == pytest.approx(4.5 - plan.charge.charge)


def test_cope_weight_takes_the_core_as_weightless():
    case, model = plate('parting = "0 mm"\ncope_height = "100 mm"')
    plan, density = plan_pour(case, model), model.materials[model.metal].density
    lifted = density * (0.02 * (0.1 - 0.02) + 0.02 * 0.01 * 0.1)
    assert plan.lift.added_weight_core_weight_ignored == pytest.approx(1.5 * lifted, rel=1e-6)
    assert plan.lift.added_weight_textbook < plan.lift.added_weight_core_weight_ignored


def test_a_flask_counts_the_sand_of_the_cope():
    bare = plan_pour(*plate('cope_height = "100 mm"')).lift
    case, model = plate('cope_height = "100 mm"\nflask = ["300 mm", "150 mm"]')
    sand = 0.3 * 0.15 * 0.1 - plan_pour(case, model).weights.poured / 7100
    lift = plan_pour(case, model).lift
    counted = bare.added_weight_textbook - lift.added_weight_textbook
    density = model.materials[model.mold].density
    assert counted == pytest.approx(min(density * sand, bare.added_weight_textbook), rel=0.01)


def test_what_an_endless_section_does_not_tell():
    plan = plan_pour(*plate(depth='"through"', feeder='"through"'))
    assert (plan.weights, plan.charge, plan.lift, plan.vents, plan.pouring_time) == (None,) * 5
    told = plan_pour(
        *plate('lifted_area = "200 cm2"\ncope_height = "100 mm"', depth='"through"',
               feeder='"through"')
    )  # fmt: skip
    assert told.lift.metal_lift > 0


def test_vents_in_the_sizes_of_the_shop():
    assert plan_pour(*plate()).vent_diameter == 0.005
    plan = plan_pour(*plate(units="inch"))
    assert plan.vent_diameter == pytest.approx(0.0254 * 3 / 16)
    assert plan.vents.number >= 1


def test_the_run_goes_before_the_case_and_the_case_before_the_rule():
    case, model = plate()
    by_rule = plan_pour(case, model)
    assert by_rule.pouring_source == "by the rule iron-pouring-time"
    asked = replace(model, pour=Pour("rising", time=7.0))
    plan = plan_pour(case, asked)
    assert (plan.pouring_time, plan.pouring_source) == (7.0, "as the case asks")
    run = filled(synthetic_run(), fill_time=8.0)
    plan = plan_pour(case, asked, run)
    assert plan.pouring_time == 8.0
    assert plan.pouring_source.startswith("computed")
    assert plan.vents.area == pytest.approx(by_rule.vents.area * by_rule.pouring_time / 8.0)
    misrun = replace(run, fill=replace(run.fill, filled=0.0))
    for other in (misrun, synthetic_run()):  # the second was poured at once
        assert plan_pour(case, asked, other).pouring_time == 7.0
    endless = plan_pour(*plate(depth='"through"', feeder='"through"'), run)
    assert endless.pouring_time == 8.0
