"""Coefficients of the RKL2 super-time-stepping scheme.

Meyer, Balsara & Aslam (2014), J. Comput. Phys. 257:594-626, equations 16-18: s stages cover
(s^2 + s - 2) / 4 explicit steps at second order.
"""

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class StageCoefficients(NamedTuple):
    """Coefficients by stage, each shape (s + 1,).

    The stages are Y_j = (1 - b_j) Y_0 + b_j P_j, and P_j is a Legendre polynomial of the rate L:
    P_j = mu P_(j-1) + nu P_(j-2) + rate dt L(P_(j-1)), P_0 = Y_0, in which neither Y_0 nor its
    rate comes up again. share is b_j; ``time`` is where stage j stands as a share of the step.
    """

    mu: Array
    nu: Array
    rate: Array
    share: Array
    time: Array


def stages_for(length: float, explicit_limit: float) -> int:
    """Least odd number of stages that is stable for a step of this length [s]."""
    needed = math.ceil((math.sqrt(9.0 + 16.0 * length / explicit_limit) - 1.0) / 2.0)
    return max(3, needed + (needed + 1) % 2)


@lru_cache(maxsize=512)
def stage_coefficients(stages: int) -> StageCoefficients:
    """Coefficients for an odd number of stages >= 3."""
    j = np.arange(stages + 1, dtype=float)
    b = np.full(stages + 1, 1.0 / 3.0)
    b[3:] = (j[3:] ** 2 + j[3:] - 2.0) / (2.0 * j[3:] * (j[3:] + 1.0))
    w = 4.0 / (stages * stages + stages - 2.0)
    mu, nu = np.zeros(stages + 1), np.zeros(stages + 1)
    mu[1:], nu[1:] = 2.0 - 1.0 / j[1:], 1.0 / j[1:] - 1.0
    time = (j * j + j - 2.0) * w / 4.0
    time[0], time[1] = 0.0, time[2] / 3.0
    return StageCoefficients(mu, nu, mu * w, b, time)
