"""Which faces of the grid have a heat conductance of their own, and what it is.

A joint stands wherever two unlike materials meet with an interface between them, on every outer
side, and at open surfaces. Convection and radiation to surroundings at one temperature are a
conductance against surface temperature like any other, so boundaries need no path of their own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

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
    material: NDArray[np.uint8], rules: dict[tuple[int, int], FaceRule], faces: Faces
) -> Joints:
    """Gather all faces whose pair of materials has a rule.

    Parameters
    ----------
    material : ndarray of uint8, shape (ny + 2, nx + 2)
        With the ring of reservoirs.
    rules : dict
        (lower material, higher material) -> FaceRule, solid_side counted in that order.
    faces : Faces
    """
    cell = np.arange(material.size).reshape(material.shape)
    half_x = np.broadcast_to(faces.half_x, material.shape)
    half_y = np.broadcast_to(faces.half_y[:, None], material.shape)
    face_x = np.arange(faces.area_x.size).reshape(faces.area_x.shape)
    face_y = faces.area_x.size + np.arange(faces.area_y.size).reshape(faces.area_y.shape)
    gathered = []
    across = _neighbors(material[:, :-1], material[:, 1:])
    upward = _neighbors(material[:-1], material[1:])
    for table, ((low, high), rule) in enumerate(rules.items()):
        for first, second, face, half, area, met in (
            (np.s_[:, :-1], np.s_[:, 1:], face_x, half_x, faces.area_x, across),
            (np.s_[:-1, :], np.s_[1:, :], face_y, half_y, faces.area_y, upward),
        ):
            if not (met[low, high] or met[high, low] or table == 0):
                continue
            orders = ((first, second), (second, first))  # the lower material on either side
            for one, two in orders[: 1 if low == high else 2]:
                hit = (material[one] == low) & (material[two] == high) & (area > 0.0)
                own = [cell[one], cell[two], face, half[one], half[two], area]
                row = [column[hit] for column in own]
                gathered.append(
                    [*row, *(np.full(row[0].size, n) for n in (table, rule.solid_side))]
                )
    columns = [np.concatenate(column) for column in zip(*gathered, strict=True)]
    cells, others, numbers, halves, other_halves, areas, tables, sides = columns
    return Joints(
        cell=cells,
        other=others,
        face=numbers,
        table=tables,
        solid_side=sides,
        G=np.zeros(cells.size),
        half=halves,
        other_half=other_halves,
        area=areas,
        conductance=np.array([rule.conductance for rule in rules.values()]),
        coldest=COLDEST,
        per_kelvin=NODES_PER_KELVIN,
    )


def _neighbors(first: NDArray[np.uint8], second: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which materials lie beside which, shape (256, 256)."""
    pairs = first.ravel().astype(np.int64) * 256 + second.ravel()
    return np.bincount(pairs, minlength=256 * 256).reshape(256, 256) > 0


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
