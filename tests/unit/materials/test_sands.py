"""Molding sands from their make-up."""

import pytest

from solidsim.materials import build_material, interface_between, library_material
from solidsim.materials.sands import Sand, minerals, permeability_from_afs, vapor_conductivity
from solidsim.quantities import STEFAN_BOLTZMANN, ZERO_CELSIUS

GREEN = Sand("silica", 0.25e-3, 0.62, 0.50, 1580.0, 0.035)


def build(**changes):
    faults = []
    material = build_material(
        "x",
        {"base": "green-sand", **changes},
        standing="given",
        report=lambda *fault: faults.append(fault),
    )
    return material, faults


def conductivity(material, celsius):
    return material.curve.conductivity_at(material.curve.enthalpy_at(celsius + ZERO_CELSIUS))


@pytest.mark.parametrize(
    ("celsius", "heat", "slope", "pressure"),
    [
        (40, 2406.0e3, 0.0025737, 7384.4),
        (60, 2357.7e3, 0.0056666, 19945.8),
        (80, 2308.1e3, 0.0111345, 47414.7),
        (90, 2282.6e3, 0.0150631, 70182.4),
    ],
)
def test_vapor_carries_what_steam_tables_say(celsius, heat, slope, pressure):
    """L D P/(P - p) drho/dT with L, drho/dT and p of IAPWS-IF97 (package iapws 1.5.5)."""
    diffusivity = 2.17e-5 * ((celsius + ZERO_CELSIUS) / ZERO_CELSIUS) ** 1.88
    expected = heat * diffusivity * slope * 101325.0 / (101325.0 - pressure)
    assert vapor_conductivity(celsius + ZERO_CELSIUS) == pytest.approx(expected, rel=0.06)


def test_moist_sand_by_hand():
    """Johansen: porosity 0.4247, a 13 % filled pore, Kersten number 0.347, 1.01 W/mK; and vapor."""
    soaked = 7.7**0.57534 * 0.6**0.42466
    loose = (0.135 * 1524.7 + 64.7) / (2650 - 0.947 * 1524.7)
    bridges = loose + 0.34738 * (soaked - loose)
    vapor = (0.42466 - 0.0553) * vapor_conductivity(293.15)
    assert GREEN.moist_conductivity(293.15) == pytest.approx(bridges + vapor, rel=1e-3)


def test_dry_sand_by_hand():
    """Contacts 0.50 and 4 x 0.7 sigma d T^3 at 1400 °C."""
    radiation = 4 * 0.7 * STEFAN_BOLTZMANN * 0.25e-3 * 1673.15**3
    assert GREEN.dry_conductivity(1673.15) == pytest.approx(0.50 + radiation)
    assert GREEN.dry_conductivity(293.15) == pytest.approx(0.62, abs=1.1e-3)


def test_radiation_makes_sand_conduct_better_when_hot():
    dip = min(GREEN.dry_conductivity(t + ZERO_CELSIUS) for t in range(20, 1600, 20))
    assert GREEN.dry_conductivity(1800.0) > 1.2 * dip
    coarse = Sand("silica", 0.5e-3, 0.62, 0.50, 1580.0)
    assert coarse.dry_conductivity(1700.0) > GREEN.dry_conductivity(1700.0)


def test_a_case_changes_the_moisture_and_all_follows():
    dry_day, _ = build(moisture="2.5 %")
    usual = library_material("green-sand")
    assert conductivity(dry_day, 20) < conductivity(usual, 20)
    assert conductivity(dry_day, 400) == pytest.approx(conductivity(usual, 400))
    plateau = dry_day.curve.zones[1]
    heat = plateau.enthalpy[-1] - plateau.enthalpy[0]
    assert heat == pytest.approx(dry_day.density * 0.025 * 2.2564e6)


def test_a_case_changes_the_grain():
    coarse, _ = build(sand={"grain_size": "0.6 mm"})
    assert conductivity(coarse, 1300) > conductivity(library_material("green-sand"), 1300)
    standing = {own.key: own.standing for own in coarse.properties}
    assert standing["sand.grain_size"] == "given"
    assert standing["sand.cold_contact"] == "preset"


def test_an_unknown_grain_is_named():
    _, faults = build(sand={"grain": "quarz"})
    assert [fault[0] for fault in faults] == [("sand", "grain")]
    assert "silica" in faults[0][2]


def test_grains_are_denser_than_the_sand_they_make():
    names = ("dry-silica-sand", "olivine-sand", "zircon-sand", "chromite-sand", "ceramic-bead-sand")
    for name in names:
        material = library_material(name)
        grain = minerals()[material.card["sand"]["grain"]]["grain_density"]
        assert 0.3 < 1 - material.density / float(grain.split()[0]) < 0.5


def test_permeability_by_hand():
    """AFS 100: 1 cm/s at 58.8 Pa/cm in air of 18.1 µPa s is 3.08e-11 m2."""
    speed = 100 * 1e-2 / 60
    gradient = 98.0665 / 1e-2
    assert permeability_from_afs(100) == pytest.approx(speed * 1.81e-5 / gradient, rel=1e-3)
    assert library_material("green-sand").permeability == pytest.approx(3.076e-11)
    assert library_material("green-sand").gas == pytest.approx(0.02)


def test_a_wash_stands_in_series_with_the_joint():
    iron, bare = library_material("gray-iron"), library_material("iron-chill")
    coated = library_material("iron-mold")
    assert coated.coating_resistance == pytest.approx(0.2e-3 / 0.3)
    one, other = interface_between(iron, bare), interface_between(iron, coated)
    assert 1 / other.conductance == pytest.approx(1 / one.conductance + 0.2e-3 / 0.3)


def test_an_exothermic_sleeve_says_what_it_gives_off():
    reaction = library_material("exothermic-sleeve").reaction
    assert (reaction.ignition_temperature, reaction.heat, reaction.duration) == (873.15, 1.5e6, 90)
