"""A run as a film, with a bar while it is made."""

from pathlib import Path

from solidsim.cli.output import tell
from solidsim.cli.progress import progress_bar
from solidsim.results.run import Run


def film_run(run: Run, path: Path) -> Path:
    """Make the film of a run; where it had to be of another kind, that is said."""
    from solidsim.pictures.film import make_film

    with progress_bar("film") as progress:
        film = make_film(run, path, progress=progress)
    if film.warning:
        tell(f"warning: {film.warning}")
    return film.path
