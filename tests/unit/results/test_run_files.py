"""A run written to a file comes back whole, says what it is, and gives nothing away."""

import dataclasses
import getpass
import json
from pathlib import Path

import h5py
import numpy as np
import pytest
import xarray
from numpy.testing import assert_array_equal
from synthetic_run import synthetic_run

from solidsim.criteria.finding import Finding
from solidsim.errors import ResultsError
from solidsim.quantities import FIELDS
from solidsim.results.layout import LAYOUT_VERSION, part_path
from solidsim.results.opening import open_run
from solidsim.results.run import FlowFrames, Run
from solidsim.results.unfinished import hash_little
from solidsim.results.writing import start_run, write_run

STORED = Path(__file__).parents[2] / "files"


@pytest.fixture
def run():
    return synthetic_run(cell_mm=5.0, frames=6)


def start(path: Path, run: Run):
    names = ("title", "units", "section", "alloy", "judging", "provenance")
    return start_run(path, **{name: getattr(run, name) for name in names})


def assert_same(one: object, other: object) -> None:
    """Equal to the last bit, whatever it is made of."""
    if dataclasses.is_dataclass(one):
        assert type(one) is type(other)
        for field in dataclasses.fields(one):
            assert_same(getattr(one, field.name), getattr(other, field.name))
    elif isinstance(one, np.ndarray):
        assert one.dtype == other.dtype
        assert_array_equal(one, other)
    elif isinstance(one, dict):
        assert list(one) == list(other)
        assert_same(list(one.values()), list(other.values()))
    elif isinstance(one, list | tuple):
        assert len(one) == len(other)
        for left, right in zip(one, other, strict=True):
            assert_same(left, right)
    else:
        assert one == other or (one != one and other != other)


def test_a_run_comes_back_to_the_last_bit(tmp_path, run):
    path = write_run(tmp_path / "bracket.h5", run)
    assert_same(open_run(path), run)
    assert [file.name for file in tmp_path.iterdir()] == ["bracket.h5"]


def test_the_flow_of_the_first_frames_comes_back(tmp_path, run):
    shape, moving = run.section.grid.shape, np.random.default_rng(7)
    flow = FlowFrames(*(moving.random((4, *shape)).astype("f2") for _ in range(3)))
    flow.filled[0] = 0.0
    run = dataclasses.replace(run, frames=dataclasses.replace(run.frames, flow=flow))
    path = write_run(tmp_path / "bracket.h5", run)
    assert_same(open_run(path), run)
    with xarray.open_dataset(path, engine="h5netcdf") as data:
        assert data.velocity_x.dims == ("time", "y", "x")
        assert data.velocity_x.attrs["units"] == "m/s"
        assert_array_equal(data.filled[4:], 0.0)


def test_an_unfinished_run_gives_its_frames_and_is_never_finished(tmp_path, run):
    writer = start(tmp_path / "bracket.h5", run)
    for index in range(3):
        writer.frame(float(index), run.frames.temperature[index], run.frames.solid_fraction[index])
    part = writer.abandon("the temperature is not a number")
    opened = open_run(part)
    assert not opened.finished
    assert opened.stop_reason == "the temperature is not a number"
    assert not opened.fields
    assert_array_equal(opened.frames.times, [0.0, 1.0, 2.0])
    assert_array_equal(opened.frames.temperature, run.frames.temperature[:3])
    assert not (tmp_path / "bracket.h5").exists()


def test_an_error_inside_the_block_abandons_the_run(tmp_path, run):
    with (
        pytest.raises(ZeroDivisionError),
        start(tmp_path / "bracket.h5", run) as writer,
    ):
        writer.frame(1 / 0, run.frames.temperature[0], run.frames.solid_fraction[0])
    assert open_run(part_path(tmp_path / "bracket.h5")).stop_reason == "division by zero"


def test_findings_and_late_provenance_are_kept(tmp_path, run):
    finding = Finding("last-metal", "ends in the feeder", "holds", np.float64(90.0), 0.0, 90.0)
    with start(tmp_path / "bracket.h5", run) as writer:
        late = dataclasses.replace(run, provenance={**run.provenance, "seconds": np.float64(1.5)})
        opened = open_run(writer.finish(late, [finding]))
    assert opened.findings == (finding.as_dict(),)
    assert opened.provenance == {**run.provenance, "seconds": 1.5}


def test_an_unknown_field_is_refused(tmp_path, run):
    odd = dataclasses.replace(run, fields={"color": run.fields["freezing_time"]})
    with pytest.raises(ResultsError, match="FIELDS table: color"):
        write_run(tmp_path / "bracket.h5", odd)
    assert not (tmp_path / "bracket.h5").exists()


def test_two_pours_to_one_name_do_not_mix(tmp_path, run):
    first = start(tmp_path / "bracket.h5", run)
    with start(tmp_path / "bracket.h5", run) as second:
        with pytest.raises(ResultsError, match="another pour is writing"):
            first.finish(run)
        second.frame(0.0, run.frames.temperature[0], run.frames.solid_fraction[0])
        assert open_run(second.finish(run)).frames.times.size == 1


