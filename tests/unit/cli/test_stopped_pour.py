"""A pour that is killed or interrupted leaves a readable part file, the last good run, no process.

The process that draws holds the pipe of stderr as well: reading it ends when both are gone.
"""

import signal
import sys
import time
from pathlib import Path

import pytest

from solidsim.errors import ResultsError
from solidsim.results.opening import open_run

PATIENCE = 60.0  # s
RUN, PART = Path("runs/bar.h5"), Path("runs/bar.h5.part")
SECTION = Path("runs/bar_section.png")


@pytest.fixture
def pouring(ask, shell_started, case_file, case_text):
    """A long pour under way, its section drawn, where a good run stands already."""
    assert ask("pour", case_file, "--no-pictures").exit_code == 0
    fine = case_text.replace('"5 mm"', '"0.4 mm"') + '\n[cooling]\nshake_out = "40 h"\n'
    case_file.write_text(fine, encoding="utf-8")
    good = RUN.read_bytes()
    process = shell_started("pour", case_file)
    deadline = time.monotonic() + PATIENCE
    while _frames_so_far() < 2 or not _drawn(SECTION):
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < deadline
        time.sleep(0.05)
    yield process
    assert RUN.read_bytes() == good


def _drawn(path):
    return path.is_file() and path.read_bytes().endswith(b"IEND\xaeB`\x82")


def _frames_so_far():
    try:
        return open_run(PART).frames.times.size
    except ResultsError:
        return 0


def test_kill(pouring, ask):
    pouring.kill()
    pouring.communicate(timeout=PATIENCE)
    part = open_run(PART)
    assert not part.finished
    assert part.frames.times.size >= 2
    result = ask("judge", PART)
    assert (result.exit_code, result.stdout) == (1, "")
    assert "unfinished" in result.stderr
    assert ask("judge", RUN).exit_code == 0


@pytest.mark.skipif(sys.platform == "win32", reason="signals of a console")
def test_interrupt(pouring):
    pouring.send_signal(signal.SIGINT)
    stdout, stderr = pouring.communicate(timeout=PATIENCE)
    assert (pouring.returncode, stdout) == (130, "")
    assert "interrupted" in stderr
    assert str(PART) in stderr
    assert "Traceback" not in stderr
    assert not open_run(PART).finished
