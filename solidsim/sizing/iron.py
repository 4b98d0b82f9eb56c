"""What the composition of an iron says, both formulas side by side where two are in use."""

from typing import NamedTuple

from solidsim.materials import iron_formulas
from solidsim.sizing.kinds import Fraction, Temperature, TemperatureDifference

KARSAY_INDEX = 0.039


class CarbonEquivalent(NamedTuple):
    """Carbon equivalent, and how far it lies above (or below) the eutectic at 4.3 %."""

    carbon_equivalent: Fraction
    above_eutectic: Fraction


class IronLiquidus(NamedTuple):
    """Liquidus by the fitted form of 2020 and by the classical one, and their difference."""

    fitted: Temperature
    classical: Temperature
    difference: TemperatureDifference


class IronEutectic(NamedTuple):
    """Temperatures of the gray and the white eutectic, and the window between them."""

    graphite: Temperature
    carbide: Temperature
    window: TemperatureDifference


class IronGraphite(NamedTuple):
    """Eutectic graphite, volume change of the eutectic, and C + Si/7 against Karsay's 3.9 %."""

    graphite: Fraction
    volume_change: Fraction
    above_karsay: Fraction


def carbon_equivalent(
    carbon: Fraction, silicon: Fraction, phosphorus: Fraction = 0.0
) -> CarbonEquivalent:
    """Carbon equivalent of an iron.

    Parameters
    ----------
    carbon, silicon, phosphorus : float, [1]
        Mass fractions.

    Notes
    -----
    CE = C + (Si + P) / 3

    References
    ----------
    AFS form; eutectic at 4.3 %, for which Stefanescu 2021, IJMC, argues 4.2 %.
    """
    equivalent = iron_formulas.carbon_equivalent(carbon, silicon, phosphorus)
    return CarbonEquivalent(equivalent, equivalent - iron_formulas.EUTECTIC_CARBON_EQUIVALENT)


def iron_liquidus(
    carbon: Fraction,
    silicon: Fraction,
    phosphorus: Fraction = 0.0,
    manganese: Fraction = 0.0,
    sulfur: Fraction = 0.0,
    nickel: Fraction = 0.0,
    chromium: Fraction = 0.0,
) -> IronLiquidus:
    """Temperature at which austenite begins to freeze in a hypoeutectic iron, by two formulas.

    Parameters
    ----------
    carbon, silicon, phosphorus, manganese, sulfur, nickel, chromium : float, [1]
        Mass fractions.

    Notes
    -----
    fitted: 1625 - 110 C - 25 Si + 3 Mn - 35 P - 71 S - 2 Ni - 7 Cr;
    classical: 1664 - 124 (C + Si / 4 + P / 2)  (°C, weight percent)

    References
    ----------
    Fitted: Koriyama, Kanno et al. 2020, IJMC. Classical: from memory.
    """
    fitted = iron_formulas.austenite_liquidus(
        carbon, silicon, manganese, phosphorus, sulfur, nickel, chromium
    )
    classical = iron_formulas.austenite_liquidus_classical(carbon, silicon, phosphorus)
    return IronLiquidus(fitted, classical, fitted - classical)


def iron_eutectic(silicon: Fraction) -> IronEutectic:
    """Temperatures of the gray and the white eutectic; the wider the window, the less chill.

    Parameters
    ----------
    silicon : float, [1]
        Mass fraction.

    Notes
    -----
    gray: 1153 + 5 Si (4 to 6);  white: 1148 - 11 Si (10 to 12)  (°C, weight percent)

    References
    ----------
    From memory.
    """
    graphite = iron_formulas.graphite_eutectic_temperature(silicon)
    carbide = iron_formulas.carbide_eutectic_temperature(silicon)
    return IronEutectic(graphite, carbide, graphite - carbide)


def iron_graphite(carbon: Fraction, silicon: Fraction) -> IronGraphite:
    """Eutectic graphite of an iron, and whether it pays for the shrinkage of the eutectic.

    Parameters
    ----------
    carbon, silicon : float, [1]
        Mass fractions.

    Notes
    -----
    Gr = C - 1.30 + 0.1 Si;  dV = 2 (Gr - 2.80);  index = C + Si / 7 - 3.9  (percent)

    References
    ----------
    Heine, AFS; Karsay's condition for casting without feeders; from memory.
    """
    graphite = iron_formulas.eutectic_graphite(carbon, silicon)
    change = iron_formulas.eutectic_volume_change(graphite)
    return IronGraphite(graphite, change, carbon + silicon / 7.0 - KARSAY_INDEX)
