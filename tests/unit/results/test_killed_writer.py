"""A pour killed at any moment leaves a readable part file and the last good run as it was."""

import random
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from synthetic_run import synthetic_run

from solidsim.results.layout import part_path
from solidsim.results.opening import open_run
from solidsim.results.writing import write_run

TESTS = Path(__file__).parents[2]
POUR_FOREVER = """
import sys
import numpy as np
from synthetic_run import synthetic_run
from solidsim.results.writing import start_run

run = synthetic_run(cell_mm=5.0, frames=2)
names = ("title", "units", "section", "alloy", "judging", "provenance")
head = {name: getattr(run, name) for name in names}
while True:
    writer = start_run(sys.argv[1], **head)
    print("started", flush=True)
    for count in range(40):
        frame = np.full(run.section.grid.shape, count)
        writer.frame(count, frame, frame)
"""


@pytest.mark.parametrize("seed", range(4))
def test_kill_at_a_random_moment(tmp_path, seed):
    path = write_run(tmp_path / "bracket.h5", synthetic_run(cell_mm=5.0, frames=2))
    before = path.read_bytes()
    pour = subprocess.Popen(
        [sys.executable, "-c", POUR_FOREVER, path],
        stdout=subprocess.PIPE,
        cwd=TESTS.parent,
        env={"PYTHONPATH": f"{TESTS}:{TESTS.parent}"},
    )
    assert pour.stdout.readline()
    assert not open_run(part_path(path)).finished  # while the writer is at work
    time.sleep(random.Random(seed).uniform(0.0, 0.3))
    pour.kill()
    pour.communicate()
    opened = open_run(part_path(path))
    assert not opened.finished
    assert opened.stop_reason == "stopped before it was finished"
    np.testing.assert_array_equal(opened.frames.times, np.arange(opened.frames.times.size))
    for frames in (opened.frames.temperature, opened.frames.solid_fraction):
        assert (frames == opened.frames.times[:, None, None]).all()
    assert path.read_bytes() == before
    assert open_run(path).finished
