"""What does it look like? Sections, freezing maps, cooling curves and films, for any reader.

Pictures read a section or a run and draw its findings; they compute none. They are in the units
of the run, legible in black and white, and need no display. Lengths are drawn to one scale both
ways.

Public names: ``draw_section``, ``draw_freezing``, ``draw_feeding``, ``draw_niyama``,
``draw_edges``, ``draw_curves``, ``make_film``, ``Film``.
"""

from solidsim.pictures.curves import draw_curves
from solidsim.pictures.edges import draw_edges
from solidsim.pictures.feeding import draw_feeding
from solidsim.pictures.film import Film, make_film
from solidsim.pictures.freezing import draw_freezing
from solidsim.pictures.niyama import draw_niyama
from solidsim.pictures.section import draw_section

__all__ = [
    "Film",
    "draw_curves",
    "draw_edges",
    "draw_feeding",
    "draw_freezing",
    "draw_niyama",
    "draw_section",
    "make_film",
]
