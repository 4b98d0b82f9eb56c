"""Cards with faults, and cards written in a case."""

import copy

import pytest

from solidsim.materials import build_material, read_card

INLINE = {
    "density": "2550 kg/m3",
    "specific_heat": "1176 J/kgK",
    "conductivity": [["20 °C", "210 W/mK"], ["660 °C", "210 W/mK"], ["660 °C", "95 W/mK"]],
    "latent_heat": "353 kJ/kg",
    "solid_fraction": {"curve": "isothermal", "temperature": "660 °C"},
}


def build(data, standing):
    faults = []
    material = build_material(
        "x", data, standing=standing, report=lambda *fault: faults.append(fault)
    )
    assert (material is None) == bool(faults)
    return material, faults


def test_a_case_may_give_bare_values():
    material, _ = build(INLINE, "given")
    assert material.kind == "alloy"
    assert (material.density, material.latent_heat) == (2550.0, 353e3)
    assert material.solidus == material.liquidus == 933.15
    standings = {own.key: (own.standing, own.source) for own in material.properties}
    assert standings["density"] == ("given", "the case")
    assert standings["emissivity"] == ("assumed", "common practice, no source")
    assert material.card["latent_heat"] == "353 kJ/kg"


def test_a_metal_without_latent_heat_never_melts():
    data = {key: INLINE[key] for key in ("density", "specific_heat", "conductivity")}
    material, _ = build(data | {"kind": "alloy"}, "given")
    assert material.latent_heat == 0.0
    assert material.solidus != material.solidus


def test_density_in_the_heat_balance_is_that_of_the_solid_at_the_solidus():
    table = [["20 °C", "2700 kg/m3"], ["660 °C", "2560 kg/m3"], ["660 °C", "2380 kg/m3"]]
    material, _ = build(INLINE | {"density": table}, "given")
    assert material.density == pytest.approx(2560.0)


def broken(**changes):
    data = copy.deepcopy(read_card("tin-bronze"))
    for key, value in changes.items():
        first, _, second = key.partition("__")
        if second and value is None:
            del data[first][second]
        elif second:
            data[first][second] = value
        elif value is None:
            del data[first]
        else:
            data[first] = value
    return data


SOURCED = {"source": "a book", "grade": "handbook"}
BROKEN = {
    "negative conductivity": (
        broken(conductivity={"value": "-40 W/mK", **SOURCED}),
        (("conductivity", "value"), '"-40 W/mK"', "above 0"),
    ),
    "solidus above liquidus": (
        broken(
            solid_fraction={
                "curve": "linear",
                "solidus": "1000 °C",
                "liquidus": "980 °C",
                **SOURCED,
            }
        ),
        (("solid_fraction", "solidus"), "1000 °C", "below the liquidus, 980 °C"),
    ),
    "table not rising": (
        broken(density__table=[["20 °C", "7150 kg/m3"], ["10 °C", "7000 kg/m3"]]),
        (("density", "table"), "a table that does not rise", "rising temperatures"),
    ),
    "unknown unit": (
        broken(latent_heat__value="192 kJ/lug"),
        (("latent_heat", "value"), "unknown unit", "kJ/kg"),
    ),
    "missing source": (
        broken(density__source=None),
        (("density", "source"), "no source", "where the value comes from"),
    ),
    "unknown grade": (
        broken(density__grade="guessed"),
        (("density", "grade"), "guessed", "measured, handbook, estimated"),
    ),
    "unknown key": (
        broken(conductvity="40 W/mK"),
        (("conductvity",), "unknown key", "conductivity"),
    ),
    "missing key": (
        broken(specific_heat=None),
        (("specific_heat",), "nothing", "a specific heat is needed"),
    ),
    "bare number": (
        broken(latent_heat__value=192000),
        (("latent_heat", "value"), "192000", "with its unit"),
    ),
    "value without source": (
        broken(latent_heat="192 kJ/kg"),
        (("latent_heat",), "192 kJ/kg", "source and grade"),
    ),
    "range beside the value": (
        broken(latent_heat__range=["100 kJ/kg", "150 kJ/kg"]),
        (("latent_heat", "range"), "100 kJ/kg", "a range that holds the value"),
    ),
    "latent heat without a freezing range": (
        broken(solid_fraction=None),
        (("solid_fraction",), "nothing", "latent_heat needs it beside"),
    ),
    "unknown curve": (
        broken(solid_fraction__curve="sceil"),
        (("solid_fraction", "curve"), "sceil", "isothermal, linear, lever, scheil, table"),
    ),
    "solid fraction that rises": (
        broken(
            solid_fraction={
                "curve": "table",
                "table": [["1140 °C", 0.0], ["1180 °C", 1.0]],
                **SOURCED,
            }
        ),
        (("solid_fraction", "table"), "another course", "falling from 1"),
    ),
    "unknown kind": (broken(kind="metal"), (("kind",), "metal", "alloy, mold, chill")),
    "moist metal": (
        broken(moisture={"value": "3 %", **SOURCED}),
        (("moisture",), "moisture in a metal", "mold materials only"),
    ),
    "below absolute zero": (
        broken(density__table=[["-300 °C", "7150 kg/m3"], ["10 °C", "7000 kg/m3"]]),
        (("density", "table", 0, 0), "below absolute zero", "at least -273.15 °C"),
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_card_is_refused_with_its_key_and_reason(name):
    data, (key, given, allowed) = BROKEN[name]
    _, faults = build(data, "preset")
    assert len(faults) == 1
    found = faults[0]
    assert found[0] == key
    assert given in found[1]
    assert allowed in found[2] + found[3]


def test_all_faults_come_at_once():
    data = broken(density__source=None, latent_heat__value="2 kg", conductvity="1", kind="tin")
    _, faults = build(data, "preset")
    assert {fault[0][0] for fault in faults} == {"density", "latent_heat", "conductvity", "kind"}
