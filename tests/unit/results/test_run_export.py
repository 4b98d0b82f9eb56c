"""Tables and VTKHDF carry the run's values, in the user's units where people read them."""

import csv
import dataclasses

import h5py
import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal
from synthetic_run import synthetic_run

from solidsim.errors import ResultsError
from solidsim.results.export import export_cells, export_probes, export_vtkhdf


@pytest.fixture
def run():
    return synthetic_run(cell_mm=5.0, frames=4, units="inch")


def read_table(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_cells_have_place_part_and_fields(tmp_path, run):
    rows = read_table(export_cells(run, tmp_path / "cells.csv"))
    grid = run.section.grid
    j, i = 26, 20
    row = rows[j * grid.shape[1] + i]
    assert row["part"] == "feeder"
    assert_allclose(float(row["x (in)"]), grid.x_centers[i] / 0.0254)
    assert_allclose(float(row["y (in)"]), grid.y_centers[j] / 0.0254)
    assert_allclose(float(row["freezing time (s)"]), run.fields["freezing_time"][j, i])
    expected = run.fields["temperature"][j, i] * 1.8 - 459.67
    assert_allclose(float(row["temperature (°F)"]), expected)
    assert rows[0]["part"] == "mold"
    assert rows[0]["freezing time (s)"] == ""
    assert len(rows) == run.section.metal.size


def test_probes_share_one_column_of_times(tmp_path, run):
    late = dataclasses.replace(
        run.probes[0],
        name="late",
        times=run.probes[0].times[50:] + 1.0,
        temperatures=run.probes[0].temperatures[50:],
    )
    run = dataclasses.replace(run, probes=(run.probes[1], late))
    rows = read_table(export_probes(run, tmp_path / "probes.csv"))
    times = [float(row["time (s)"]) for row in rows]
    assert times == sorted(set(times))
    assert rows[0]["late (°F)"] == ""
    assert_allclose(float(rows[0]["hub (°F)"]), run.probes[0].temperatures[0] * 1.8 - 459.67)


def test_no_probes_is_said(tmp_path, run):
    with pytest.raises(ResultsError, match=r"add a \[\[probe\]\]"):
        export_probes(dataclasses.replace(run, probes=()), tmp_path / "probes.csv")


def test_a_folder_in_the_way_is_said(tmp_path, run):
    for export in (export_cells, export_probes, export_vtkhdf):
        with pytest.raises(ResultsError, match="cannot write"):
            export(run, tmp_path)


def test_vtkhdf_quads_cover_the_box_and_carry_the_fields(tmp_path, run):
    grid = run.section.grid
    with h5py.File(export_vtkhdf(run, tmp_path / "run.vtkhdf")) as file:
        root = file["VTKHDF"]
        assert root.attrs["Type"] == b"UnstructuredGrid"
        quads = root["Points"][:][root["Connectivity"][:].reshape(-1, 4)]
        ahead = np.roll(quads, -1, axis=1)
        twice = quads[..., 0] * ahead[..., 1] - ahead[..., 0] * quads[..., 1]
        assert_allclose(twice.sum(axis=1) / 2, grid.cell_areas.ravel(), rtol=1e-9)
        count = root["NumberOfCells"][0]
        assert root["Offsets"].shape == (count + 1,)
        assert_array_equal(root["CellData/freezing_time"], run.fields["freezing_time"].ravel())
        steps = root["Steps"]
        assert steps.attrs["NSteps"] == run.frames.times.size
        assert_array_equal(steps["Values"], run.frames.times)
        start = steps["CellDataOffsets/temperature"][2]
        frame = root["CellData/temperature"][start : start + count]
        assert_array_equal(frame, run.frames.temperature[2].ravel())
        assert set(steps["CellDataOffsets"]) == set(root["CellData"])


def test_vtkhdf_without_frames_is_one_still_picture(tmp_path, run):
    none = dataclasses.replace(
        run.frames,
        times=run.frames.times[:0],
        temperature=run.frames.temperature[:0],
        solid_fraction=run.frames.solid_fraction[:0],
    )
    still = dataclasses.replace(run, frames=none)
    with h5py.File(export_vtkhdf(still, tmp_path / "run.vtkhdf")) as file:
        assert "Steps" not in file["VTKHDF"]
