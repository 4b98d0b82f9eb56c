"""Writing pictures in a row as a film: MP4 by H.264, or what every reader of pictures can show."""

from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from solidsim.errors import ResultsError

Pixels = NDArray[np.uint8]

CODEC = "libx264"
OPTIONS = {"crf": "23", "preset": "veryfast"}  # 84 kB and 0.6 s for 120 pictures of 960 x 720
WEBP = {"quality": 80, "method": 0, "loop": 0}  # a megabyte for the same


def write_frames(
    pictures: Iterator[Pixels], path: Path, frames_per_second: int
) -> tuple[Path, str | None]:
    """Write pictures as a film in the format of the path's suffix.

    Parameters
    ----------
    pictures : iterator of ndarray of uint8, shape (height, width, 4)
        Red, green, blue and opacity; both sides of even length.
    path : Path
        ``.mp4``, ``.webp`` or ``.gif``.

    Returns
    -------
    path : Path
        With ``.webp`` in place of ``.mp4`` where there is no encoder for it.
    warning : str or None
        Said when that is so.

    Raises
    ------
    ResultsError
        If the suffix is another one, or the file cannot be written.
    """
    suffix, warning = path.suffix.lower(), None
    if suffix not in (".mp4", ".webp", ".gif"):
        raise ResultsError(f"cannot write a film as {path.name}; name it .mp4, .webp or .gif")
    if suffix == ".mp4" and not has_encoder():
        path, suffix = path.with_suffix(".webp"), ".webp"
        warning = (
            f"no H.264 encoder found, so the film is {path.name}; to get an MP4: pip install av"
        )
    part = path.with_name(f"{path.name}.part")
    try:
        if suffix == ".mp4":
            _write_mp4(pictures, part, frames_per_second)
        else:
            _write_animation(pictures, part, suffix.strip("."), frames_per_second)
        part.replace(path)
    except OSError as error:  # the family of PyAV's errors, too
        raise ResultsError(f"cannot write {path.name}: {error}") from error
    return path, warning


def has_encoder() -> bool:
    """Whether there is an encoder for MP4 films."""
    try:
        import av

        return CODEC in av.codecs_available
    except ImportError:
        return False


def _write_mp4(pictures: Iterator[Pixels], path: Path, frames_per_second: int) -> None:
    import av

    first = next(pictures)
    with av.open(str(path), "w", format="mp4", options={"movflags": "+faststart"}) as film:
        stream = film.add_stream(CODEC, rate=frames_per_second, options=OPTIONS)
        assert isinstance(stream, av.VideoStream), "H.264 is video"
        stream.height, stream.width = first.shape[:2]
        stream.pix_fmt = "yuv420p"
        for picture in chain([first], pictures):
            film.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgba")))
        film.mux(stream.encode())


def _write_animation(
    pictures: Iterator[Pixels], path: Path, kind: str, frames_per_second: int
) -> None:
    images = [Image.fromarray(picture).convert("RGB") for picture in pictures]
    options = WEBP if kind == "webp" else {"loop": 0}
    duration = round(1000 / frames_per_second)
    images[0].save(
        path, kind, save_all=True, append_images=images[1:], duration=duration, **options
    )
