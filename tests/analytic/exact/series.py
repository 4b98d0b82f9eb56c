"""Cooling of a slab and of a long cylinder by convection: Fourier and Bessel series.

Carslaw & Jaeger 1959 §3.11 and §7.7. Temperatures are shares of the starting excess over the
ambient; ``biot`` is h a/k with a the half thickness or radius, ``fourier`` is diffusivity t/a^2.
"""

from math import pi

import numpy as np
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

TERMS = 40


def slab_roots(biot, terms=TERMS):
    """Roots of z sin z = Bi cos z."""
    return np.array(
        [
            brentq(lambda z: z * np.sin(z) - biot * np.cos(z), n * pi, n * pi + pi / 2, xtol=1e-14)
            for n in range(terms)
        ]
    )


def cylinder_roots(biot, terms=TERMS):
    """Roots of z J1(z) = Bi J0(z)."""
    lower = np.concatenate([[0.0], jn_zeros(1, terms - 1)])
    upper = jn_zeros(0, terms)
    return np.array(
        [
            brentq(lambda z: z * j1(z) - biot * j0(z), low, high, xtol=1e-14)
            for low, high in zip(lower, upper, strict=True)
        ]
    )


def slab_temperature(place, fourier, biot):
    """At ``place`` = x/a from the middle."""
    z = slab_roots(biot)
    weight = 4 * np.sin(z) / (2 * z + np.sin(2 * z))
    return float(np.sum(weight * np.cos(z * place) * np.exp(-z * z * fourier)))


def cylinder_temperature(place, fourier, biot):
    """At ``place`` = r/a."""
    z = cylinder_roots(biot)
    weight = 2 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2))
    return float(np.sum(weight * j0(z * place) * np.exp(-z * z * fourier)))
