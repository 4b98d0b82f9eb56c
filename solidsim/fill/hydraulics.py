"""Flow in channels: Torricelli's speed, wall friction at any Reynolds number, fitting losses."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.quantities import GRAVITY

Array = NDArray[np.float64]

VISCOSITY = 0.8e-6  # m2/s; from memory: 0.5e-6 liquid aluminum, 0.9e-6 liquid iron


def torricelli_velocity(head: float, loss: float = 0.0) -> float:
    """Velocity out of an opening under a head [m], [m/s].

    v = sqrt(2 g h / (1 + K)), with the velocity heads K lost on the way.
    """
    return math.sqrt(2.0 * GRAVITY * max(head, 0.0) / (1.0 + loss))


def friction_factor(reynolds: Array, relative_roughness: Array) -> Array:
    """Darcy friction factor of a full channel, laminar to fully rough, any shape, [1].

    f = 8 [(8/Re)^12 + (A + B)^-1.5]^(1/12), A = (2.457 ln 1/((7/Re)^0.9 + 0.27 e/D))^16,
    B = (37530/Re)^16.

    References
    ----------
    Churchill (1977), Chem. Eng. 84(24):91.
    """
    Re = np.maximum(reynolds, 1e-3)
    A = (2.457 * np.log(1.0 / ((7.0 / Re) ** 0.9 + 0.27 * relative_roughness))) ** 16
    B = (37530.0 / Re) ** 16
    return 8.0 * ((8.0 / Re) ** 12 + (A + B) ** -1.5) ** (1.0 / 12.0)


def contraction_loss(before: float, after: float) -> float:
    """Velocity heads of the narrower channel lost where a channel narrows, [1].

    K = 0.5 (1 - A_after / A_before), sharp edges; Weisbach, as in every handbook of hydraulics.
    """
    return 0.5 * max(1.0 - after / before, 0.0)


def widening_loss(before: float, after: float) -> float:
    """Velocity heads of the narrower channel lost where a channel widens, [1].

    K = (1 - A_before / A_after)^2, Borda and Carnot.
    """
    return max(1.0 - before / after, 0.0) ** 2
