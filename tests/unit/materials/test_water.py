"""Water in molding sand against the international steam tables (IAPWS-IF97, package iapws)."""

import pytest
from iapws import IAPWS97

from solidsim.materials.moisture import (
    BOILING_POINT,
    HEAT_OF_EVAPORATION,
    SPECIFIC_HEAT_OF_WATER,
)

ATMOSPHERE = 0.101325  # MPa
WATER, STEAM = (IAPWS97(P=ATMOSPHERE, x=share) for share in (0, 1))


def test_the_steam_point():
    assert pytest.approx(WATER.T, abs=0.05) == BOILING_POINT


def test_the_heat_of_evaporation():
    assert pytest.approx((STEAM.h - WATER.h) * 1e3, rel=1e-3) == HEAT_OF_EVAPORATION


def test_the_heat_to_warm_water_to_its_steam_point():
    cold = IAPWS97(P=ATMOSPHERE, T=293.15)
    warming = SPECIFIC_HEAT_OF_WATER * (BOILING_POINT - 293.15)
    assert warming == pytest.approx((WATER.h - cold.h) * 1e3, rel=2e-3)
