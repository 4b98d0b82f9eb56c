"""Freezing of a half-space from its plane surface: front = 2 root sqrt(diffusivity time)."""

from dataclasses import dataclass
from functools import cached_property
from math import erf, exp, pi, sqrt

import numpy as np
from scipy.optimize import brentq
from scipy.special import erf as erf_of
from scipy.special import erfc as erfc_of
from scipy.special import erfcx

from exact.medium import Medium

PRECISE = {"xtol": 1e-14, "rtol": 1e-14}


class NoFreezingError(ValueError):
    """The contact stays above the melting temperature, so that no front leaves it."""


def stefan_root(stefan_number):
    """Root of sqrt(pi) r exp(r^2) erf(r) = c (Tm - T0)/L (Carslaw & Jaeger 1959 §11.2)."""
    return brentq(lambda r: sqrt(pi) * r * exp(r * r) * erf(r) - stefan_number, 1e-9, 5, **PRECISE)


@dataclass(frozen=True)
class Neumann:
    """Melt at ``start`` meets a wall held at ``wall`` (Carslaw & Jaeger 1959 §11.2)."""

    solid: Medium
    liquid: Medium
    latent_heat: float
    wall: float
    melting: float
    start: float

    @cached_property
    def ratio(self):
        return sqrt(self.solid.diffusivity / self.liquid.diffusivity)

    @cached_property
    def root(self):
        drop = self.melting - self.wall
        stefan_number = self.solid.specific_heat * drop / self.latent_heat
        heat = self.liquid.conductivity / self.solid.conductivity * self.ratio
        heat *= (self.start - self.melting) / drop

        def gap(r):
            drawn = exp(-r * r) / erf(r) - heat / erfcx(self.ratio * r)
            return sqrt(pi) * r - stefan_number * drawn

        return brentq(gap, 1e-9, 5, **PRECISE)

    def front(self, time):
        return 2 * self.root * np.sqrt(self.solid.diffusivity * time)

    def temperature(self, x, time):
        u = np.asarray(x, dtype=float) / (2 * sqrt(self.solid.diffusivity * time))
        frozen = self.wall + (self.melting - self.wall) * erf_of(u) / erf(self.root)
        tail = erfc_of(self.ratio * u) / erfc_of(self.ratio * self.root)
        molten = self.start + (self.melting - self.start) * tail
        return np.where(u < self.root, frozen, molten)


@dataclass(frozen=True)
class Schwarz:
    """Melt at ``start`` against a mold half-space at ``cold``, perfect contact.

    C. Schwarz 1931, Arch. Eisenhuettenwes. 5:177; Carslaw & Jaeger 1959 §11.2. The casting
    lies at x > 0, the mold at x < 0.
    """

    solid: Medium
    liquid: Medium
    mold: Medium
    latent_heat: float
    cold: float
    melting: float
    start: float

    @cached_property
    def contrast(self):
        return self.solid.effusivity / self.mold.effusivity

    @cached_property
    def liquid_contact(self):
        """Contact temperature while all is liquid."""
        mold, liquid = self.mold.effusivity, self.liquid.effusivity
        return (mold * self.cold + liquid * self.start) / (mold + liquid)

    @cached_property
    def root(self):
        if self.liquid_contact >= self.melting:
            raise NoFreezingError(
                f"contact stays at {self.liquid_contact:.1f}, melting is at {self.melting:.1f}"
            )
        specific_heat = self.solid.specific_heat
        pull = specific_heat * (self.melting - self.cold) / self.latent_heat
        heat = specific_heat * (self.start - self.melting) / self.latent_heat
        heat *= self.liquid.effusivity / self.solid.effusivity
        ratio = sqrt(self.solid.diffusivity / self.liquid.diffusivity)

        def gap(r):
            drawn = pull * exp(-r * r) / (self.contrast + erf(r)) - heat / erfcx(ratio * r)
            return sqrt(pi) * r - drawn

        return brentq(gap, 0.0, 5, **PRECISE)

    @cached_property
    def contact(self):
        """Temperature of the mold face, constant in time."""
        share = self.contrast / (self.contrast + erf(self.root))
        return self.cold + (self.melting - self.cold) * share

    def front(self, time):
        return 2 * self.root * np.sqrt(self.solid.diffusivity * time)

    def plate_time(self, half_thickness):
        """Freezing time of a plate without superheat: its melt is isothermal, so this is exact."""
        return (half_thickness / (2 * self.root)) ** 2 / self.solid.diffusivity

    def temperature(self, x, time):
        """In the mold and in the solid; NaN in the liquid."""
        x = np.asarray(x, dtype=float)
        u = x / (2 * sqrt(self.solid.diffusivity * time))
        v = x / (2 * sqrt(self.mold.diffusivity * time))
        sand = self.cold + (self.contact - self.cold) * (1 + erf_of(v))
        frozen = self.contact + (self.melting - self.contact) * erf_of(u) / erf(self.root)
        return np.where(x < 0, sand, np.where(u <= self.root, frozen, np.nan))


@dataclass(frozen=True)
class FreezingRange:
    """Three regions: solid, mush of constant effective heat capacity, liquid.

    Carslaw & Jaeger 1959 §11.2, melting range. A share ``eutectic`` of the latent heat is set
    free at the solidus, the rest evenly between solidus and liquidus.
    """

    solid: Medium
    mush: Medium
    liquid: Medium
    latent_heat: float
    eutectic: float
    wall: float
    solidus: float
    liquidus: float
    start: float

    @cached_property
    def effective_mush(self):
        spread = self.latent_heat * (1 - self.eutectic) / (self.liquidus - self.solidus)
        return self.mush._replace(specific_heat=self.mush.specific_heat + spread)

    @cached_property
    def roots(self):
        """Roots of the solidus and of the liquidus, both with the diffusivity of the mush."""
        mush = self.effective_mush
        to_solid = sqrt(mush.diffusivity / self.solid.diffusivity)
        to_liquid = sqrt(mush.diffusivity / self.liquid.diffusivity)
        fall = self.liquidus - self.solidus

        def from_mush(lower, upper, at):
            width = erfc_of(lower) - erfc_of(upper)
            return mush.effusivity * fall * exp(-at * at) / width

        def liquidus_gap(upper, lower):
            rise = self.liquid.effusivity * (self.start - self.liquidus)
            return from_mush(lower, upper, upper) - rise / erfcx(to_liquid * upper)

        def upper_root(lower):
            return brentq(liquidus_gap, lower + 1e-9, lower + 20, args=(lower,), **PRECISE)

        def solidus_gap(lower):
            s = to_solid * lower
            pull = self.solid.effusivity * (self.solidus - self.wall) * exp(-s * s) / erf(s)
            freed = sqrt(pi) * self.mush.density * self.latent_heat * self.eutectic
            freed *= lower * sqrt(mush.diffusivity)
            return pull - from_mush(lower, upper_root(lower), lower) - freed

        lower = brentq(solidus_gap, 1e-3, 4, **PRECISE)
        return lower, upper_root(lower)

    def isotherms(self, time):
        """Places of the solidus and of the liquidus."""
        scale = 2 * np.sqrt(self.effective_mush.diffusivity * time)
        return self.roots[0] * scale, self.roots[1] * scale
