"""Sweeps: one row a variant, coarse first where that will do, tables that read back."""

import csv

import h5py
import numpy as np
import pytest

from solidsim.studies.outcome import Figure
from solidsim.studies.running import Outcome, run_many
from solidsim.studies.study_file import read_study
from solidsim.studies.sweeping import NEAR, Row, coarse_cell, matters, sweep, write_sweep
from solidsim.studies.workers import Computed


@pytest.fixture
def done(study_file, tmp_path):
    return sweep(read_study(study_file), tmp_path / "runs")


def test_a_wider_feeder_lasts_longer(done):
    margins = {row.values: row.figure("last-metal-in-feeder.margin") for row in done.rows}
    for height in ("40 mm", "60 mm"):
        by_width = [margins[width, height] for width in ("20 mm", "30 mm", "40 mm")]
        assert by_width == sorted(by_width)


def test_weights_follow_the_drawing(done):
    """Endless in depth: for a meter of it the feeder's share is its area over all of it."""
    for row in done.rows:
        width, height = (float(value.split()[0]) for value in row.values)
        assert row.figure("yield") == pytest.approx(2000.0 / (2000.0 + width * height), rel=1e-9)


def test_tables_hold_the_same(done, tmp_path):
    table, file = write_sweep(done, tmp_path / "feeder")
    with table.open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    assert [row["width (mm)"] for row in rows] == ["20", "20", "30", "30", "40", "40"]
    assert [row["verdict"] for row in rows] == [row.verdict for row in done.rows]
    with h5py.File(file) as stored:
        np.testing.assert_array_equal(
            stored["melt-weight"][:], [row.figure("melt-weight") for row in done.rows]
        )
        assert stored["melt-weight"].attrs["units"] == "kg"
        assert stored["width"].dims[0][0].name == "/run"
        assert stored.attrs["study"] == done.study.text


def test_tables_open_in_xarray(done, tmp_path):
    xarray = pytest.importorskip("xarray")
    _, file = write_sweep(done, tmp_path / "feeder")
    with xarray.open_dataset(file, engine="h5netcdf") as table:
        assert table["width"].dims == ("run",)


def row_with(share):
    figures = {"last-metal-in-feeder.share": Figure(share, "fraction")}
    return Row((), Outcome(Computed("key", "holds", figures), None, True))


@pytest.mark.parametrize(("share", "near"), [(0.5, False), (NEAR / 2, True), (-NEAR / 2, True)])
def test_what_is_close_to_turning_matters(share, near):
    assert matters(row_with(share)) is near


def test_quick_is_coarse_but_where_it_matters(study_file, tmp_path):
    study = read_study(study_file)
    assert coarse_cell(study) == pytest.approx(3 * 0.005)  # 5 mm: four to 20 mm
    quick = sweep(study, tmp_path, quick=True)
    cells = {}
    for row in quick.rows:
        if row.coarse:
            assert not matters(row)
        cells[row.coarse] = run_many([study.text_of(row.values)], tmp_path)[0].path
        assert (row.outcome.path == cells[row.coarse]) is not row.coarse


def test_a_variant_that_cannot_be_keeps_its_row(changed_study, tmp_path):
    study = read_study(changed_study('values = ["40 mm", "60 mm"]', 'values = ["40 mm", "200 m"]'))
    rows = sweep(study, tmp_path / "runs").rows
    assert [row.verdict == "error" for row in rows] == [False, True] * 3
    assert "a length within 100 m" in rows[1].outcome.error
