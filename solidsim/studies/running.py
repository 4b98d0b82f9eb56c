"""Many runs, each once: a variant lands in a file under the hash of its content.

A study that was killed goes on where it stopped, and one that is repeated computes nothing: a
finished run has its file, a case that fails has its error. What was being computed is begun anew.
"""

import hashlib
import json
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path

from solidsim.results.opening import open_run
from solidsim.studies.outcome import figures_of, verdict_of
from solidsim.studies.workers import Computed, Hands, Job, Workers, hired

UNCOUNTED = {"cli", "pictures", "report", "studies", "__pycache__"}  # they change no result


THIS_PROCESS = Workers()


@dataclass(frozen=True)
class Outcome:
    """What a variant came to; its file, if it did not fail, and whether it was computed now."""

    computed: Computed
    path: Path | None
    fresh: bool

    @property
    def error(self) -> str:
        """Why there are no results; empty where there are."""
        return self.computed.error


@dataclass(frozen=True)
class Standing:
    """How far many runs have come: counts, runs a minute, time left [s]."""

    done: int
    total: int
    found: int
    failed: int
    rate: float
    remaining: float


Watching = Callable[[Standing], None]


def run_many(
    texts: Sequence[str],
    folder: str | Path,
    *,
    workers: Workers | Hands = THIS_PROCESS,
    progress: Watching | None = None,
) -> list[Outcome]:
    """Compute cases given as whole texts, each once, and keep each run in a folder.

    Parameters
    ----------
    texts : sequence of str
        Equal ones are computed once.
    folder : path
        Made if missing.
    workers : Workers or Hands
        Who computes; hands that were hired before stay for more.
    progress : callable, optional
        Called with the standing after every run.

    Returns
    -------
    list of Outcome
        In the order of the texts; one that failed has its error.

    Raises
    ------
    SolverError
        If there is nobody to compute.
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    jobs = [Job(content_key(text), text) for text in texts]
    found = {job.key: _stored(folder, job.key) for job in jobs}
    outcomes = {key: Outcome(*own, fresh=False) for key, own in found.items() if own}
    missing = {job.key: job for job in jobs if job.key not in outcomes}
    start, before = time.monotonic(), len(outcomes)
    for computed in _computed(list(missing.values()), folder, workers):
        outcomes[computed.key] = _kept(folder, computed)
        if progress:
            spent = time.monotonic() - start
            progress(_standing(outcomes, before, before + len(missing), spent))
    return [outcomes[job.key] for job in jobs]


def _standing(outcomes: dict[str, Outcome], before: int, total: int, spent: float) -> Standing:
    fresh = len(outcomes) - before
    rate = fresh / max(spent, 1e-9)
    failed = sum(bool(one.error) for one in outcomes.values())
    left = total - len(outcomes)
    return Standing(len(outcomes), total, before, failed, 60.0 * rate, left / rate)


def _computed(jobs: list[Job], folder: Path, workers: Workers | Hands) -> Iterator[Computed]:
    if isinstance(workers, Workers) and jobs:
        with hired(workers) as hands:
            yield from hands(jobs, folder)
    elif jobs and not isinstance(workers, Workers):
        yield from workers(jobs, folder)


def content_key(text: str) -> str:
    """Hash of a whole case text and of the program that computes it."""
    return hashlib.sha256(f"{program_key()}\n{text}".encode()).hexdigest()[:20]


@lru_cache(maxsize=1)
def program_key() -> str:
    """Hash of what a result rests on: own code and cards, and the packages it computes with."""
    parts = [f"{name} {version(name)}" for name in ("numpy", "numba", "scipy", "h5py")]
    home = Path(str(files("solidsim")))
    for path in sorted([*home.rglob("*.py"), *home.rglob("*.toml")]):
        if not UNCOUNTED & set(path.relative_to(home).parts):
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            parts.append(f"{path.relative_to(home).as_posix()} {digest}")
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def _kept(folder: Path, computed: Computed) -> Outcome:
    """Outcome of what was just computed; an error is kept in a file, as a run is."""
    if not computed.error:
        return Outcome(computed, folder / f"{computed.key}.h5", fresh=True)
    note, part = folder / f"{computed.key}.json", folder / f"{computed.key}.json.part"
    part.write_text(json.dumps({"error": computed.error}), encoding="utf-8")
    part.replace(note)
    return Outcome(computed, None, fresh=True)


def _stored(folder: Path, key: str) -> tuple[Computed, Path | None] | None:
    """What an earlier study left of a variant, if anything."""
    path, note = folder / f"{key}.h5", folder / f"{key}.json"
    if path.is_file():
        run = open_run(path)
        return Computed(key, verdict_of(run), figures_of(run)), path
    if note.is_file():
        said = json.loads(note.read_text(encoding="utf-8"))
        return replace(Computed(key), error=said["error"]), None
    return None
