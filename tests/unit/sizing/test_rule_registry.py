import math
from typing import get_args

import pytest

from solidsim.criteria.finding import Grade
from solidsim.errors import SizingError, SolidsimError
from solidsim.quantities import KINDS, write_quantity
from solidsim.sizing import RULES, find_rule, read_arguments, work, work_rule
from solidsim.sizing.gating import RATIOS
from solidsim.sizing.pouring import COPPER

# What must be given to each rule, as a founder writes it.
SAMPLES = {
    "weight": {"volume": "2.5 L", "density": "7100 kg/m3"},
    "casting-yield": {"casting_weight": "14 lb 5 oz", "rigging_weight": "6 lb"},
    "melt-charge": {"casting_weight": "12 kg", "rigging_weight": "6 kg"},
    "crucible-room": {"charge": "21 kg", "crucible_capacity": "30 kg"},
    "pattern-allowance": {"alloy": "gray-iron"},
    "pattern-size": {"finished_length": "12 in", "contraction": "1/8 in/ft"},
    "machining-stock": {"longest_side": "10 in"},
    "modulus": {"volume": "187.5 cm3", "cooling_area": "267.5 cm2"},
    "plate-modulus": {"thickness": "3/4 in"},
    "bar-modulus": {"width": "40 mm", "height": "20 mm"},
    "block-modulus": {"length": "12.5 cm", "width": "7.5 cm", "height": "2 cm"},
    "cylinder-modulus": {"diameter": "60 mm", "height": "90 mm"},
    "sphere-modulus": {"diameter": "100 mm"},
    "freezing-time": {"modulus": "7 mm", "mold_constant": "3.26 min/cm2"},
    "mold-constant": {"modulus": "7 mm", "freezing_time": "96 s"},
    "sand-mold-constant": {
        "freezing_temperature": "660 °C",
        "mold_temperature": "28 °C",
        "metal_density": "2700 kg/m3",
        "heat_released": "398 kJ/kg",
        "mold_conductivity": "0.6 W/mK",
        "mold_density": "1600 kg/m3",
        "mold_specific_heat": "1170 J/kgK",
    },
    "feeder-by-modulus": {"casting_modulus": "10 mm"},
    "feeder-by-volume": {"casting_volume": "1 L", "shrinkage": "5 %"},
    "feeder-by-caine": {
        "alloy": "steel",
        "casting_volume": "1 L",
        "casting_modulus": "10 mm",
        "feeder_modulus": "12 mm",
    },
    "feeder-neck": {"casting_modulus": "10 mm"},
    "feeding-distance": {"section": "plate", "thickness": "20 mm"},
    "shrinkage": {"alloy": "steel"},
    "iron-pouring-time": {"poured_weight": "20 kg", "section_thickness": "15 mm"},
    "steel-pouring-time": {"poured_weight": "20 kg"},
    "ductile-pouring-time": {"poured_weight": "20 kg"},
    "copper-pouring-time": {"poured_weight": "20 kg"},
    "quiet-pouring-time": {
        "poured_weight": "3 kg",
        "density": "2400 kg/m3",
        "gate_area": "300 mm2",
    },
    "effective-head": {
        "head": "250 mm",
        "casting_height": "200 mm",
        "height_above_gate": "100 mm",
    },
    "choke-area": {
        "poured_weight": "20 kg",
        "density": "6900 kg/m3",
        "pouring_time": "7.6 s",
        "effective_head": "8 in",
    },
    "sprue-taper": {"choke_area": "240 mm2", "basin_depth": "2 in", "sprue_height": "8 in"},
    "sprue-flow": {"sprue_height": "20 cm", "foot_area": "2.5 cm2", "cavity_volume": "1.56 L"},
    "gating-ratio": {"alloy": "aluminum"},
    "gating-areas": {"choke_area": "240 mm2"},
    "gate-speed": {
        "poured_weight": "20 kg",
        "density": "6900 kg/m3",
        "pouring_time": "7.6 s",
        "gate_area": "480 mm2",
    },
    "bottom-fill-time": {
        "casting_area": "100 cm2",
        "gate_area": "4 cm2",
        "head": "250 mm",
        "casting_height": "200 mm",
    },
    "emptying-time": {"vessel_area": "1 m2", "hole_area": "10 cm2", "start_depth": "1 m"},
    "core-lift": {
        "core_volume": "1875 cm3",
        "metal_density": "11.3 g/cm3",
        "core_density": "1.6 g/cm3",
    },
    "cope-lift": {
        "metal_density": "6900 kg/m3",
        "head": "8 in",
        "lifted_area": "60 in2",
        "cope_weight": "50 lb",
    },
    "vents-by-choke": {"choke_area": "240 mm2"},
    "vents-by-pressure": {"cavity_volume": "2.9 L", "pouring_time": "7.6 s"},
    "ladle-cooling": {"ladle": "hand"},
    "ladle-radiation": {
        "metal_weight": "100 kg",
        "open_area": "700 cm2",
        "metal_temperature": "1400 °C",
    },
    "pour-temperature": {"tap_temperature": "2700 °F", "holding_time": "2 min"},
    "tap-temperature": {"pour_temperature": "2500 °F", "holding_time": "2 min"},
    "inoculant-amount": {"metal_weight": "50 kg"},
    "fade-clock": {},
    "carbon-equivalent": {"carbon": "3.5 %", "silicon": "2.0 %"},
    "iron-liquidus": {"carbon": "3.5 %", "silicon": "2.0 %"},
    "iron-eutectic": {"silicon": "2.0 %"},
    "iron-graphite": {"carbon": "3.5 %", "silicon": "2.0 %"},
    "chilled-modulus": {"volume": "1 L", "cooling_area": "600 cm2", "chilled_area": "100 cm2"},
    "chill-face": {"volume": "1 L", "cooling_area": "600 cm2", "wanted_modulus": "12 mm"},
    "chill-weight": {"chilled_weight": "2 kg", "heat_released": "270 kJ/kg"},
}
EVERY_RULE = pytest.mark.parametrize("rule", RULES.values(), ids=RULES)


