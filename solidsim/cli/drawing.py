"""Pictures are drawn by a helper process, and by this one when it has nothing else to do.

The helper loads what draws while the case is read and computed. It is asked over its pipes for
one picture at a time and ends with them. Where it cannot start or dies, this process draws.
"""

import pickle
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any, BinaryIO, cast

from solidsim.cli.output import tell
from solidsim.errors import ResultsError
from solidsim.second_process import SecondProcess, second_process

DRAW = {  # by the name of the picture, in the order of what is written
    "section": "draw_section",
    "picture": "draw_freezing",
    "feeding": "draw_feeding",
    "niyama": "draw_niyama",
    "edges": "draw_edges",
}
SERVE = "from solidsim.cli.drawing import serve; serve()"


@dataclass(frozen=True)
class Picture:
    """A picture to draw to a path: of a section or a run, with what else its function asks for."""

    name: str
    path: Path
    subject: Any
    words: Mapping[str, Any] = field(default_factory=dict)


class Pictures:
    """The pictures of a pour; what nobody draws while it is computed is drawn at its end."""

    def __init__(self, helper: SecondProcess | None):
        self._helper, self._talk = helper, threading.Lock()
        self._left: deque[Picture] = deque()
        self._threads: list[threading.Thread] = []
        self._drawn: dict[str, Path] = {}

    def ask(self, pictures: Iterable[Picture]) -> None:
        """Have the helper draw, the first ones first, while this process goes on."""
        self._left.extend(pictures)
        thread = threading.Thread(target=self._hand_out, daemon=True)
        self._threads.append(thread)
        thread.start()

    def finish(self) -> dict[str, Path]:
        """Draw what nobody has begun, the last ones first; give all that could be drawn."""
        while self._left or self._threads:
            try:
                picture = self._left.pop()
            except IndexError:
                self._threads.pop().join()
            else:
                self._note(picture, _draw(picture))
        return {name: self._drawn[name] for name in DRAW if name in self._drawn}

    def _hand_out(self) -> None:
        """Ask the helper for one picture after the other; what it fails at stays for the end."""
        with self._talk, suppress(IndexError):
            while self._helper:
                picture = self._left.popleft()
                answer = _asked(self._helper, picture)
                if answer:
                    self._note(picture, answer)
                else:
                    self._helper = None
                    self._left.append(picture)

    def _note(self, picture: Picture, answer: Path | str) -> None:
        if isinstance(answer, str):
            tell(f"warning: {answer}")
            return
        self._drawn[picture.name] = answer
        if picture.name == "section":
            tell(f"wrote {answer}")


@contextmanager
def pictures_begun() -> Iterator[Pictures]:
    """Have a helper for the time of a block; it ends with the block, however that ends."""
    with second_process(SERVE, subprocess.PIPE, subprocess.PIPE) as helper:
        yield Pictures(helper)


def _asked(helper: SecondProcess, picture: Picture) -> Path | str | None:
    """What the helper has drawn, or says against it; None if it fails."""
    errands, answers = cast(BinaryIO, helper.stdin), cast(BinaryIO, helper.stdout)
    with suppress(Exception):
        errands.write(pickle.dumps(picture))
        errands.flush()
        answer: Path | str | None = pickle.load(answers)
        return answer
    return None


def serve() -> None:
    """Be the helper: draw what is asked for on stdin until that ends."""
    errands, sys.stdout = sys.stdin.buffer, sys.stderr
    with suppress(EOFError, OSError), open(1, "wb", buffering=0) as answers:
        import_module("solidsim.pictures.section")
        answers.write(pickle.dumps(_answer(pickle.load(errands))))
        _load_for_runs()
        while True:
            answers.write(pickle.dumps(_answer(pickle.load(errands))))


def _load_for_runs() -> None:
    """Load what draws runs, while the run is computed."""
    for name in ("freezing", "niyama", "edges", "feeding"):
        import_module(f"solidsim.pictures.{name}")


def _answer(errand: Picture) -> Path | str | None:
    """What was drawn, or is to be said; on any other failure the one who asks has to draw."""
    with suppress(Exception):
        return _draw(errand)
    return None


def _draw(picture: Picture) -> Path | str:
    """Draw a picture; what there is no picture of is said."""
    draw = getattr(import_module("solidsim.pictures"), DRAW[picture.name])
    try:
        path: Path = draw(picture.subject, picture.path, **picture.words)
    except ResultsError as error:
        return str(error)
    return path
