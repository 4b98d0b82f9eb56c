"""Which faces of the grid have a heat conductance of their own, and what it is.

A joint stands wherever two unlike materials meet with an interface between them, on every outer
side, and at open surfaces. Convection and radiation to surroundings at one temperature are a
conductance against surface temperature like any other, so boundaries need no path of their own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Faces, Indices, Joints
from solidsim.materials.material import InterfaceConductance
from solidsim.model import Boundary
from solidsim.quantities import STEFAN_BOLTZMANN

Array = NDArray[np.float64]

COLDEST, HOTTEST, NODES_PER_KELVIN = 150.0, 2400.0, 0.25  # span and spacing of the tables, K
UNLIMITED = 1e30  # W/m2K: no resistance between a surface and a fixed temperature


@dataclass(frozen=True)
class FaceRule:
    """Conductance of one kind of face, tabulated on the joint tables' temperatures.

    ``solid_side`` 0 or 1 reads the table at the surface of the first or second cell, -1 at the
    hotter one.
    """

    conductance: Array
    solid_side: int = -1


def table_temperatures() -> Array:
    """Temperatures of the joint tables, shape (nn,), [K]."""
    count = int((HOTTEST - COLDEST) * NODES_PER_KELVIN) + 1
    return np.linspace(COLDEST, HOTTEST, count)


def interface_table(interface: InterfaceConductance) -> Array:
    """Conductance of an interface on the joint tables' temperatures, shape (nn,), [W/m2K]."""
    return np.interp(table_temperatures(), interface.temperature, interface.conductance)


def boundary_table(boundary: Boundary) -> Array:
    """Conductance from a surface to what stands outside it, shape (nn,), [W/m2K].

    Convection plus radiation between gray surfaces, c + e s (T^2 + Ta^2) (T + Ta); unlimited at a
    fixed temperature, none when insulated.
    """
    surface = table_temperatures()
    if boundary.kind == "insulated":
        return np.zeros_like(surface)
    if boundary.kind == "fixed":
        return np.full_like(surface, UNLIMITED)
    around = boundary.temperature
    radiation = STEFAN_BOLTZMANN * (surface**2 + around**2) * (surface + around)
    return boundary.coefficient + boundary.emissivity * radiation


@dataclass(frozen=True)
class FaceList:
    """Faces of a ringed grid that have an area, each from a first cell to one right of or above it.

    ``first``, ``second`` (nf,) are flat cells, ``number`` (nf,) counts as ``Joints.face``;
    ``halves`` (2, nf) [m] are half widths of both cells, ``area`` (nf,) is in m2.
    """

    first: Indices
    second: Indices
    number: Indices
    halves: Array
    area: Array

    def pick(self, chosen: NDArray[np.bool_]) -> "FaceList":
        """Some of the faces, chosen by shape (nf,)."""
        one, two, number = self.first[chosen], self.second[chosen], self.number[chosen]
        return FaceList(one, two, number, self.halves[:, chosen], self.area[chosen])


def list_faces(faces: Faces) -> FaceList:
    """All faces of a grid that have an area."""
    shape = faces.area_x.shape
    cell, half_x = np.arange(faces.area_x.size).reshape(shape), np.zeros(shape)
    half_x[:, : faces.half_x.size] = faces.half_x
    half_y = np.broadcast_to(faces.half_y[:, None], shape)
    pairs = [
        (cell, cell + 1, half_x, np.roll(half_x, -1, axis=1), faces.area_x),
        (cell[:-1], cell[1:], half_y[:-1], half_y[1:], faces.area_y),
    ]
    first, second, half, other_half, area = (
        np.concatenate([values.ravel() for values in both]) for both in zip(*pairs, strict=True)
    )
    number = np.arange(area.size)
    return FaceList(first, second, number, np.stack([half, other_half]), area).pick(area > 0.0)


def pack_joints(
    material: NDArray[np.uint8],
    rules: Mapping[tuple[int, int], FaceRule],
    faces: FaceList,
    skins: Array,
    touched: Array,
) -> Joints:
    """Gather all faces whose pair of materials has a rule.

    Parameters
    ----------
    material : ndarray of uint8, shape (ny + 2, nx + 2) or wider
        With the ring of reservoirs.
    rules : dict
        (lower material, higher material) -> FaceRule, solid_side counted in that order.
    faces : FaceList
    skins : ndarray, [W s^1/2/m2K]
        Effusivity of each material that takes up heat, zero for the others.
    touched : ndarray, shape as material, [s]
        When each cell got its material.
    """
    count = 1 + max(int(material.max()), *(pair[1] for pair in rules))
    table_of, side_of = np.full((count, count), -1), np.zeros((count, count), np.int64)
    for number, (pair, rule) in enumerate(rules.items()):
        table_of[pair], side_of[pair] = number, rule.solid_side
        table_of[pair[::-1]] = number
    table = table_of[material.ravel()[faces.first], material.ravel()[faces.second]]
    joined, table = faces.pick(table >= 0), table[table >= 0]
    first, second = joined.first, joined.second
    turned = material.ravel()[first] > material.ravel()[second]  # the lower material comes first
    cell, other = np.where(turned, second, first), np.where(turned, first, second)
    own, others = material.ravel()[cell], material.ravel()[other]
    half, other_half = joined.halves
    return Joints(
        cell=cell,
        other=other,
        face=joined.number,
        table=table,
        solid_side=side_of[own, others],
        G=np.zeros(cell.size),
        half=np.where(turned, other_half, half),
        other_half=np.where(turned, half, other_half),
        skin=skins[own],
        other_skin=skins[others],
        since=np.maximum(touched.ravel()[first], touched.ravel()[second]),
        area=joined.area,
        conductance=np.array([rule.conductance for rule in rules.values()]),
        coldest=COLDEST,
        per_kelvin=NODES_PER_KELVIN,
    )


def joint_rules(
    interfaces: Mapping[tuple[int, int], InterfaceConductance],
    reservoirs: Sequence[tuple[int, Boundary]],
    emissivities: Sequence[float],
) -> dict[tuple[int, int], FaceRule]:
    """Rules for all pairs of materials and reservoirs.

    Parameters
    ----------
    interfaces : dict
        (lower, higher) material -> its conductance; pairs in perfect contact are left out.
    reservoirs : sequence of (number, Boundary)
        Numbers follow those of the materials.
    emissivities : sequence of float, one a material
        Of its open surface, where a boundary does not give one of its own (NaN).
    """
    rules = {pair: FaceRule(interface_table(found)) for pair, found in interfaces.items()}
    closed = FaceRule(np.zeros_like(table_temperatures()))
    for number, boundary in reservoirs:
        for m, own in enumerate(emissivities):
            given = boundary.emissivity
            outside = replace(boundary, emissivity=own if np.isnan(given) else given)
            rules[m, number] = FaceRule(boundary_table(outside), solid_side=0)
        for other, _ in reservoirs:
            if number < other:
                rules[number, other] = closed
    return rules
