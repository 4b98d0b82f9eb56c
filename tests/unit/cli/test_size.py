import pytest

from solidsim.cli.output import BAD_INPUT
from solidsim.sizing import RULES, wanted

LIFT = ("cope-lift", "metal_density=7000 kg/m3", "head=100 mm", "lifted_area=200 cm2")
EXAMPLES = {  # a plain value of each kind; a rule may refuse it, but must then say why
    "length": "100 mm", "area": "20 cm2", "volume": "2 L", "mass": "20 kg", "time": "5 min",
    "velocity": "0.5 m/s", "density": "7000 kg/m3", "temperature": "1370 °C",
    "temperature-difference": "50 °C", "specific-heat": "850 J/kgK", "fraction": "0.2",
    "specific-energy": "200 kJ/kg", "conductivity": "0.8 W/mK", "flow-rate": "0.5 L/s",
    "number": "2", "pressure": "100 Pa", "cooling-rate": "10 °C/min", "contraction": "1 %",
    "mold-constant": "3 min/cm2",
}  # fmt: skip


def test_all_rules_are_listed_by_subject(ask):
    listed = ask("size").stdout
    assert all(f"  {rule.name} " in listed and rule.title in listed for rule in RULES.values())
    assert listed.index("cope lift\n") < listed.index("cope-lift ") < listed.index("feeder\n")


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_every_rule_says_formula_source_grade_and_needs(rule, ask):
    said = ask("size", rule.name).stdout
    assert f"formula  {rule.formula}" in said
    assert f"source   {rule.source}" in said
    assert f"grade    {rule.grade}" in said
    for argument in rule.arguments:
        line = next(line for line in said.splitlines() if line[2:].split()[:1] == [argument.name])
        if argument.default is None:
            assert wanted(argument) in line


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_every_rule_is_worked_or_says_what_is_impossible(rule, ask):
    given = [
        f"{each.name}={each.choices[0] if each.choices else EXAMPLES[each.kind]}"
        for each in rule.arguments
        if each.default is None
    ]
    result = ask("size", rule.name, *given)
    assert result.exit_code in (0, BAD_INPUT), result.output
    if result.exit_code == 0:
        assert f"source   {rule.source}" in result.stdout
        assert all(f"\n  {name} " in result.stdout for name in rule.results)
    else:
        assert any(word in result.stderr for word in ("must", "needs", "wanted"))


def test_worked_numbers_are_shown_with_what_was_assumed(ask):
    said = ask("size", *LIFT, "cope_weight=10 kg").stdout
    assert "\n~ safety_factor  1.5 " in said
    assert "  added_weight_textbook             11 kg" in said  # 1.5 x 7000 x 0.1 x 0.02 - 10


def test_units_of_the_answer(ask):
    given = ("weight", "density=7100 kg/m3", "volume=100 in3")
    assert "weight  11.6 kg" in ask("size", *given).stdout
    assert "weight  25 lb 10 oz" in ask("size", *given, "--units", "inch").stdout
    inches = ("weight", "density=0.2565 lb/in3", "volume=100 in3")
    assert "weight  25 lb 10 oz" in ask("size", *inches).stdout


def test_json_is_in_si(ask_json):
    document = ask_json("size", *LIFT, "cope_weight=10 kg")
    assert document["subject"] == "cope lift"
    assert document["arguments"]["head"] == {"value": 0.1, "kind": "length", "standing": "given"}
    assert document["arguments"]["safety_factor"]["standing"] == "assumed"
    assert document["results"]["added_weight_textbook"]["value"] == pytest.approx(11.0)
    assert len(ask_json("size")["rules"]) == len(RULES)
    assert ask_json("size", "weight")["arguments"][0]["kind"] == "volume"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (LIFT, 3, "cope-lift also needs cope_weight (a mass)"),
        (("cope-lifts", "head=1 in"), 3, "nearest: cope-lift"),
        (("weight", "volum=1 L"), 3, "did you mean volume?"),
        (("weight", "volume=-1 L", "density=1 kg/L"), 3, "volume must be above zero"),
        (("weight", "volume=1", "density=1 kg"), 3, "is a mass, not a density"),
        (("ladle-cooling", "ladle=bucket"), 3, "allowed: hand, drum-1t"),
        (("weight", "volume"), 2, '"volume" is no NAME=VALUE'),
        (("weight", "volume=1 L", "volume=2 L"), 2, "volume is given twice"),
    ],
)
def test_what_cannot_be_worked_says_what_is_needed(words, code, said, ask):
    result = ask("size", *words)
    assert result.exit_code == code
    assert said in result.stderr
