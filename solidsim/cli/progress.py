"""What is said while one waits: a bar on a terminal, and that kernels are being compiled."""

import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from solidsim.cli.output import tell

Progress = Callable[[float, float, str], None]

PATIENCE = 1.5  # s; with compiled kernels the first step is there within a few tenths
COMPILING = "compiling the kernels, once on this machine; it takes 8 to 15 s"


@contextmanager
def progress_bar(title: str) -> Iterator[Progress]:
    """Draw a bar on stderr, only where that is a terminal.

    Yields a callable that takes the time in the run [s], the share done [1] and what goes on.
    """
    if not sys.stderr.isatty():
        yield lambda moment, share, doing: None
        return
    from rich.console import Console
    from rich.progress import Progress as Bar

    from solidsim.quantities import write_quantity

    with Bar(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(title, total=1.0)

        def show(moment: float, share: float, doing: str) -> None:
            clock = write_quantity(moment, "time", "metric")
            bar.update(task, completed=share, description=f"{title}: {doing}, {clock}")

        yield show


@contextmanager
def timed(timings: dict[str, float], name: str) -> Iterator[None]:
    """Note the wall time of a block, [s]."""
    start = time.perf_counter()
    yield
    timings[name] = time.perf_counter() - start


@contextmanager
def step_by_step(progress: Progress) -> Iterator[Progress]:
    """Say that kernels are compiled where the first step is long in coming; hold interrupts.

    An interrupt waits for the end of the step, as in the midst of compiling it does harm; a second
    one does not wait. Yields the progress to show steps with.
    """
    timer = threading.Timer(PATIENCE, tell, [COMPILING])
    timer.daemon = True
    asked: list[int] = []

    def interrupt(number: int, frame: FrameType | None) -> None:
        if asked:
            raise KeyboardInterrupt
        asked.append(number)

    def stepped(moment: float, share: float, doing: str) -> None:
        timer.cancel()
        if asked:
            raise KeyboardInterrupt
        progress(moment, share, doing)

    before = signal.signal(signal.SIGINT, interrupt)
    timer.start()
    try:
        yield stepped
    finally:
        timer.cancel()
        signal.signal(signal.SIGINT, before)
