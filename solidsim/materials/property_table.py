"""A property against temperature: straight lines between nodes, steps where a node stands twice."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PropertyTable:
    """A property against temperature.

    Parameters
    ----------
    temperature : ndarray, shape (n,), [K]
        Never falling; a temperature that stands twice marks a step. One node means a constant.
    value : ndarray, shape (n,)
    """

    temperature: Array
    value: Array

    @classmethod
    def constant(cls, value: float, temperature: float = 298.15) -> "PropertyTable":
        """Make a property that does not change."""
        return cls(np.array([temperature]), np.array([value]))

    def at(self, temperature: Array | float, side: Literal["below", "above"] = "above") -> Array:
        """Value at a temperature [K], any shape; ``side`` says which side of a step counts.

        Outside the table the end values hold.
        """
        nodes, wanted = self.temperature, np.asarray(temperature, dtype=float)
        if nodes.size == 1:
            return np.full(wanted.shape, self.value[0])
        found = np.searchsorted(nodes, wanted, side="right" if side == "above" else "left")
        right = np.clip(found, 1, nodes.size - 1)
        rise = nodes[right] - nodes[right - 1]
        beyond = wanted >= nodes[right] if side == "above" else wanted > nodes[right]
        slope = (wanted - nodes[right - 1]) / np.where(rise > 0, rise, 1.0)
        share = np.where(rise > 0, np.clip(slope, 0.0, 1.0), beyond)
        return self.value[right - 1] + share * (self.value[right] - self.value[right - 1])

    def integral(self, temperature: Array | float, start: float) -> Array:
        """Integral over temperature from ``start`` [K], exact for straight lines between nodes."""
        reached = self._from_first_node(np.asarray(temperature, dtype=float))
        return reached - self._from_first_node(np.asarray(start, dtype=float))

    def _from_first_node(self, temperature: Array) -> Array:
        nodes, value = self.temperature, self.value
        areas = 0.5 * (value[1:] + value[:-1]) * np.diff(nodes)
        upto = np.concatenate([[0.0], np.cumsum(areas)])
        left = np.clip(np.searchsorted(nodes, temperature, side="right") - 1, 0, nodes.size - 1)
        mean = 0.5 * (value[left] + self.at(temperature, "below"))
        return upto[left] + np.where(temperature == nodes[left], 0.0, mean) * (
            temperature - nodes[left]
        )
