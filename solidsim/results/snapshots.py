"""Snapshots of a field, kept one after the other without a copy at the end."""

import numpy as np
from numpy.typing import DTypeLike, NDArray

Frame = NDArray[np.floating]


class Snapshots:
    """A row of frames that grows; room for so many of them costs nothing until it is used."""

    def __init__(self, room: int, dtype: DTypeLike = np.float32):
        self._frames = np.empty((room, 0, 0), dtype)
        self._count = 0

    def append(self, frame: Frame) -> None:
        """Add a frame, shape (ny, nx) as that of the others."""
        if not self._count:
            self._frames = np.empty((len(self._frames), *frame.shape), self._frames.dtype)
        elif self._count == len(self._frames):
            self._frames = np.concatenate([self._frames, np.empty_like(self._frames)])
        self._frames[self._count] = frame
        self._count += 1

    @property
    def last(self) -> Frame:
        """The newest frame, shape (ny, nx)."""
        return self._frames[self._count - 1]

    @property
    def all(self) -> Frame:
        """All frames, shape (nt, ny, nx)."""
        return self._frames[: self._count]
