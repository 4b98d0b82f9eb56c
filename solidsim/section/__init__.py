"""Which part fills each cell of the section, and how deep is it?

Takes the parts of a case as drawn, gives a ``Section``: a graded grid with its lines on the
sides of the parts, the owner of each cell by exact area, its depth, and for every part the drawn
area and volume beside those of its cells. ``solidsim.section.building.build_section`` does it.
"""

from solidsim.section.grid import Grid
from solidsim.section.layout import METAL_ROLES, Part, Section

__all__ = ["METAL_ROLES", "Grid", "Part", "Section"]
