"""Many runs: the same in one process, in several and on a cluster; nothing is computed twice."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from solidsim.results import open_run
from solidsim.studies.planning import planned_values
from solidsim.studies.running import content_key, run_many
from solidsim.studies.study_file import read_study
from solidsim.studies.workers import Workers

FAULTY = 'title = "No metal"\n[pour]\nalloy = "gray-iron"\ntemperature = "1370 °C"\n'


@pytest.fixture
def texts(study_file):
    study = read_study(study_file)
    return [study.text_of(values) for values in planned_values(study)]


def assert_same_to_the_bit(ones, others):
    for one, other in zip(ones, others, strict=True):
        assert one.computed.figures == other.computed.figures
        assert one.computed.verdict == other.computed.verdict
        first, second = open_run(one.path), open_run(other.path)
        assert first.findings == second.findings
        for name, values in first.fields.items():
            np.testing.assert_array_equal(values, second.fields[name])


def test_processes_give_the_same_to_the_bit(texts, tmp_path):
    alone = run_many(texts, tmp_path / "alone")
    together = run_many(texts, tmp_path / "together", workers=Workers(2))
    assert_same_to_the_bit(alone, together)


def test_a_cluster_gives_the_same_to_the_bit(texts, tmp_path):
    distributed = pytest.importorskip("distributed")
    alone = run_many(texts, tmp_path / "alone")
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as own:
        workers = Workers(scheduler=own.scheduler_address)
        away = run_many(texts, tmp_path / "away", workers=workers)
    assert_same_to_the_bit(alone, away)


def test_a_killed_worker_of_a_cluster_loses_nothing(texts, tmp_path):
    distributed = pytest.importorskip("distributed")
    done = []
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as own:
        victim = next(iter(own.workers.values())).process.pid

        def kill_one(standing):
            if not done:
                os.kill(victim, signal.SIGKILL)
            done.append(standing.done)

        workers = Workers(scheduler=own.scheduler_address)
        outcomes = run_many(texts, tmp_path, workers=workers, progress=kill_one)
    assert done == list(range(1, len(texts) + 1))
    assert all(outcome.path.is_file() for outcome in outcomes)


def test_a_study_repeated_computes_nothing(texts, tmp_path):
    first = run_many(texts, tmp_path)
    before = {path: path.stat().st_mtime_ns for path in tmp_path.glob("*.h5")}
    again = run_many(texts, tmp_path)
    assert all(outcome.fresh for outcome in first)
    assert not any(outcome.fresh for outcome in again)
    assert {path: path.stat().st_mtime_ns for path in tmp_path.glob("*.h5")} == before
    assert [one.computed.figures for one in first] == [one.computed.figures for one in again]


def test_equal_texts_are_computed_once(texts, tmp_path):
    outcomes = run_many([texts[0], texts[0]], tmp_path)
    assert outcomes[0] is outcomes[1]
    assert len(list(tmp_path.glob("*.h5"))) == 1


@pytest.mark.parametrize("workers", [Workers(), Workers(2)])
def test_a_failed_variant_is_recorded_and_the_rest_go_on(texts, tmp_path, workers):
    bad, good = run_many([FAULTY, texts[0]], tmp_path, workers=workers)
    assert "no part is poured" in bad.error
    assert bad.path is None
    assert good.path.is_file()
    note = json.loads((tmp_path / f"{content_key(FAULTY)}.json").read_text(encoding="utf-8"))
    assert note["error"] == bad.error
    again, _ = run_many([FAULTY, texts[0]], tmp_path)
    assert again.error == bad.error
    assert not again.fresh


def test_progress_tells_the_rate_and_the_rest(texts, tmp_path):
    run_many(texts[:2], tmp_path)
    seen = []
    run_many(texts, tmp_path, progress=seen.append)
    assert [standing.done for standing in seen] == list(range(3, len(texts) + 1))
    assert {(standing.total, standing.found) for standing in seen} == {(len(texts), 2)}
    assert all(standing.rate > 0 for standing in seen)
    assert seen[-1].remaining == 0.0


def test_the_key_is_that_of_the_content(texts):
    assert content_key(texts[0]) == content_key(str(texts[0]))
    assert len({content_key(text) for text in texts}) == len(texts)


SLOW_STUDY = """
import sys
from solidsim.studies.planning import planned_values
from solidsim.studies.running import run_many
from solidsim.studies.study_file import read_study
from solidsim.studies.workers import Workers
if __name__ == "__main__":
    study = read_study(sys.argv[1])
    texts = [study.text_of(values) for values in planned_values(study)]
    run_many(texts, sys.argv[2], workers=Workers(int(sys.argv[3])))
"""


@pytest.mark.parametrize("processes", [1, 2])
def test_killed_and_started_again(changed_study, tmp_path, processes):
    """After kill -9 of the whole study no run is lost, computed twice or half written."""
    study = changed_study("steps = 3", "steps = 12")
    script, folder = tmp_path / "study.py", tmp_path / "runs"
    script.write_text(SLOW_STUDY, encoding="utf-8")
    command = [sys.executable, str(script), str(study), str(folder), str(processes)]
    home = str(Path(__file__).parents[3])
    process = subprocess.Popen(command, env=os.environ | {"PYTHONPATH": home})
    deadline = time.monotonic() + 120.0
    while len(list(folder.glob("*.h5"))) < 4 and time.monotonic() < deadline:
        time.sleep(0.02)
    process.kill()
    process.wait()
    time.sleep(0.5)  # the processes of the study end with it
    finished = {path: path.stat().st_mtime_ns for path in folder.glob("*.h5")}
    read = read_study(study)
    texts = [read.text_of(values) for values in planned_values(read)]
    assert 4 <= len(finished) < len(texts)
    outcomes = run_many(texts, folder)
    assert sum(not outcome.fresh for outcome in outcomes) == len(finished)
    assert {path: path.stat().st_mtime_ns for path in finished} == finished
    assert all(open_run(outcome.path).finished for outcome in outcomes)
    assert not list(folder.glob("*.part"))
