"""Drying and burning: each kernel against its twin, on random cells."""

import numpy as np
import pytest
from naive_lasting import burnt, dried

from solidsim.conduction import lasting_kernels as kernels
from solidsim.conduction.lasting_kernels import Lasting
from solidsim.conduction.material_tables import (
    enthalpy_of,
    pack_tables,
    segments_of,
    temperature_of,
)
from solidsim.materials import library_material

SAND, STEEL, DRIED = 0, 1, 3


@pytest.fixture(scope="module")
def tables():
    curves = [library_material(name).curve for name in ("green-sand", "steel-chill")]
    moist = {SAND: library_material("green-sand").dried}
    return pack_tables(curves, [300.0], 290.0, 1700.0, 50.0, moist)


def test_dry_moves_what_is_past_the_plateau(rng, tables):
    sand = library_material("green-sand")
    material = rng.integers(0, 2, (9, 11)).astype(np.uint8)
    h = np.where(
        material == SAND,
        sand.curve.enthalpy_at(rng.uniform(290.0, 1200.0, material.shape)),
        library_material("steel-chill").curve.enthalpy_at(rng.uniform(290.0, 1200.0)),
    )
    h.flat[:3] = sand.curve.zones[1].enthalpy.mean()  # half dry
    material.flat[:3] = SAND
    first = tables.first
    shift = np.array([first[DRIED] - first[SAND], 0.0, 0.0, 0.0])
    dry_end = sand.curve.zones[-1].enthalpy[0]
    dry_at = np.full(4, np.inf)
    dry_at[SAND] = segments_of(tables, np.array([SAND]), np.array([dry_end]))[0]
    rows = np.array([DRIED, STEEL, 2, DRIED], np.uint8)
    nothing = np.zeros(4)
    u, after = segments_of(tables, material, h), material.copy()
    before = temperature_of(tables, u)
    kernels.dry(u, after, Lasting(dry_at, rows, shift, nothing, nothing, nothing))
    for place in np.ndindex(*h.shape):
        expected = dried(h[place], material[place], {SAND: sand.curve}, {SAND: DRIED})
        assert after[place] == expected
    assert {SAND, STEEL, DRIED} == set(after.flat)
    np.testing.assert_allclose(enthalpy_of(tables, after, u), h, rtol=1e-12)
    np.testing.assert_allclose(temperature_of(tables, u), before, atol=0.05)


def test_dried_sand_holds_only_the_heat_of_its_grains(tables):
    sand = library_material("green-sand")
    h = sand.dried.enthalpy_at(np.array([[293.15, 350.0, 373.0]]))
    u = segments_of(tables, np.full(h.shape, DRIED, np.uint8), h)
    np.testing.assert_allclose(temperature_of(tables, u), [[293.15, 350.0, 373.0]], atol=0.1)


def test_burn_lights_and_burns_each_cell(rng):
    shape = (8, 7)
    material = rng.integers(0, 2, shape).astype(np.uint8)
    left = np.where(material == 0, rng.choice([0.0, 0.004, 0.3, 1.0, 2.0], shape), 0.0)
    T = rng.uniform(700.0, 1000.0, shape)
    u, inverse_C = rng.uniform(0.0, 50.0, shape), rng.uniform(1.0, 3.0, shape)
    length, ignition, duration, rise = 1.2, 873.15, 90.0, 40.0
    expected_left, expected_u, heat = left.copy(), u.copy(), 0.0
    for place in np.ndindex(*shape):
        expected_left[place], gain = burnt(length, T[place], left[place], ignition, duration, rise)
        expected_u[place] += gain
        heat += gain / inverse_C[place]
    one, none = np.ones(2), np.full(2, np.inf)
    lasting = Lasting(
        none,
        np.arange(2, dtype=np.uint8),
        0.0 * one,
        np.array([ignition, np.inf]),
        rise * one,
        duration * one,
    )
    assert kernels.burn(length, u, T, inverse_C, material, left, lasting) == pytest.approx(heat)
    np.testing.assert_allclose(left, expected_left)
    np.testing.assert_allclose(u, expected_u)
