"""Freezing in two dimensions: around a line sink, in a corner, and of a square prism."""

from dataclasses import dataclass
from functools import cached_property
from math import exp, pi

import numpy as np
from scipy.optimize import brentq
from scipy.special import exp1

from exact.medium import Medium


@dataclass(frozen=True)
class LineSink:
    """A line that draws ``sink`` W/m from melt at ``start`` (S. Paterson 1952, Proc. Glasgow
    Math. Assoc. 1:42; Carslaw & Jaeger 1959 §11.6): front radius 2 root sqrt(diffusivity time).
    """

    solid: Medium
    liquid: Medium
    latent_heat: float
    sink: float
    melting: float
    start: float

    @cached_property
    def root(self):
        ratio = self.solid.diffusivity / self.liquid.diffusivity
        heat = self.liquid.conductivity * (self.start - self.melting)
        freed = self.solid.diffusivity * self.solid.density * self.latent_heat

        def gap(r):
            z = r * r * ratio
            return self.sink / (4 * pi) * exp(-r * r) - heat * exp(-z) / exp1(z) - r * r * freed

        return brentq(gap, 1e-9, 4, xtol=1e-14, rtol=1e-14)

    def front(self, time):
        return 2 * self.root * np.sqrt(self.solid.diffusivity * time)

    def time_of(self, radius):
        return (radius / (2 * self.root)) ** 2 / self.solid.diffusivity

    def temperature(self, radius, time):
        u = radius**2 / (4 * self.solid.diffusivity * time)
        drop = self.sink / (4 * pi * self.solid.conductivity)
        frozen = self.melting - drop * (exp1(u) - exp1(self.root**2))
        ratio = self.solid.diffusivity / self.liquid.diffusivity
        tail = exp1(u * ratio) / exp1(self.root**2 * ratio)
        molten = self.start - (self.start - self.melting) * tail
        return np.where(u < self.root**2, frozen, molten)


@dataclass(frozen=True)
class Corner:
    """Front in a quarter-plane of melt whose two walls are cold (Rathjen & Jiji 1971, J. Heat
    Transfer 93:101): y = [r^m + C/(x^m - r^m)]^(1/m), lengths over sqrt(4 diffusivity time).
    """

    root: float
    constant: float
    exponent: float

    def height(self, x):
        far = self.root**self.exponent
        return (far + self.constant / (np.asarray(x) ** self.exponent - far)) ** (1 / self.exponent)

    @property
    def diagonal(self):
        return brentq(lambda x: self.height(x) - x, self.root * 1.001, 3.0)


def prism_freezing_time(latent_share, cells):
    """Freezing time over a^2/diffusivity of a square prism of melt at its melting temperature.

    Walls at zero, melting at one, unit volumetric heat; ``latent_share`` is L/(c dT) and a the
    half width. A plain explicit enthalpy march on a quarter with ``cells`` cells to the side.
    """
    dx = 1.0 / cells
    dt = 0.2 * dx * dx
    h = np.full((cells, cells), 1.0 + latent_share)
    time = 0.0
    while h.max() > 1.0:
        t = np.minimum(h, 1.0) + np.maximum(h - 1.0 - latent_share, 0.0)
        padded = np.pad(t, ((1, 1), (1, 1)), mode="edge")
        padded[0, 1:-1], padded[1:-1, 0] = -t[0], -t[:, 0]
        around = padded[:-2, 1:-1] + padded[2:, 1:-1] + padded[1:-1, :-2] + padded[1:-1, 2:]
        last, h = h, h + dt / dx**2 * (around - 4 * t)
        time += dt
    over = (last.max() - 1.0) / (last.max() - h.max())
    return time + dt * (over - 1.0)


def limit_of(coarse, middle, fine):
    """Aitken's limit of three values whose differences shrink by a fixed ratio."""
    return fine - (fine - middle) ** 2 / ((fine - middle) - (middle - coarse))
