"""Freezing time from the modulus: Chvorinov's rule and its forms for an insulating mold.

N. Chvorinov 1940, Giesserei 27:177; M. C. Flemings 1974, Solidification Processing, ch. 1;
D. R. Poirier & G. H. Geiger 1994, Transport Phenomena in Materials Processing, ch. 10. The metal
stays at its melting temperature while the sand draws its latent heat.
"""

from dataclasses import dataclass
from math import atan, exp, expm1, log, pi, sqrt

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j0, y0

from exact.medium import Medium


@dataclass(frozen=True)
class SandFreezing:
    """Latent heat of the metal against the heat that sand takes up at a fixed face temperature."""

    mold: Medium
    metal_density: float
    latent_heat: float
    melting: float
    cold: float

    @property
    def plate_rate(self):
        """Frozen thickness over the root of time [m/s^1/2]."""
        drawn = (self.melting - self.cold) * self.mold.effusivity
        return 2 / sqrt(pi) * drawn / (self.metal_density * self.latent_heat)

    @property
    def share(self):
        """The mold's heat capacity times the fall over the metal's latent heat, lambda."""
        capacity = self.mold.density * self.mold.specific_heat
        return (self.melting - self.cold) * capacity / (self.metal_density * self.latent_heat)

    def time_of(self, modulus, beta):
        """Freezing time from beta = modulus/sqrt(mold diffusivity time)."""
        return (modulus / beta) ** 2 / self.mold.diffusivity


def plate_beta(share):
    return 2 * share / sqrt(pi)


def cylinder_beta_formula(share):
    """Short-time expansion: beta = share (2/sqrt(pi) + 1/(4 beta))."""
    return _positive_root(share * 2 / sqrt(pi), share / 4)


def sphere_beta(share):
    """Exact: beta = share (2/sqrt(pi) + 1/(3 beta))."""
    return _positive_root(share * 2 / sqrt(pi), share / 3)


def cylinder_beta(share):
    """True value: latent heat against the cumulative flux outside a cylinder.

    Carslaw & Jaeger 1959 §13.5, integrated over time; radius one, mold diffusivity one.
    """
    time = exp(brentq(lambda log_t: 0.5 - share * cylinder_uptake(exp(log_t)), -8.0, 8.0))
    return 0.5 / sqrt(time)


def cylinder_uptake(time):
    """Heat taken up by unit face: (4/pi^2) int (1 - exp(-t u^2)) / (u^3 (J0^2 + Y0^2)) du.

    Taken over log u; below u = exp(-30) the integrand is t / (1 + (2 w/pi)^2) with
    w = log(u/2) + Euler's constant, whose integral is an arc tangent.
    """

    def rate(log_u):
        u = exp(log_u)
        return -expm1(-time * u * u) / (u * u * (j0(u) ** 2 + y0(u) ** 2))

    start = -30.0
    tail = time * pi / 2 * (pi / 2 + atan(2 / pi * (start - log(2) + np.euler_gamma)))
    whole, _ = quad(rate, start, 14.0, limit=2000, points=[-5.0, 0.0, 5.0], epsrel=1e-9)
    return 4 / pi**2 * (whole + tail)


def _positive_root(b, c):
    """Root of beta^2 = b beta + c."""
    return (b + sqrt(b * b + 4 * c)) / 2
