"""Who computes the variants: this process, processes beside it, or the workers of a dask cluster.

All three call `compute` on the same text, so that the results are the same to the bit.
"""

import os
import signal
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing import get_context, parent_process
from pathlib import Path

from solidsim.case import read_case_text
from solidsim.errors import ResultsError, SolidsimError, SolverError
from solidsim.model import build_model
from solidsim.studies.outcome import Figure, figures_of, verdict_of
from solidsim.studies.pouring import pour_to_file

THREADS = ("OMP", "OPENBLAS", "MKL", "NUMBA", "VECLIB_MAXIMUM", "NUMEXPR")
MOST_BREAKS = 3  # of the pool in a row, without a run finished between them


@dataclass(frozen=True)
class Job:
    """One variant to compute: the key of its content, its whole case text."""

    key: str
    text: str


@dataclass(frozen=True)
class Workers:
    """Who computes: so many processes, one meaning this one, or a dask scheduler's workers."""

    processes: int = 1
    scheduler: str | None = None


@dataclass(frozen=True)
class Computed:
    """What came of a job: its numbers, or the error that its case ends in; CPU time [s]."""

    key: str
    verdict: str = "note"
    figures: dict[str, Figure] = field(default_factory=dict)
    error: str = ""
    cpu_seconds: float = 0.0


Hands = Callable[[Sequence[Job], Path], Iterator[Computed]]
"""Computes jobs into a folder and gives what comes of each as it is done."""


@contextmanager
def hired(workers: Workers) -> Iterator[Hands]:
    """Have workers at hand for the time of a block; processes start once.

    Raises
    ------
    SolverError
        If dask is not installed, its scheduler does not answer, or workers die over a job.
    """
    if workers.scheduler:
        with _cluster(workers.scheduler) as hands:
            yield hands
    elif workers.processes > 1:
        crew = Processes(workers.processes)
        try:
            yield crew.compute
        finally:
            crew.close()
    else:
        yield serially


def compute(job: Job, folder: str) -> Computed:
    """Pour a variant into ``KEY.h5`` of a folder; a faulty or failing case is an answer, too."""
    start = time.process_time()
    try:
        model = build_model(read_case_text(job.text, "variant.toml"))
        run = pour_to_file(model, Path(folder) / f"{job.key}.h5", growing=False).run
    except (OSError, MemoryError, ResultsError):
        raise  # of this machine, not of the case
    except Exception as error:
        said = str(error) if isinstance(error, SolidsimError) else repr(error)
        return Computed(job.key, error=said)
    spent = time.process_time() - start
    return Computed(job.key, verdict_of(run), figures_of(run), cpu_seconds=spent)


def serially(jobs: Sequence[Job], folder: Path) -> Iterator[Computed]:
    """Compute one after the other, in this process."""
    for job in jobs:
        yield compute(job, str(folder))


class Processes:
    """So many processes, each of one thread, that start with the first job and stay for more."""

    def __init__(self, count: int):
        self.count, self.warm = count, False
        self._pool: ProcessPoolExecutor | None = None

    def compute(self, jobs: Sequence[Job], folder: Path) -> Iterator[Computed]:
        """Compute in the order in which they finish.

        The very first job runs alone: it compiles the kernels for all. A process that is killed
        breaks the pool; a new one then goes on with what is left.

        Raises
        ------
        SolverError
            If the pool breaks several times in a row.
        """
        left, breaks = {job.key: job for job in jobs}, 0
        while left:
            try:
                for computed in self._in_one_pool(list(left.values()), folder):
                    del left[computed.key]
                    breaks = 0
                    yield computed
            except BrokenProcessPool as error:
                self.close()
                breaks += 1
                if breaks == MOST_BREAKS:
                    message = f"processes were killed {breaks} times in a row; is memory short?"
                    raise SolverError(message) from error

    def close(self) -> None:
        """Let the processes end what they are at, and leave."""
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
            self._pool = None

    def _in_one_pool(self, jobs: list[Job], folder: Path) -> Iterator[Computed]:
        with _one_thread_each():
            if self._pool is None:
                context = get_context("spawn")
                self._pool = ProcessPoolExecutor(self.count, context, _start_process)
            if not self.warm:
                yield self._pool.submit(compute, jobs.pop(0), str(folder)).result()
                self.warm = True
            futures = [self._pool.submit(compute, job, str(folder)) for job in jobs]
            for future in as_completed(futures):
                yield future.result()


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Have processes that start in the block find one thread asked for before numpy loads."""
    names = [f"{name}_NUM_THREADS" for name in THREADS]
    before = {name: os.environ.get(name) for name in names}
    os.environ.update(dict.fromkeys(names, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            os.environ.pop(name)
            os.environ.update({name: value} if value is not None else {})


def _start_process() -> None:
    """Leave interrupts to the parent, and end with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os.kill(os.getpid(), signal.SIGTERM)


@contextmanager
def _cluster(address: str) -> Iterator[Hands]:
    """Ask a dask scheduler's workers; files come back over the network.

    A job whose worker dies is given to another one by the scheduler, a few times.
    """
    try:
        from distributed import Client, KilledWorker
        from distributed import as_completed as finished
    except ImportError as error:
        message = "a cluster needs dask: pip install 'solidsim[cluster]'"
        raise SolverError(message) from error

    def compute_there(jobs: Sequence[Job], folder: Path) -> Iterator[Computed]:
        futures = client.map(compute_away, jobs, key=[f"solidsim-{job.key}" for job in jobs])
        for future in finished(futures):
            try:
                computed, content = future.result()
            except KilledWorker as error:
                raise SolverError(f"workers of the cluster were killed: {error}") from error
            if content:
                _keep(folder / f"{computed.key}.h5", content)
            future.release()
            yield computed

    try:
        client = Client(address, timeout="5s")
    except (OSError, ValueError) as error:
        raise SolverError(f"no dask scheduler answers at {address}: {error}") from error
    with client:
        yield compute_there


def compute_away(job: Job) -> tuple[Computed, bytes]:
    """Compute a job where its folder is not at hand; gives the file's content, too."""
    with tempfile.TemporaryDirectory() as folder:
        computed = compute(job, folder)
        return computed, b"" if computed.error else Path(folder, f"{job.key}.h5").read_bytes()


def _keep(path: Path, content: bytes) -> None:
    part = path.with_name(f"{path.name}.part")
    with part.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)