def sample(rule):
    return read_arguments(rule, SAMPLES[rule.name])


def test_every_rule_has_a_sample_and_stands_under_its_name():
    assert SAMPLES.keys() == RULES.keys()
    assert all(rule.name == name for name, rule in RULES.items())


@EVERY_RULE
def test_a_rule_says_what_it_is_and_on_whose_word(rule):
    assert rule.title.endswith(".")
    assert rule.formula
    assert rule.source
    assert rule.grade in get_args(Grade)
    if "from memory" in rule.source or "no source" in rule.source:
        assert rule.grade == "estimated"


@EVERY_RULE
def test_kinds_are_known_and_defaults_are_allowed(rule):
    for argument in rule.arguments:
        assert argument.kind in KINDS or argument.choices
        if argument.default is not None:
            assert argument.check(argument.default) == argument.default
    assert all(kind in KINDS or kind == "text" for kind in rule.results.values())


@EVERY_RULE
def test_worked_by_name_from_texts(rule):
    worked = work_rule(rule.name, sample(rule))
    assert worked.results.keys() == rule.results.keys()
    assert worked.arguments.keys() == {argument.name for argument in rule.arguments}
    assert worked.defaults == worked.arguments.keys() - SAMPLES[rule.name].keys()
    for name, value in worked.results.items():
        if rule.results[name] != "text":
            assert math.isfinite(value)
            assert write_quantity(value, rule.results[name], "inch")


@EVERY_RULE
def test_what_is_missing_is_asked_for(rule):
    for name in SAMPLES[rule.name]:
        given = {other: value for other, value in sample(rule).items() if other != name}
        with pytest.raises(SizingError, match=f"{rule.name} also needs {name} \\("):
            work(rule, given)


