"""A phase with constant properties."""

from math import sqrt
from typing import NamedTuple


class Medium(NamedTuple):
    """Conductivity [W/mK], specific heat [J/kgK] and density [kg/m3] of one phase."""

    conductivity: float
    specific_heat: float
    density: float

    @property
    def diffusivity(self) -> float:
        """[m2/s]."""
        return self.conductivity / (self.density * self.specific_heat)

    @property
    def effusivity(self) -> float:
        """Square root of k rho c [W s^1/2/m2K]."""
        return sqrt(self.conductivity * self.density * self.specific_heat)
