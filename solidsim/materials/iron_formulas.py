"""What the composition of a graphitic iron says: carbon equivalent, freezing points, graphite.

Composition in mass fractions (3.5 % carbon is 0.035), temperatures in kelvin.
"""

from solidsim.errors import SizingError
from solidsim.quantities import ZERO_CELSIUS

EUTECTIC_CARBON_EQUIVALENT = 0.043  # classical; Stefanescu 2021 (IJMC) argues for 0.042
GROWTH_BY_GRAPHITE = 2.0  # volume by mass share of graphite; from memory
NEUTRAL_GRAPHITE = 0.028  # graphite at which the eutectic keeps its volume; from memory


def carbon_equivalent(carbon: float, silicon: float, phosphorus: float = 0.0) -> float:
    """Carbon equivalent of an iron [1].

    Notes
    -----
    CE = C + (Si + P) / 3

    References
    ----------
    The usual AFS form; with P = 0 it is stated in most AFS papers on gray iron.
    """
    check_composition(carbon=carbon, silicon=silicon, phosphorus=phosphorus)
    return carbon + (silicon + phosphorus) / 3.0


def austenite_liquidus(
    carbon: float,
    silicon: float,
    manganese: float = 0.0,
    phosphorus: float = 0.0,
    sulfur: float = 0.0,
    nickel: float = 0.0,
    chromium: float = 0.0,
) -> float:
    """Temperature [K] at which austenite begins to freeze in a hypoeutectic iron, fitted form.

    Raises
    ------
    SizingError
        Above the eutectic, where graphite freezes first.

    Notes
    -----
    TL = 1625 - 110 C - 25 Si + 3 Mn - 35 P - 71 S - 2 Ni - 7 Cr  (°C, weight percent)

    References
    ----------
    Koriyama, Kanno et al. 2020, Int. J. Metalcasting.
    """
    check_composition(manganese=manganese, sulfur=sulfur, nickel=nickel, chromium=chromium)
    _check_hypoeutectic(carbon, silicon, phosphorus)
    lowering = 110.0 * carbon + 25.0 * silicon - 3.0 * manganese + 35.0 * phosphorus
    lowering += 71.0 * sulfur + 2.0 * nickel + 7.0 * chromium
    return ZERO_CELSIUS + 1625.0 - 100.0 * lowering


def austenite_liquidus_classical(carbon: float, silicon: float, phosphorus: float = 0.0) -> float:
    """Temperature [K] at which austenite begins to freeze in a hypoeutectic iron, classical form.

    Some 23 K below ``austenite_liquidus`` for common gray irons.

    Raises
    ------
    SizingError
        Above the eutectic, where graphite freezes first.

    Notes
    -----
    TL = 1664 - 124 (C + Si / 4 + P / 2)  (°C, weight percent)

    References
    ----------
    Thermal-analysis practice; from memory.
    """
    _check_hypoeutectic(carbon, silicon, phosphorus)
    return ZERO_CELSIUS + 1664.0 - 12400.0 * (carbon + silicon / 4.0 + phosphorus / 2.0)


def graphite_eutectic_temperature(silicon: float) -> float:
    """Temperature [K] of the stable (graphite) eutectic.

    Notes
    -----
    TE = 1153 + 5 Si  (°C, weight percent; the slope is given as 4 to 6)

    References
    ----------
    From memory.
    """
    check_composition(silicon=silicon)
    return ZERO_CELSIUS + 1153.0 + 500.0 * silicon


def carbide_eutectic_temperature(silicon: float) -> float:
    """Temperature [K] of the metastable (white) eutectic.

    Notes
    -----
    TE = 1148 - 11 Si  (°C, weight percent; the slope is given as 10 to 12)

    References
    ----------
    From memory.
    """
    check_composition(silicon=silicon)
    return ZERO_CELSIUS + 1148.0 - 1100.0 * silicon


def eutectic_graphite(carbon: float, silicon: float) -> float:
    """Graphite that freezes with the eutectic [1], mass fraction of the iron.

    Notes
    -----
    Gr = C - 1.30 + 0.1 Si  (weight percent)

    References
    ----------
    Heine, AFS; from memory.
    """
    check_composition(carbon=carbon, silicon=silicon)
    graphite = carbon - 0.013 + 0.1 * silicon
    if graphite < 0.0:
        raise SizingError(f"graphite needs at least 1.3 % carbon; given {100 * carbon:g} %")
    return graphite


def eutectic_volume_change(graphite: float) -> float:
    """Change of volume [1] while the eutectic freezes; above zero the iron grows.

    Notes
    -----
    dV = 2 (Gr - 2.80)  (percent)

    References
    ----------
    Heine, AFS; from memory.
    """
    check_composition(graphite=graphite)
    return graphite_growth(graphite) - graphite_growth(NEUTRAL_GRAPHITE)


def graphite_growth(graphite: float) -> float:
    """Volume [1] that graphite adds while the eutectic freezes, of the iron's volume.

    Notes
    -----
    dV = 2 Gr  (percent); the eutectic without graphite shrinks by 2 x 2.80

    References
    ----------
    Heine, AFS; from memory.
    """
    return GROWTH_BY_GRAPHITE * graphite


def check_composition(**mass_fractions: float) -> None:
    """Refuse a mass fraction below zero or above a tenth (most often a percentage as a number)."""
    for name, value in mass_fractions.items():
        if not 0.0 <= value <= 0.1:
            raise SizingError(f'{name} must lie between 0 and 10 %; given {value:g}; write "3.5 %"')


def _check_hypoeutectic(carbon: float, silicon: float, phosphorus: float) -> None:
    equivalent = carbon_equivalent(carbon, silicon, phosphorus)
    if equivalent > EUTECTIC_CARBON_EQUIVALENT:
        raise SizingError(
            "the austenite liquidus needs a carbon equivalent of 4.3 % or less; "
            f"given {100 * equivalent:.2f} %"
        )
