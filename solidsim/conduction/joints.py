"""Which faces of the grid have a heat conductance of their own, and what it is.

A joint stands wherever two unlike materials meet with an interface between them, on every outer
side, and at open surfaces. Convection and radiation to surroundings at one temperature are a
conductance against surface temperature like any other, so boundaries need no path of their own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Faces, Joints
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


def pack_joints(
    material: NDArray[np.uint8],
    rules: dict[tuple[int, int], FaceRule],
    faces: Faces,
    skins: Array,
    touched: Array,
) -> Joints:
    """Gather all faces whose pair of materials has a rule.

    Parameters
    ----------
    material : ndarray of uint8, shape (ny + 2, nx + 2)
        With the ring of reservoirs.
    rules : dict
        (lower material, higher material) -> FaceRule, solid_side counted in that order.
    faces : Faces
    skins : ndarray, [W s^1/2/m2K]
        Effusivity of each material that takes up heat, zero for the others.
    touched : ndarray, shape (ny + 2, nx + 2), [s]
        When each cell got its material.
    """
    table_of, side_of = np.full((256, 256), -1), np.zeros((256, 256), np.int64)
    for number, (pair, rule) in enumerate(rules.items()):
        table_of[pair], side_of[pair] = number, rule.solid_side
    cell = np.arange(material.size).reshape(material.shape)
    half_x = np.broadcast_to(faces.half_x, material.shape)
    half_y = np.broadcast_to(faces.half_y[:, None], material.shape)
    gathered, passed = [], 0
    for first, second, half, area in (
        (np.s_[:, :-1], np.s_[:, 1:], half_x, faces.area_x),
        (np.s_[:-1, :], np.s_[1:, :], half_y, faces.area_y),
    ):
        low = np.minimum(material[first], material[second])
        high = np.maximum(material[first], material[second])
        table = table_of[low, high]
        hit = (table >= 0) & (area > 0.0)
        turned = (material[first] > material[second])[hit]  # the lower material comes first
        one, two = _in_order(turned, cell[first][hit], cell[second][hit])
        half_one, half_two = _in_order(turned, half[first][hit], half[second][hit])
        face = passed + np.flatnonzero(hit)
        sides = side_of[low, high][hit]
        since = np.maximum(touched[first], touched[second])[hit]
        skin, other_skin = skins[low[hit]], skins[high[hit]]
        gathered.append(
            [
                one,
                two,
                face,
                half_one,
                half_two,
                skin,
                other_skin,
                since,
                area[hit],
                table[hit],
                sides,
            ]
        )
        passed += area.size
    columns = [np.concatenate(column) for column in zip(*gathered, strict=True)]
    cells, others, numbers, halves, other_halves, own, others_skin, since, areas, *rest = columns
    tables, solid_sides = rest
    return Joints(
        cell=cells,
        other=others,
        face=numbers,
        table=tables,
        solid_side=solid_sides,
        G=np.zeros(cells.size),
        half=halves,
        other_half=other_halves,
        skin=own,
        other_skin=others_skin,
        since=since,
        area=areas,
        conductance=np.array([rule.conductance for rule in rules.values()]),
        coldest=COLDEST,
        per_kelvin=NODES_PER_KELVIN,
    )


def _in_order(
    turned: NDArray[np.bool_], one: NDArray[Any], two: NDArray[Any]
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Pairs of values, changed over where they are turned."""
    return np.where(turned, two, one), np.where(turned, one, two)


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
            if number <= other:
                rules[number, other] = closed
    return rules
