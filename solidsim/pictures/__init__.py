"""What does it look like? Sections, freezing maps, cooling curves and films, for any reader.

Pictures read a section or a run and draw its findings; they compute none. They are in the units
of the run, legible in black and white, and need no display. Lengths are drawn to one scale both
ways.

Public names: ``draw_section``, ``draw_freezing``, ``draw_feeding``, ``draw_niyama``,
``draw_edges``, ``draw_curves``, ``make_film``, ``Film``, loaded when they are first used.
"""

from importlib import import_module
from typing import Any

_PLACES = {
    "Film": "film",
    "draw_curves": "curves",
    "draw_edges": "edges",
    "draw_feeding": "feeding",
    "draw_freezing": "freezing",
    "draw_niyama": "niyama",
    "draw_section": "section",
    "make_film": "film",
}

__all__ = list(_PLACES)


def __getattr__(name: str) -> Any:
    if name not in _PLACES:
        raise AttributeError(f"module 'solidsim.pictures' has no attribute '{name}'")
    return getattr(import_module(f"solidsim.pictures.{_PLACES[name]}"), name)
