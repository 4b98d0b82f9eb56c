"""Solid fraction against temperature while an alloy freezes.

A freezing range is one or two stretches, the cooler first, and each becomes a zone of its own on
the enthalpy curve. A stretch whose bottom and top are the same temperature freezes there like a
pure metal or a eutectic.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Stretch:
    """One stretch of a freezing range.

    Parameters
    ----------
    bottom, top : float, [K]
    solid_at_bottom, solid_at_top : float, [1]
    law : callable or None
        Solid fraction at temperatures [K] inside; None for a straight line.
    nodes : tuple of float, [K]
        Kinks of the law.
    """

    bottom: float
    top: float
    solid_at_bottom: float
    solid_at_top: float
    law: Callable[[Array], Array] | None = None
    nodes: tuple[float, ...] = ()

    def solid_fraction(self, temperature: Array) -> Array:
        """Solid fraction at temperatures between bottom and top [K]."""
        if self.law is not None:
            return self.law(temperature)
        share = (temperature - self.bottom) / (self.top - self.bottom)
        return self.solid_at_bottom + share * (self.solid_at_top - self.solid_at_bottom)


def isothermal(temperature: float) -> tuple[Stretch, ...]:
    """Freezing at one temperature [K]: a pure metal or a eutectic alloy."""
    return (Stretch(temperature, temperature, 1.0, 0.0),)


def linear(solidus: float, liquidus: float, eutectic_share: float = 0.0) -> tuple[Stretch, ...]:
    """Solid fraction linear in temperature [K]; the last ``eutectic_share`` freezes at solidus."""
    primary = Stretch(solidus, liquidus, 1.0 - eutectic_share, 0.0)
    if eutectic_share == 0.0:
        return (primary,)
    return (Stretch(solidus, solidus, 1.0, 1.0 - eutectic_share), primary)


def lever(
    liquidus: float,
    pure_melting: float,
    partition: float,
    eutectic: float,
    eutectic_end: float | None = None,
) -> tuple[Stretch, ...]:
    """Solid that stays even in composition while it forms, with straight phase boundaries.

    ``fs = (TL - T) / ((1 - k) (Tm - T))`` down to the eutectic [K], where the rest freezes: at one
    temperature, or evenly down to ``eutectic_end``. A solidus above the eutectic ends it earlier.

    References
    ----------
    Kurz and Fisher, Fundamentals of Solidification, 1998, appendix 9; Flemings, Solidification
    Processing, 1974, chapter 2.
    """

    def law(temperature: Array) -> Array:
        return (liquidus - temperature) / ((1.0 - partition) * (pure_melting - temperature))

    solidus = pure_melting - (pure_melting - liquidus) / partition
    if solidus >= eutectic:
        return (Stretch(solidus, liquidus, 1.0, 0.0, law),)
    return _with_eutectic(liquidus, eutectic, eutectic_end, law)


def scheil(
    liquidus: float,
    pure_melting: float,
    partition: float,
    eutectic: float,
    eutectic_end: float | None = None,
) -> tuple[Stretch, ...]:
    """Solid that keeps the composition it formed with, under a well-mixed liquid.

    ``fs = 1 - ((Tm - T) / (Tm - TL))^(1 / (k - 1))`` down to the eutectic [K], where the rest
    freezes as in `lever`.

    References
    ----------
    Gulliver 1913; Scheil, Z. Metallkde. 34 (1942) 70; in Flemings 1974, chapter 2.
    """

    def law(temperature: Array) -> Array:
        undercooling = (pure_melting - temperature) / (pure_melting - liquidus)
        return 1.0 - undercooling ** (1.0 / (partition - 1.0))

    return _with_eutectic(liquidus, eutectic, eutectic_end, law)


def tabulated(temperature: Array, solid_fraction: Array) -> tuple[Stretch, ...]:
    """Solid fraction in straight lines between nodes, temperature [K] rising from the solidus.

    Cut in two at the node where the slope changes most, so that this node lies on a zone end; a
    temperature that stands twice at the solidus is a eutectic that freezes there.
    """

    def law(wanted: Array) -> Array:
        return np.interp(wanted, temperature, solid_fraction)

    def stretch(first: int, last: int) -> Stretch:
        ends = float(temperature[first]), float(temperature[last])
        solid = float(solid_fraction[first]), float(solid_fraction[last])
        inner = tuple(float(node) for node in temperature[first + 1 : last])
        return Stretch(*ends, *solid, law if inner else None, inner)

    last = temperature.size - 1
    if last == 1:
        return (stretch(0, 1),)
    if temperature[0] == temperature[1]:
        cut = 1
    else:
        slopes = np.diff(solid_fraction) / np.diff(temperature)
        cut = 1 + int(np.argmax(np.abs(np.diff(slopes))))
    return (stretch(0, cut), stretch(cut, last))


def _with_eutectic(
    liquidus: float, eutectic: float, end: float | None, law: Callable[[Array], Array]
) -> tuple[Stretch, ...]:
    primary = float(law(np.array(eutectic)))
    last = Stretch(eutectic if end is None else end, eutectic, 1.0, primary)
    return (last, Stretch(eutectic, liquidus, primary, 0.0, law))
