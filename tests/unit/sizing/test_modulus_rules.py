"""Published answers: Groover, Fundamentals of Modern Manufacturing, chapter 10 and its exercise
sheets; Kalpakjian & Schmid, chapter on casting; GATE 2015."""

import math

import pytest

from solidsim.errors import SizingError
from solidsim.quantities import in_unit, read_quantity
from solidsim.sizing.modulus import (
    bar_modulus,
    block_modulus,
    cylinder_modulus,
    freezing_time,
    modulus,
    mold_constant,
    plate_modulus,
    sand_mold_constant,
    sphere_modulus,
)


def constant(text):
    return read_quantity(text, "mold-constant")


def test_groover_10_3_plate():
    plate = block_modulus(0.075, 0.125, 0.020)
    assert round(100 * plate, 4) == 0.7009
    found = in_unit(mold_constant(plate, 1.6 * 60), "mold-constant", "min/cm2")
    assert round(found, 2) == 3.26


def test_steel_plate():
    assert modulus(600e-6, 760e-4) == pytest.approx(block_modulus(0.30, 0.10, 0.02))
    assert round(freezing_time(modulus(600e-6, 760e-4), constant("4.0 min/cm2")) / 60, 2) == 2.49


@pytest.mark.parametrize(
    ("diameter", "height", "given", "seconds", "digits"),
    [(0.500, 0.020, "2.0 s/mm2", 171.5, 1), (0.650, 0.016, "3.2 s/mm2", 186, 0)],
)
def test_aluminum_disks(diameter, height, given, seconds, digits):
    time = freezing_time(cylinder_modulus(diameter, height), constant(given))
    assert round(time, digits) == seconds


def test_constant_from_a_cube_then_a_cylinder():
    found = mold_constant(block_modulus(0.05, 0.05, 0.05), 155.0)
    assert round(in_unit(found, "mold-constant", "s/mm2"), 3) == 2.232
    cylinder = cylinder_modulus(0.030, 0.050)
    assert round(1000 * cylinder, 2) == 5.77
    assert round(freezing_time(cylinder, found), 1) == 74.3


def test_sphere_cube_and_cylinder_of_one_size():
    shapes = sphere_modulus(0.1), block_modulus(0.1, 0.1, 0.1), cylinder_modulus(0.1, 0.1)
    for found in shapes:
        assert round(100 * found, 4) == 1.6667
        assert round(freezing_time(found, constant("3.5 min/cm2")) / 60, 2) == 9.72


def test_kalpakjian_unit_volume():
    sphere = sphere_modulus((6.0 / math.pi) ** (1 / 3))
    cylinder = cylinder_modulus(*2 * [(4.0 / math.pi) ** (1 / 3)])
    assert round(sphere**2, 5) == 0.04276
    assert round(block_modulus(1.0, 1.0, 1.0) ** 2, 5) == 0.02778
    assert round(cylinder**2, 5) == 0.03263


def test_cylinder_against_cube():
    assert (cylinder_modulus(1.0, 1.0) / block_modulus(2.0, 2.0, 2.0)) ** 2 == pytest.approx(0.25)
    gate_2015 = (cylinder_modulus(2.0, 1.0) / block_modulus(2.0, 2.0, 2.0)) ** 2
    assert gate_2015 == pytest.approx(0.5625)


def test_limits_of_the_shapes():
    assert cylinder_modulus(0.04, 1e6) == pytest.approx(0.01)
    assert cylinder_modulus(0.04, 0.06, cooling_ends=0) == pytest.approx(0.01)
    assert bar_modulus(0.02, 1e6) == pytest.approx(plate_modulus(0.02))
    assert block_modulus(1e6, 0.03, 0.05) == pytest.approx(bar_modulus(0.03, 0.05))


@pytest.mark.parametrize(
    ("melting", "density", "latent", "expected"),
    [  # k 0.6 W/mK, c 1170 J/kgK, rho 1600 kg/m3, 28 °C; closed form of Flemings 1974, p. 12
        ("1535 °C", 7210.0, 272e3, 1.974),
        ("660 °C", 2700.0, 398e3, 3.369),
        ("1083 °C", 8900.0, 205e3, 3.485),
    ],
)
def test_sand_constants_of_pure_metals(melting, density, latent, expected):
    found = sand_mold_constant(
        read_quantity(melting, "temperature"), 301.15, density, latent, 0.6, 1600.0, 1170.0
    )
    assert round(in_unit(found, "mold-constant", "min/cm2"), 3) == expected


def test_steel_shell_and_brass_in_other_units():
    """0.885 mm/s^1/2 is 1.277 s/mm2 or 2.13 min/cm2; Askeland's 22 min/in2 is 3.41 min/cm2."""
    shell = mold_constant(0.885e-3, 1.0)
    assert round(in_unit(shell, "mold-constant", "s/mm2"), 3) == 1.277
    assert round(in_unit(shell, "mold-constant", "min/cm2"), 2) == 2.13
    assert round(in_unit(constant("22 min/in2"), "mold-constant", "min/cm2"), 2) == 3.41


def test_a_mold_as_hot_as_the_metal_is_refused():
    with pytest.raises(SizingError, match="mold temperature must be less than freezing temp"):
        sand_mold_constant(900.0, 900.0, 2700.0, 398e3, 0.6, 1600.0, 1170.0)
    with pytest.raises(SizingError, match="cooling ends must be a whole number from 0 to 2"):
        cylinder_modulus(0.1, 0.1, 3)