@EVERY_RULE
@pytest.mark.parametrize("value", [-1e3, math.nan, math.inf])
def test_impossible_numbers_are_refused(rule, value):
    for argument in rule.arguments:
        if not argument.choices:
            with pytest.raises(SizingError, match=argument.name.replace("_", " ")):
                work(rule, sample(rule) | {argument.name: value})


@EVERY_RULE
def test_unknown_choices_are_refused(rule):
    for argument in rule.arguments:
        if argument.choices:
            with pytest.raises(SizingError, match='"mud" is not known; allowed: '):
                work(rule, sample(rule) | {argument.name: "mud"})
            with pytest.raises(SizingError, match="is not known; allowed: "):
                rule.function(**sample(rule) | {argument.name: "mud"})


def test_tables_are_printed_as_they_are_used():
    for alloy, shares in RATIOS.items():
        said = " : ".join(f"{share:g}" for share in shares)
        assert f"{alloy.replace('-', ' ')} {said}" in RULES["gating-ratio"].formula
    for alloy, constant in COPPER.items():
        words = alloy.replace("-", " ")
        assert f"{constant:g} {words}" in RULES["copper-pouring-time"].formula


@pytest.mark.parametrize(
    ("name", "argument", "default"),
    [
        ("feeder-by-modulus", "modulus_ratio", 1.2),  # Wlodawer 1 : 1.1 : 1.2
        ("feeder-neck", "modulus_ratio", 1.1),
        ("feeder-by-modulus", "sleeve_factor", 1.0),
        ("feeder-by-volume", "feed_efficiency", 0.14),
        ("choke-area", "discharge_coefficient", 0.8),
        ("emptying-time", "discharge_coefficient", 0.61),
        ("gate-speed", "velocity_limit", 0.5),
        ("quiet-pouring-time", "velocity_limit", 0.5),
        ("cope-lift", "safety_factor", 1.5),
    ],
)
def test_defaults_that_carry_a_rule(name, argument, default):
    assert {each.name: each.default for each in RULES[name].arguments}[argument] == default


def test_unknown_names_come_with_the_nearest():
    with pytest.raises(SizingError, match='no rule is called "choke"; nearest: choke-area'):
        find_rule("choke")
    with pytest.raises(SizingError, match=r"takes no poured_wieght; did you mean poured_weight\?"):
        work_rule("choke-area", {"poured_wieght": 20.0})
    with pytest.raises(SizingError, match="weight takes no color; it takes volume, density"):
        work_rule("weight", {"color": "red"})


def test_a_hyphen_is_as_good_as_an_underscore():
    read = read_arguments(RULES["sphere-modulus"], {"diameter": "1 in"})
    assert work_rule("sphere-modulus", read).results["sphere_modulus"] == pytest.approx(0.0254 / 6)
    assert read_arguments(RULES["weight"], {"density": "1 g/cm3"}) == {"density": 1000.0}
    assert read_arguments(RULES["melt-charge"], {"casting-weight": "1 kg"}) == {
        "casting-weight": 1.0
    }


def test_all_faults_of_the_texts_at_once():
    texts = {"poured_weight": "20 mm", "density": "7", "gates": "2", "pouring_time": "7 s"}
    with pytest.raises(SizingError) as caught:
        read_arguments(RULES["choke-area"], texts)
    faults = str(caught.value).splitlines()
    assert [fault.split(":")[0].split(";")[0] for fault in faults] == [
        "poured_weight",
        "density",
        "choke-area takes no gates",
    ]
    assert 'is a length, not a mass; a mass in g, kg, t, oz, lb; write "20 g"' in faults[0]
    assert isinstance(caught.value, ValueError)
    assert isinstance(caught.value, SolidsimError)


def test_texts_are_no_numbers_and_numbers_no_choices():
    with pytest.raises(SizingError, match="volume: '2 L' is not a number in SI"):
        work_rule("weight", {"volume": "2 L", "density": 7000.0})
    with pytest.raises(SizingError, match='alloy: "3" is not known; allowed: gray-iron'):
        work_rule("pattern-allowance", {"alloy": 3})
