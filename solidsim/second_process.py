"""A second process of this program, which works for the first one and ends with it."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import IO

SecondProcess = subprocess.Popen[bytes]


@contextmanager
def second_process(
    work: str, stdin: int | IO[bytes], stdout: int
) -> Iterator[SecondProcess | None]:
    """Have a process run some code for the time of a block; None where it cannot start.

    An interrupt from the keyboard does not reach it. It is killed at the end of the block, however
    that ends. ``stdin`` and ``stdout`` are as for ``subprocess``.
    """
    process, apart = None, getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
    command = [sys.executable, "-c", f"import sys; sys.path[:] = {sys.path!r}; {work}"]
    with suppress(OSError):
        process = subprocess.Popen(
            command, stdin=stdin, stdout=stdout, start_new_session=True, creationflags=apart
        )
    try:
        yield process
    finally:
        if process:
            process.kill()
            with suppress(OSError), process:
                pass  # its pipes are closed, its end is awaited
