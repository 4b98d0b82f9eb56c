"""What stands on the sheet: the numbers of the plan, in the units of the user, and the cautions."""

import pytest
from synthetic_run import filled, findings, synthetic_run
from winch_plate import plate

from solidsim.criteria.finding import Finding
from solidsim.quantities import write_quantity
from solidsim.report.cautions import CAUTIONS, COPPER_CAUTION
from solidsim.report.pour_sheet import compose_sheet
from solidsim.report.pouring_plan import plan_pour

SHOP = 'crucible = "20 kg"\nholding_time = "2 min"\nfurnace_temperature = "1480 °C"'


def lines_of(sheet):
    return {line.label: line for block in sheet.blocks for line in block.lines}


def said_of(sheet):
    return {label: f"{line.value} {line.note}" for label, line in lines_of(sheet).items()}


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_numbers_are_those_of_the_plan(units):
    case, model = plate(SHOP, units=units)
    plan, said = plan_pour(case, model), said_of(compose_sheet(case, "plate", model))
    assert said["casting"].strip() == write_quantity(plan.weights.casting, "mass", units)
    assert write_quantity(plan.charge.charge, "mass", units) in said["charge"]
    assert write_quantity(plan.tap, "temperature", units) in said["tap at"]
    assert write_quantity(plan.room.room_left, "mass", units) in said["crucible"]
    assert write_quantity(plan.hottest, "temperature", units) in said["window"]
    foreign = {"metric": (" lb", " oz", "°F"), "inch": (" mm", " kg", "°C")}[units]
    for text in said.values():
        assert not any(f"{unit} " in f"{text} " for unit in foreign), text


def test_cope_weight_is_rounded_up_to_whole_weights():
    case, model = plate()
    needed = plan_pour(case, model).lift.added_weight_core_weight_ignored
    weight = float(lines_of(compose_sheet(case, "plate", model))["cope weight"].value.split()[0])
    assert needed <= weight < needed + 1.0


def test_trouble_is_said_in_capitals():
    shop = 'crucible = "2 kg"\nholding_time = "5 min"\nfurnace_temperature = "1380 °C"'
    said = said_of(compose_sheet(*named(plate(shop))))
    assert said["crucible"].startswith("TOO SMALL")
    assert said["furnace"].startswith("TOO COLD")


def test_what_is_not_known_says_what_it_needs():
    sheet = compose_sheet(*named(plate(depth='"through"', feeder='"through"')))
    said = said_of(sheet)
    assert said["weights"] == "not known needs the depth of every metal part"
    assert "lifted_area" in said["cope weight"]
    assert "solidsim pour" in said["not before"]
    assert "solidsim pour" in said["risks"]
    assert "stir in last" not in said


def test_cautions_always_stand_there():
    assert set(CAUTIONS) <= set(compose_sheet(*named(plate())).cautions)
    bronze = compose_sheet(*named(plate(alloy="tin-bronze", pour="1150 °C")))
    assert {COPPER_CAUTION, *CAUTIONS} <= set(bronze.cautions)
    assert not any(block.heading == "Inoculant" for block in bronze.blocks)


def test_a_run_tells_the_clock_and_what_to_watch():
    run = synthetic_run()
    found = findings(run.section, run.fields["freezing_time"])
    case, model = plate()
    said = said_of(compose_sheet(case, "plate", model, run, found))
    assert said["✗ fails"] == "hot spot in hub margin -2 min"
    assert "wire in pipe" not in said
    pipe = Finding("pipe", "pipe in feeder: 34 mm deep", "holds", 0.034, part="feeder")
    said = said_of(compose_sheet(case, "plate", model, run, [*found, pipe]))
    assert said["wire in pipe"] == "34 mm down feeder"
    assert "risks" not in said
    assert said_of(compose_sheet(case, "plate", model, run))["risks"].startswith("none found")


def test_assumptions_tell_given_preset_and_assumed():
    told = " ".join(compose_sheet(*named(plate())).assumptions)
    assert "Given: " in told
    assert "preset: gray-iron, green-sand" in told
    assert "rules: 10 % over, 3 % lost in melting, crucible filled to 90 %, factor 1.5" in told
    assert "assumed: " in told
    assert "cope's own weight is not counted" in told
    flask = " ".join(compose_sheet(*named(plate('flask = ["300 mm", "200 mm"]'))).assumptions)
    assert "cope's own weight" not in flask


def named(pair):
    case, model = pair
    return case, "plate", model


def test_the_sheet_says_whose_word_its_pouring_time_is():
    case, model = plate()
    assert (
        "by the rule iron-pouring-time" in said_of(compose_sheet(case, "plate", model))["pour in"]
    )
    run = filled(synthetic_run(), fill_time=8.2)
    line = lines_of(compose_sheet(case, "plate", model, run))["pour in"]
    assert (line.value, line.note) == ("8 s", "computed by its run")