def test_opens_in_xarray_with_coordinates_and_units(tmp_path, run):
    path = write_run(tmp_path / "bracket.h5", run)
    with xarray.open_dataset(path, engine="h5netcdf") as data:
        assert data.temperature.dims == ("time", "y", "x")
        assert_array_equal(data.x, run.section.grid.x_centers)
        assert_array_equal(data.freezing_time, run.fields["freezing_time"])
        assert_array_equal(data.time, run.frames.times)
        for name in ("temperature", "solid_fraction", "freezing_time", "depth"):
            assert data[name].attrs["units"] == FIELDS[name].unit
        assert {data[name].attrs["units"] for name in ("x", "y", "x_edge", "y_edge")} == {"m"}
        assert data.time.attrs["units"] == "s"
    with xarray.open_datatree(path, engine="h5netcdf") as tree:
        assert_array_equal(tree["account/released"], run.account.released)
        assert tree["account/released"].attrs["units"] == "J"


def test_the_file_holds_no_path_and_no_user(tmp_path, run, monkeypatch):
    for variable in ("LOGNAME", "USER", "USERNAME"):
        monkeypatch.setenv(variable, "zacharias-q")
    monkeypatch.setenv("HOME", "/home/zacharias-q")
    assert getpass.getuser() == "zacharias-q"
    path = write_run(tmp_path / "bracket.h5", run)
    content = path.read_bytes()
    with h5py.File(path) as file:  # what is packed in chunks, too
        texts = [file["record/head"][()], file["record/outcome"][:].tobytes()]
        file.visititems(lambda _, item: texts.append(repr(dict(item.attrs)).encode()))
    for text in (content, *texts):
        assert str(tmp_path).encode() not in text
        assert str(Path(__file__).parent).encode() not in text
        assert b"zacharias-q" not in text


def test_a_text_that_json_cannot_hold_is_refused(tmp_path, run):
    odd = dataclasses.replace(run, provenance={"file": tmp_path})
    with pytest.raises(TypeError, match="cannot be kept in a results file"):
        write_run(tmp_path / "bracket.h5", odd)


def test_a_missing_folder_is_said(tmp_path, run):
    with pytest.raises(ResultsError, match="make it first"):
        write_run(tmp_path / "nowhere" / "bracket.h5", run)


def test_a_missing_file_names_the_unfinished_one(tmp_path, run):
    with pytest.raises(ResultsError, match=r"no results file .*bracket\.h5$"):
        open_run(tmp_path / "bracket.h5")
    start(tmp_path / "bracket.h5", run).abandon("")
    with pytest.raises(ResultsError, match=r"an unfinished run stands at bracket\.h5\.part"):
        open_run(tmp_path / "bracket.h5")


def test_files_of_others_are_refused(tmp_path):
    plain, other = tmp_path / "notes.h5", tmp_path / "other.h5"
    plain.write_text("no HDF5 at all")
    with h5py.File(other, "w") as file:
        file["x"] = [1.0]
    with pytest.raises(ResultsError, match="cut short, damaged or no results file"):
        open_run(plain)
    with pytest.raises(ResultsError, match="not one of solidsim"):
        open_run(other)


@pytest.mark.parametrize("share", [0.0, 0.02, 0.3, 0.6, 0.9])
@pytest.mark.parametrize("closed", [True, False])
def test_a_cut_file_is_refused_at_once(tmp_path, run, share, closed):
    path = tmp_path / "bracket.h5"
    writer = start(path, run)
    for time in range(6):
        writer.frame(time, run.frames.temperature[time], run.frames.solid_fraction[time])
    content = (writer.finish(run) if closed else part_path(path)).read_bytes()
    cut = tmp_path / "cut.h5"
    cut.write_bytes(content[: int(share * len(content))])
    with pytest.raises(ResultsError, match="cut short, damaged or no results file"):
        open_run(cut)


@pytest.mark.parametrize(
    ("text", "value"),  # the vectors of driver5 in lookup3.c
    [(b"", 0xDEADBEEF), (b"Four score and seven years ago", 0x17770551)],
)
def test_the_checksum_is_the_published_one(text, value):
    assert hash_little(text) == value


def test_a_newer_layout_is_refused(tmp_path, run):
    path = write_run(tmp_path / "bracket.h5", run)
    with h5py.File(path, "r+") as file:
        file.attrs["layout"] = LAYOUT_VERSION + 1
    with pytest.raises(ResultsError, match="update solidsim"):
        open_run(path)


@pytest.mark.parametrize("version", range(1, LAYOUT_VERSION + 1))
def test_every_stored_layout_still_opens(version):
    opened = open_run(STORED / f"layout_{version}.h5")
    expected = json.loads((STORED / f"layout_{version}.json").read_text(encoding="utf-8"))
    assert opened.finished
    assert opened.title == expected["title"]
    assert [part.name for part in opened.section.parts] == expected["parts"]
    assert float(np.nanmax(opened.fields["freezing_time"])) == expected["last_freezing_time"]
    assert opened.frames.times.tolist() == expected["frame_times"]
