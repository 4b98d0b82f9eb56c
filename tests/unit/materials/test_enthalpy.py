"""Enthalpy curves against the exact integral, for textbook materials and for every card."""

from itertools import pairwise

import numpy as np
import pytest

from solidsim.materials import library_material, library_names
from solidsim.materials.enthalpy import enthalpy_curve
from solidsim.materials.property_table import PropertyTable
from solidsim.materials.solid_fraction import isothermal, linear, scheil
from solidsim.quantities import ZERO_CELSIUS, read_quantity

CARDS = library_names()


def table(card, key, kind):
    """Nodes [K] and values in SI of one table of a card, read with plain loops."""
    entry = card[key]
    rows = entry.get("table", [["20 °C", entry.get("value")]])
    nodes = [read_quantity(row[0], "temperature") for row in rows]
    return nodes, [read_quantity(str(row[1]), kind) for row in rows]


def sensible(card, start, end):
    """Integral of c_p dT of a card without water, [J/kg]: a trapezoid a hundredth of a kelvin."""
    nodes, values = table(card, "specific_heat", "specific-heat")
    fine = np.linspace(start, end, round(abs(end - start) * 100) + 1)
    return np.trapezoid(np.interp(fine, nodes, values), fine)


def test_the_stefan_material_by_hand():
    solid_to_liquid = PropertyTable(np.full(2, 900.0), np.array([210.0, 95.0]))
    curve = enthalpy_curve(
        2500.0, PropertyTable.constant(1000.0), solid_to_liquid, isothermal(900.0), 4e5
    )
    solid, change, liquid = curve.zones
    assert solid.enthalpy[-1] == pytest.approx(2500.0 * 1000.0 * (900.0 - 298.15), rel=1e-14)
    assert change.enthalpy[-1] - change.enthalpy[0] == pytest.approx(2500.0 * 4e5, rel=1e-14)
    assert list(change.temperature) == [900.0, 900.0]
    assert list(change.solid_fraction) == [1.0, 0.0]
    assert list(change.conductivity) == [210.0, 95.0]
    assert (solid.conductivity[-1], liquid.conductivity[0]) == (210.0, 95.0)
    middle = np.array([0.5 * (change.enthalpy[0] + change.enthalpy[-1])])
    assert curve.solid_fraction_at(middle) == pytest.approx(0.5)
    assert float(curve.enthalpy_at(900.0)) == change.enthalpy[-1]
    assert float(curve.enthalpy_at(900.0, molten=False)) == change.enthalpy[0]


def test_constant_properties_need_two_nodes_a_zone():
    curve = enthalpy_curve(
        7000.0,
        PropertyTable.constant(700.0),
        PropertyTable.constant(30.0),
        linear(1413.15, 1463.15, 0.2),
        2e5,
    )
    assert [zone.enthalpy.size for zone in curve.zones] == [2, 2, 2, 2]


@pytest.mark.parametrize("name", CARDS)
def test_zones_join_and_rise(name):
    zones = library_material(name).curve.zones
    assert len(zones) <= 4
    for zone in zones:
        assert np.all(np.diff(zone.enthalpy) > 0)
        assert np.all(np.diff(zone.temperature) >= 0)
        assert np.all(np.diff(zone.solid_fraction) <= 0)
        assert np.all(zone.conductivity > 0)
        even = np.linspace(zone.enthalpy[0], zone.enthalpy[-1], zone.enthalpy.size)
        assert zone.enthalpy == pytest.approx(even, rel=1e-12)
    for below, above in pairwise(zones):
        assert below.enthalpy[-1] == pytest.approx(above.enthalpy[0], rel=1e-14)
        assert below.temperature[-1] == above.temperature[0]
        assert below.solid_fraction[-1] == pytest.approx(above.solid_fraction[0], abs=1e-14)


