"""Sections that are their own mirror image, left and right: half of them is computed."""

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.columns import end_shares
from solidsim.facts import judging_rules
from solidsim.model import Boundary, Model, Probe
from solidsim.results.run import EnergyAccount, Run
from solidsim.section.grid import Grid

ROUND_OFF = 1e-9  # of a width or a value: mirrored cells may differ by so much


def left_half(model: Model) -> Model | None:
    """The left half of a model that is its own mirror image, or None; only when poured at once."""
    grid = model.section.grid
    if grid.view == "round" or grid.x_centers.size % 2 or model.pour.fill != "at-once":
        return None
    if model.sides[0] != model.sides[1] or not all(_alike(own) for own in _mirrored_fields(model)):
        return None
    middle, count = grid.x_edges[grid.x_centers.size // 2], grid.x_centers.size // 2
    section = replace(
        model.section,
        grid=Grid(grid.x_edges[: count + 1], grid.y_edges, grid.view),
        part_index=model.section.part_index[:, :count],
        depth=model.section.depth[:, :count],
        face_areas=model.section.face_areas[:, :count],
    )
    return replace(
        model,
        section=section,
        material_index=np.ascontiguousarray(model.material_index[:, :count]),
        initial_enthalpy=np.ascontiguousarray(model.initial_enthalpy[:, :count]),
        sides=(model.sides[0], Boundary("insulated"), *model.sides[2:]),
        probes=tuple(
            Probe(probe.name, middle - abs(probe.x - middle), probe.y) for probe in model.probes
        ),
    )


def _mirrored_fields(model: Model) -> list[NDArray[Any]]:
    """All that the heat depends on, column by column along the last axis."""
    section = model.section
    covers = {pair: number for number, pair in enumerate(dict.fromkeys(model.faces))}
    by_part = [
        [0.0, *(part.spread for part in section.parts)],
        [0.0, *end_shares(model)],
        [-1.0, *(covers[pair] for pair in model.faces)],
    ]
    return [
        section.grid.dx,
        model.material_index,
        model.initial_enthalpy,
        section.depth,
        section.face_areas,
        section.round_metal,
        *(np.array(values)[section.part_index] for values in by_part),
    ]


def _alike(field: NDArray[Any]) -> bool:
    values = field.astype(float)
    return bool(np.allclose(values, values[..., ::-1], rtol=ROUND_OFF, atol=0.0))


def mirrored(field: NDArray[Any]) -> NDArray[Any]:
    """A field of the whole section from that of its left half, (..., nx / 2) to (..., nx)."""
    return np.concatenate([field, field[..., ::-1]], axis=-1)


def whole_run(run: Run, model: Model) -> Run:
    """The run of a model from that of its left half, whose frames are whole already."""
    account = run.account
    heats = ("released", "stored", "lost", "through_faces", "added")
    return replace(
        run,
        section=model.section,
        judging=judging_rules(model),
        fields={name: mirrored(values) for name, values in run.fields.items()},
        probes=tuple(
            replace(curve, x=probe.x) for curve, probe in zip(run.probes, model.probes, strict=True)
        ),
        account=EnergyAccount(
            account.times, **{name: 2.0 * getattr(account, name) for name in heats}
        ),
        provenance={**run.provenance, "mirrored": True},
    )
