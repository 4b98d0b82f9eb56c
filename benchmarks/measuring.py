"""What all benchmarks share: rows that land on disk one by one, processes of their own, tables."""

import json
import os
import platform
import resource
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

HOME = Path(__file__).parents[1]
OUT = HOME / "runs" / "benchmarks"
THREADS = ("OMP", "OPENBLAS", "MKL", "NUMBA", "VECLIB_MAXIMUM", "NUMEXPR")


class Ledger:
    """Rows of a benchmark in a file, one JSON object a line; the last of a name counts.

    A benchmark that was killed finds its finished rows again. What ``again`` names is measured
    anew.
    """

    def __init__(self, path, again=()):
        self.path, self.again, self.rows = Path(path), set(again), {}
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if self.path.is_file():
            for line in self.path.read_text(encoding="utf-8").splitlines():
                row = json.loads(line)
                self.rows[row["name"]] = row

    def row(self, name, measure):
        """The row of this name: as found, or measured now and kept."""
        if name not in self.rows or name in self.again:
            row = {"name": name, "date": date.today().isoformat(), **measure()}
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")
                file.flush()
                os.fsync(file.fileno())
            self.rows[name] = row
        return self.rows[name]


def one_thread(**more):
    """Environment in which nothing computes in more than one thread."""
    threads = {f"{name}_NUM_THREADS": "1" for name in THREADS}
    path = os.pathsep.join([str(HOME), *filter(None, [os.environ.get("PYTHONPATH")])])
    return os.environ | threads | {"PYTHONPATH": path} | more


def apart(script, *words, limit=1800.0, **more):
    """What a script, called with ``--row`` and words in a process of its own, says in JSON."""
    command = [sys.executable, str(script), "--row", *map(str, words)]
    try:
        done = subprocess.run(
            command, env=one_thread(**more), capture_output=True, text=True, timeout=limit,
            check=False, cwd=HOME,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return {"error": f"not within {limit:.0f} s"}
    if done.returncode:
        return {"error": (done.stderr.strip().splitlines() or ["killed"])[-1]}
    return json.loads(done.stdout.splitlines()[-1])


def answer(**values):
    """Say what a row came to, from its process to the one that asked for it."""
    print(json.dumps(values | {"peak_mb": peak_memory()}))


def peak_memory():
    """Most memory that this process has held so far, [MB]."""
    status = Path("/proc/self/status")
    if status.is_file():  # the usage of Linux counts what the parent held before
        line = next(own for own in status.read_text().splitlines() if own.startswith("VmHWM"))
        return int(line.split()[1]) / 1024.0
    unit = 1024.0**2 if sys.platform == "darwin" else 1024.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / unit


def timed(function, least=3.0, most_rounds=5):
    """Result, and the shortest wall and processor time [s] of some rounds.

    Rounds are repeated until they have taken ``least`` seconds together, for the short ones are
    disturbed most. No round finds the result of the one before in memory.
    """
    walls, spent = [], []
    while sum(walls) < least and len(walls) < most_rounds:
        result = None
        wall, cpu = time.perf_counter(), time.process_time()
        result = function()
        walls.append(time.perf_counter() - wall)
        spent.append(time.process_time() - cpu)
    return result, min(walls), min(spent)


def machine():
    """Kind of machine, for a table that others read: no names of hosts."""
    return f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"


def table(heads, rows):
    """Print a table in markdown."""
    print(f"| {' | '.join(heads)} |\n|{'---|' * len(heads)}")
    for row in rows:
        print(f"| {' | '.join(map(str, row))} |")
    print(flush=True)