@pytest.mark.parametrize("name", CARDS)
def test_heat_from_cold_to_liquid_is_sensible_plus_latent(name):
    material = library_material(name)
    card = material.card
    start, end = material.curve.zones[0].temperature[0], material.curve.zones[-1].temperature[-1]
    total = material.curve.zones[-1].enthalpy[-1] - material.curve.zones[0].enthalpy[0]
    if "moisture" in card:
        water = read_quantity(card["moisture"]["value"], "fraction")
        expected = (1 - water) * sensible(card, start, end)
        expected += water * (4190.0 * (ZERO_CELSIUS + 100.0 - start) + 2.2564e6)
    else:
        expected = sensible(card, start, end) + material.latent_heat
    # the trapezoid's own error at kinks is 1e-9
    assert total == pytest.approx(material.density * expected, rel=1e-8)


@pytest.mark.parametrize("name", CARDS)
def test_temperature_and_enthalpy_go_there_and_back(name):
    curve = library_material(name).curve
    temperature = np.linspace(210.0, 2490.0, 5001)
    assert curve.temperature_at(curve.enthalpy_at(temperature)) == pytest.approx(
        temperature, abs=1e-9
    )


@pytest.mark.parametrize("name", [name for name in CARDS if name != "green-sand"])
def test_temperature_lies_within_a_twentieth_kelvin_of_the_exact_integral(name):
    """Exact: c_p of the card outside its freezing range, by trapezoids of a twentieth kelvin."""
    material = library_material(name)
    nodes, values = table(material.card, "specific_heat", "specific-heat")
    for zone in material.curve.zones:
        if zone.solid_fraction[0] == zone.solid_fraction[-1]:
            low, high = zone.temperature[0], zone.temperature[-1]
            fine = np.linspace(low, high, round((high - low) * 20) + 1)
            heat = np.interp(fine, nodes, values)
            exact = np.cumsum(0.5 * (heat[1:] + heat[:-1]) * np.diff(fine))
            enthalpy = zone.enthalpy[0] + material.density * exact
            found = material.curve.temperature_at(np.minimum(enthalpy, zone.enthalpy[-1]))
            assert np.max(np.abs(found - fine[1:])) < 0.05


def test_a_scheil_alloy_follows_its_formula_in_the_mush():
    """h = rho [c_p (T - 298.15 K) + L (1 - fs)] with Scheil's fs, to 0.05 K and 0.2 %."""
    heat, latent, partition, pure, liquidus = 1100.0, 4e5, 0.13, 933.0, 888.0
    curve = enthalpy_curve(
        2500.0,
        PropertyTable.constant(heat),
        PropertyTable.constant(100.0),
        scheil(liquidus, pure, partition, 850.0),
        latent,
    )
    temperature = np.linspace(850.001, liquidus, 4000)
    liquid = ((pure - temperature) / (pure - liquidus)) ** (1 / (partition - 1))
    enthalpy = 2500.0 * (heat * (temperature - 298.15) + latent * liquid)
    assert curve.temperature_at(enthalpy) == pytest.approx(temperature, abs=0.05)
    assert curve.solid_fraction_at(enthalpy) == pytest.approx(1 - liquid, abs=0.002)


def test_water_boils_away_on_a_plateau():
    material = library_material("green-sand")
    plateau = material.curve.zones[1]
    assert list(plateau.temperature) == [373.15, 373.15]
    heat = plateau.enthalpy[-1] - plateau.enthalpy[0]
    assert heat == pytest.approx(material.density * 0.035 * 2.2564e6, rel=1e-12)
    assert np.all(plateau.solid_fraction == 1.0)
    assert plateau.conductivity[0] > 5 > 1 > plateau.conductivity[-1]


@pytest.mark.parametrize("name", [n for n in library_names() if library_material(n).latent_heat])
@pytest.mark.parametrize("share", [0.05, 0.4, 0.7, 0.95])
def test_enthalpy_where_so_much_is_solid(name, share):
    curve = library_material(name).curve
    found = curve.enthalpy_at_solid_fraction(share)
    assert float(curve.solid_fraction_at(np.array(found))) == pytest.approx(share, abs=1e-9)


def test_all_solid_is_at_the_solidus():
    metal = library_material("gray-iron")
    at_solidus = metal.curve.enthalpy_at(metal.solidus, molten=False)
    assert metal.curve.enthalpy_at_solid_fraction(1.0) == pytest.approx(float(at_solidus))
